"""Results as CSV: the exact bytes, and no text that a spreadsheet would run."""

from __future__ import annotations

import csv
from datetime import date
from decimal import Decimal
from io import StringIO

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.writing.csvs import csv_bytes, csv_text
from schemas import SHEETS_IN, SHEETS_OUT
from schemas.sheet import blank, columns
from tests.writing import example

ASSUMPTIONS = SHEETS_OUT["assumptions"]


def assumptions(*texts: str | None) -> pl.DataFrame:
    what = pl.Series(texts, dtype=pl.String)
    return pl.DataFrame({"what": what, "value": ["x"] * len(texts), "why": ["y"] * len(texts)})


def written(text: str | None) -> str:
    """The first cell of a row as a CSV reader gives it back."""
    rows = list(csv.reader(StringIO(csv_text(ASSUMPTIONS, assumptions(text), 2), newline="")))
    return rows[1][0]


def test_the_clay_buying_list_to_the_byte() -> None:
    assert csv_text(SHEETS_OUT["clay_to_buy"], example.results()["clay_to_buy"], 2) == (
        "clay,supplier,needed_kg,on_hand_kg,keep_kg,reclaim_kg,short_kg,bag_kg,bags_to_buy,bought_kg,left_kg,"
        "bag_price,cost,order_by\r\n"
        "buff,North Yard,14.101,4.5,2.5,0.3,11.801,12.5,1,12.5,3.199,13.80,13.80,2027-03-01\r\n"
        "dark,,11.152,21.5,5,0,0,10,0,0,10.348,15.25,0.00,\r\n"
    )


def test_a_file_begins_with_the_mark_and_standard_output_does_not() -> None:
    frame = assumptions("Café")
    assert csv_bytes(ASSUMPTIONS, frame, 2) == b"\xef\xbb\xbfwhat,value,why\r\nCaf\xc3\xa9,x,y\r\n"
    assert csv_text(ASSUMPTIONS, frame, 2).startswith("what,")


@pytest.mark.parametrize("name", SHEETS_OUT)
def test_an_empty_sheet_is_its_headings(name: str) -> None:
    model = SHEETS_OUT[name]
    assert csv_text(model, blank(model), 2) == ",".join(column.name for column in columns(model)) + "\r\n"


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        # RFC 4180, 2.6 and 2.7: fields with commas, quotes and line ends stand in quotes, a quote is doubled.
        ("round, low", '"round, low"'),
        ('the "good" one', '"the ""good"" one"'),
        ("two\nlines", '"two\nlines"'),
        ("plain; not quoted", "plain; not quoted"),
        (None, ""),
    ],
)
def test_quotes(text: str | None, cell: str) -> None:
    assert csv_text(ASSUMPTIONS, assumptions(text), 2) == f"what,value,why\r\n{cell},x,y\r\n"


@pytest.mark.parametrize(
    "text",
    # The first characters that OWASP, "CSV Injection", names, and its warning of full-width ones.
    [
        "=1+1",
        "+1+1",
        "-1+1",
        "@SUM(A1)",
        "\t=1",
        "\r=1",
        "\n=1",
        "  =1+1",
        "＝1+1",  # noqa: RUF001 - the full-width sign is what is tested
        "-",
        "=",
        "-2 mugs",
        "+44 20 555",
        "'=1",
    ],
)
def test_text_that_would_start_a_formula_gets_a_mark(text: str) -> None:
    assert written(text) == f"'{text}"


@pytest.mark.parametrize("text", ["-5", "+5", "-1.5", "1,234.5", "A-1", "a=b", "'tis", "5 kg", ""])
def test_other_text_stays_as_it_is(text: str) -> None:
    assert written(text) == text


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=12))
def test_any_text_comes_back_and_never_starts_a_formula(text: str) -> None:
    cell = written(text)
    assert cell in (text, f"'{text}")
    starts = cell.lstrip()[:1] in tuple("=+-@") or cell[:1] in ("\t", "\r", "\n")
    assert not cell or not starts or cell.strip().lstrip("+-").replace(",", "").replace(".", "").isdecimal()


