"""What people type in a cell, and what it means."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.reading import cells

Reader = Callable[[pl.Expr], pl.Expr]


def read(reader: Reader, text: str | None) -> Any:
    return pl.DataFrame({"cell": [text]}, schema={"cell": pl.String}).select(reader(pl.col("cell"))).item()


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("380", 380.0),
        ("12.5", 12.5),
        (".5", 0.5),
        ("5.", 5.0),
        ("+3", 3.0),
        ("-3.25", -3.25),
        ("0", 0.0),
        ("1E+03", 1000.0),
    ],
)
def test_numbers(text: str, value: float) -> None:
    assert read(cells.number, text) == value


NOT_NUMBERS = [
    "about 40",
    "24 + 2",
    "12,5",
    "1 234",
    "380g",
    "nan",
    "inf",
    "-inf",
    "1e400",
    "1_000",
    "0x10",
    "--1",
    ".",
    "3/4",
    "١٢",
]


@pytest.mark.parametrize("text", NOT_NUMBERS)
@pytest.mark.parametrize("reader", [cells.number, cells.percent, cells.whole, cells.money])
def test_what_is_no_plain_number_is_not_guessed(reader: Reader, text: str) -> None:
    assert read(reader, text) is None


@pytest.mark.parametrize("reader", [cells.number, cells.whole, cells.money])
def test_a_number_beyond_all_sense_is_not_taken(reader: Reader) -> None:
    assert read(reader, "999999999") == 999_999_999
    assert read(reader, "1000000000") is None
    assert read(reader, "9" * 40) is None


@pytest.mark.parametrize(("text", "value"), [("5", 5.0), ("5%", 5.0), ("2.5 %", 2.5), ("% 5", None), ("5 %%", None)])
def test_percentages_with_or_without_their_sign(text: str, value: float | None) -> None:
    assert read(cells.percent, text) == value


@pytest.mark.parametrize(
    ("text", "value"), [("12", 12), ("12.0", 12), ("12.", 12), ("+12", 12), ("-1", -1), ("12.5", None), ("1e2", None)]
)
def test_whole_numbers(text: str, value: int | None) -> None:
    assert read(cells.whole, text) == value


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("13.80", Decimal("13.80")),
        ("0.1", Decimal("0.1")),
        ("-4", Decimal(-4)),
        ("+4.5", Decimal("4.5")),
        ("1.2345670", Decimal("1.234567")),
        ("1.2345678", None),
        ("13.80 €", None),
        ("$5", None),
        ("1e2", None),
    ],
)
def test_money_is_exact_or_not_taken(text: str, value: Decimal | None) -> None:
    assert read(cells.money, text) == value


@given(st.decimals(-10_000_000, 10_000_000, places=6))
def test_any_amount_is_kept_to_the_sixth_decimal(amount: Decimal) -> None:
    assert read(cells.money, f"{amount:f}") == amount


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1985-04-12", date(1985, 4, 12)),  # ISO 8601's own example of a calendar date
        ("2028-02-29", date(2028, 2, 29)),  # 2028 is divisible by 4 and not by 100: a leap year
        ("2000-02-29", date(2000, 2, 29)),  # divisible by 400: a leap year
        ("2027-04-30T00:00:00", date(2027, 4, 30)),
        ("2027-04-30 00:00:00", date(2027, 4, 30)),
        ("2027-04-30 00:00", date(2027, 4, 30)),
        ("2027-02-29", None),
        ("2100-02-29", None),  # divisible by 100 and not by 400: no leap year
        ("2027-02-31", None),
        ("2027-13-01", None),
        ("2027-4-3", None),
        ("30.04.2027", None),
        ("2027-04-30 10:15", None),
        ("46142", None),
        ("0027-04-30", None),
        ("9999-12-31", None),
    ],
)
def test_dates(text: str, value: date | None) -> None:
    assert read(cells.day, text) == value


@given(st.dates(date(1900, 1, 1), date(2999, 12, 31)))
def test_any_date_as_iso_writes_it(day: date) -> None:
    assert read(cells.day, day.isoformat()) == day


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("yes", True),
        ("Y", True),
        ("TRUE", True),
        ("no", False),
        ("n", False),
        ("False", False),
        ("x", None),
        ("1", None),
    ],
)
def test_yes_and_no(text: str, value: bool | None) -> None:
    assert read(cells.yes_no, text) is value


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1", 1), ("12", 12), ("January", 1), ("feb", 2), ("Sept.", 9), ("NOV", 11), ("decem", 12), ("3.0", 3),
        ("0", None), ("13", None), ("ma", None), ("Januar y", None), ("2.5", None),
    ],
)  # fmt: skip
def test_months(text: str, value: int | None) -> None:
    assert read(cells.month, text) == value


@pytest.mark.parametrize(("text", "value"), [("round", "round"), ("Rectangular", "rectangular"), ("oval", None)])
def test_one_of_a_few_words(text: str, value: str | None) -> None:
    assert read(lambda cell: cells.choice(cell, ("round", "rectangular")), text) == value


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("Mon", "Mon"),
        ("monday", "Mon"),
        ("TUES.", "Tue"),
        ("Mon-Fri", "Mon-Fri"),
        ("saturday - Monday", "Sat-Mon"),
        ("Tue – thurs", "Tue-Thu"),  # noqa: RUF001 - a dash as spreadsheets put it in place of a hyphen
        ("Mon, Tue", "Mon, Tue"),
        ("Tue & thurs", "Tue, Thu"),
        ("mon/wed/fri.", "Mon, Wed, Fri"),
        ("Mon - Wed; Sat", "Mon-Wed, Sat"),
        ("Mon, Wed, and Friday", "Mon, Wed, Fri"),
        ("Mon Wed", "Mon, Wed"),
        ("2027-03-10", "2027-03-10"),
        ("2027-03-10 00:00:00", "2027-03-10"),
        ("Mo", None),
        ("Mondays", None),
        ("Mon-", None),
        ("Mon,", None),
        ("Mon, 3 Mar", None),
        ("Monand Tue", None),
        ("Montag", None),
        ("2027-02-30", None),
    ],
)
def test_days_of_work(text: str, value: str | None) -> None:
    assert read(cells.work_days, text) == value


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("plain", "plain"),
        ("007", "007"),
        ("3/4", "3/4"),
        ("'=1+1", "=1+1"),
        ("'+SUM(A1:A10)", "+SUM(A1:A10)"),
        ("'-2*3", "-2*3"),
        ("'@x", "@x"),
        ("'\t=1", "\t=1"),
        ("' =1", " =1"),
        ("=1+1", "=1+1"),
        ("'tis the season", "'tis the season"),
        ("'", "'"),
    ],
)
def test_text_is_as_it_stands_but_for_the_sign_that_keeps_it_text(text: str, value: str) -> None:
    """The strings are of OWASP, "CSV Injection"."""
    assert read(cells.words, text) == value


@pytest.mark.parametrize("reader", [*cells.BY_KIND.values(), cells.percent, cells.work_days])
def test_a_blank_is_blank(reader: Reader) -> None:
    assert read(reader, None) is None