def costs(unit_cost: str, cost: str, quantity: float = 1.0) -> str:
    """A row's last columns but for the rounding: quantity, unit, unit_cost, cost."""
    row = ("o", "f", None, "clay", None, quantity, "kg", unit_cost, "0", cost)
    model = SHEETS_OUT["materials_cost"]
    cells = csv_text(model, example.sheet(model, row), 2).splitlines()[1].removeprefix("o,f,,clay,,").split(",")
    return ",".join((*cells[:3], *cells[4:]))


@pytest.mark.parametrize(
    ("unit_cost", "cost", "cells"),
    [
        ("1.104", "9.69", "1.104,9.69"),  # a price keeps what it needs
        ("12.5", "10", "12.50,10.00"),  # and has at least the places of the currency
        ("100", "0", "100.00,0.00"),
        ("0.000001", "1234567.8", "0.000001,1234567.80"),
    ],
)
def test_money(unit_cost: str, cost: str, cells: str) -> None:
    assert costs(unit_cost, cost) == f"1,kg,{cells}"


@pytest.mark.parametrize(
    ("digits", "cells"), [(0, "1200,0,100"), (2, "1200.00,0.00,100.00"), (3, "1200.000,0.000,100.000")]
)
def test_money_has_the_places_of_its_currency(digits: int, cells: str) -> None:
    row = ("o", "f", None, "clay", None, 1.0, "kg", "1200", "0", "100")
    model = SHEETS_OUT["materials_cost"]
    assert csv_text(model, example.sheet(model, row), digits).splitlines()[1] == f"o,f,,clay,,1,kg,{cells}"


@pytest.mark.parametrize(
    ("number", "cell"),
    [
        (0.1 + 0.2, "0.3"),  # not 0.30000000000000004
        (1234567.0, "1234567"),
        (1e9, "1000000000"),  # no exponent
        (0.00001, "0.00001"),
        (100.0, "100"),
        (22.67962, "22.67962"),  # two bags of 25 lb
        (0.0, "0"),
    ],
)
def test_numbers_have_no_noise_and_no_exponent(number: float, cell: str) -> None:
    assert costs("1", "1", number) == f"{cell},kg,1.00,1.00"


def test_hours_and_percentages_have_four_places_at_most() -> None:
    # 25 minutes are 0.41666… hours; a share of 1 in 3 is 33.3333 %.
    row = ("o", "f", None, "throw", 5, 5.0, 1, 25 / 60, "7.50", "0")
    model = SHEETS_OUT["stage_hours"]
    assert ",0.4167,7.50," in csv_text(model, example.sheet(model, row), 2)
    row = ("L1", "bisque", "k", date(2027, 3, 1), date(2027, 3, 2), "B1", "o", "f", None, 1, 100 / 3)
    model = SHEETS_OUT["kiln_loads"]
    assert csv_text(model, example.sheet(model, row), 2).endswith(",1,33.3333\r\n")


def test_a_loss_keeps_its_sign_and_nought_has_none() -> None:
    model = SHEETS_OUT["job_costs"]
    row = ("o", None, "f", None, 1, 1, 0, *["0"] * 5, 0.0, *["0"] * 6, "1", "1", "-2.50", -0.00001)
    assert csv_text(model, example.sheet(model, row), 2).endswith(",1.00,1.00,-2.50,0\r\n")


def test_yes_and_no_are_words_and_dates_are_iso() -> None:
    model = SHEETS_IN["labour_hours"]
    rows = [("Ada", "Mon", 5.0, Decimal(18), True, None), ("Tam", "Tue", 4.5, Decimal("14.5"), False, "glaze; wedge")]
    assert csv_text(model, example.sheet(model, *rows), 2).splitlines()[1:] == [
        "Ada,Mon,5,18.00,yes,",
        "Tam,Tue,4.5,14.50,no,glaze; wedge",
    ]
    model = SHEETS_IN["closed_days"]
    assert (
        csv_text(model, example.sheet(model, (date(2027, 1, 2), None, None)), 2) == "from,to,note\r\n2027-01-02,,\r\n"
    )
