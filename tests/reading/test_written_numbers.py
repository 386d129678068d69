"""Numbers and money with every mark that people put into them, decided from the whole sheet."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from pipeline.reading.currencies import without_currency
from pipeline.reading.numerals import decimal_mark, plainly, says
from tests.reading.folders import assumed, job_of, read, told

STOCK = "clay;bag_kg;bags;bag_price;loose_kg\nbuff;{};{};{};{}\n"


@pytest.mark.parametrize(
    ("numeral", "point", "comma"),
    [
        ("1,234.5", "1234.5", None),
        ("1.234,5", None, "1234.5"),
        ("1 234,5", None, "1234.5"),
        ("1\u00a0234,5", None, "1234.5"),
        ("1\u202f234.5", "1234.5", None),
        ("1'234.50", "1234.50", None),
        ("1\u2019234", "1234", "1234"),
        ("1 234 567", "1234567", "1234567"),
        ("1,234", "1234", "1.234"),
        ("1.234", "1.234", "1234"),
        ("1,234,567", "1234567", None),
        ("1.234.567", None, "1234567"),
        ("0.250", "0.250", None),
        ("1234.567", "1234.567", None),
        ("12.5", "12.5", None),
        ("12,5678", None, "12.5678"),
        (",5", None, "0.5"),
        ("5.", "5", None),
        ("1,23,456", None, None),
        ("1 234'567", None, None),
        ("1,2,3", None, None),
    ],
)
def test_a_number_by_either_decimal_mark(numeral: str, point: str | None, comma: str | None) -> None:
    assert (plainly(numeral, "."), plainly(numeral, ",")) == (point, comma)


@pytest.mark.parametrize(
    ("cell", "shown"), [("12.5", "."), ("12,5", ","), ("1,234", "open"), ("1 234", ""), ("24", ""), ("0,250", ",")]
)
def test_what_a_number_shows(cell: str, shown: str) -> None:
    assert says([cell]) == shown


def test_the_most_decide_and_the_fewer_are_told() -> None:
    decision = decimal_mark({"12,5": 3, "1.5": 1, "1,234": 9}, None, semicolons=False)
    assert (decision.way, decision.shown_by, decision.against) == (",", "12,5", {"1.5"})


def test_as_many_for_one_as_for_the_other_decide_nothing() -> None:
    assert decimal_mark({"12,5": 1, "1.5": 1}, None, semicolons=False).against == {"12,5", "1.5"}
    assert decimal_mark({"12,5": 1, "1.5": 1}, ".", semicolons=False).against == {"12,5"}


def test_semicolons_show_a_decimal_comma_where_nothing_else_does() -> None:
    """Common practice, no source: spreadsheets put semicolons where the comma is taken."""
    assert decimal_mark({"1,234": 1}, None, semicolons=True).way == ","
    assert decimal_mark({"1,234": 1}, None, semicolons=False).way is None
    assert decimal_mark({"1,234": 1}, ".", semicolons=True).way == "."
    assert decimal_mark({"1.234": 1}, None, semicolons=True).way is None
    assert decimal_mark({"1,234": 1, "12.5": 1}, None, semicolons=True).way == "."


@pytest.mark.parametrize(
    "cells",
    [
        ("12.5", "1,200", "13.80", "4.5"),
        ("12,5", "1.200", "13,80", "4,5"),
        ("12,5", "1 200", "13,80 €", "4,5"),
        ("12.50", "1'200", "€13.80", "4.5"),
        ("12,5 kg", "1200", "EUR 13,80", "4500 g"),
        ("12500 g", "1200", "13,8", "4,5"),
    ],
)
def test_one_stock_in_many_hands(tmp_path: Path, cells: tuple[str, ...]) -> None:
    job = job_of(tmp_path, clay_stock=STOCK.format(*cells))
    expected = (12.5, 1200, Decimal("13.80"), 4.5)
    assert job.clay_stock.select("bag_kg", "bags", "bag_price", "loose_kg").row(0) == expected


def test_another_sheet_of_the_folder_may_have_the_other_mark(tmp_path: Path) -> None:
    job = job_of(
        tmp_path,
        clay_stock=STOCK.format("12,5", "1.200", "13,80", "4,5"),
        forms='form,clay,ball_g\nmug,buff,"1,380.5"\n',
    )
    assert job.forms["ball_g"].to_list() == [1380.5]


@pytest.mark.parametrize("cell", ["1,234", "1.234"])
@pytest.mark.parametrize("mark", [".", ","])
def test_the_setting_decides_what_the_sheet_leaves_open(tmp_path: Path, cell: str, mark: str) -> None:
    """By a point 1,234 is a thousand and more, by a comma it is a little more than one; 1.234 the other way round."""
    forms = f'form,clay,ball_lb\nmug,buff,"{cell}"\n'
    assert told(read(tmp_path, forms=forms)) == [("forms", 2, "ball_g", "ambiguous number")]
    chosen = read(tmp_path, forms=forms, settings=f'name,value\ndecimal_mark,"{mark}"\n')
    assert chosen.job is not None
    # 1.234 lb x 453.59237 g = 559.73298; 1234 lb x 453.59237 g = 559732.98458
    assert chosen.job.forms["ball_g"].to_list() == [559.733 if cell[1] == mark else 559732.985]


def test_settings_are_read_by_their_own_mark(tmp_path: Path) -> None:
    settings = (
        'name,value\noverhead_per_hour,"1,250"\nspare_clay_pct,"5,5 %"\ndecimal_mark,","\nenergy_price,"€ 0,28"\n'
    )
    job = job_of(tmp_path, settings=settings)
    assert job.settings.overhead_per_hour == Decimal("1.250")
    assert job.settings.spare_clay_pct == 5.5
    assert job.settings.energy_price == Decimal("0.28")
    assert assumed(job)["settings.spare_clay_pct: `5,5 %`"] == "5.5"


def test_hours_and_minutes_in_fractions(tmp_path: Path) -> None:
    hours = job_of(tmp_path, labour_hours="worker,day,hours\nAda,Mon,7 1/2\n").labour_hours["hours"]
    assert hours.to_list() == [7.5]


@pytest.mark.parametrize(
    ("cell", "amount", "sign"),
    [
        ("£12.50", "12.50", "£"),
        ("12,50 €", "12,50", "€"),
        ("EUR 12.50", "12.50", "EUR"),
        ("12.50 eur", "12.50", "eur"),
        ("-£5", "-5", "£"),
        ("£-5", "-5", "£"),
        ("US$ 4", "4", "US$"),
        ("kr 12", "12", "kr"),
        ("12.50", "12.50", None),
        ("12.50 each", "12.50 each", None),
    ],
)
def test_an_amount_without_its_currency(cell: str, amount: str, sign: str | None) -> None:
    assert without_currency(cell) == (amount, sign)


@pytest.mark.parametrize("cell", ["$14", "14 AUD", "A$14.00"])
def test_signs_that_may_be_the_currency_of_the_settings(tmp_path: Path, cell: str) -> None:
    orders = f"order,form,quantity,unit_price\nA1,mug,24,{cell}\n"
    job = job_of(tmp_path, orders=orders, settings="name,value\ncurrency,AUD\n")
    assert job.orders["unit_price"].to_list() == [Decimal(14)]


@pytest.mark.parametrize(
    ("cell", "kind", "what_to_do"),
    [
        ("about 40", "about a number", "such as 40"),
        ("ca. 12", "about a number", "such as 12"),
        ("~40", "about a number", "such as 40"),
        ("40ish", "about a number", "such as 40"),
        ("40-50", "about a number", "such as 40"),
        ("40?", "about a number", "such as 40"),
        ("24 + 2", "sum in a cell", "type 26, or 24 alone"),
        ("2 x 12", "sum in a cell", "type 24, or 2 alone"),
        ("24 (blue)", "note in a number", "type 24 alone"),
        ("24 mugs", "note in a number", "type 24 alone"),
        ("4-Mar", "fraction turned into a date", "type 0.75"),
        ("2027-03-04", "fraction turned into a date", "type 0.75"),
        ("two dozen", "not a whole number", "such as 60"),
    ],
)
def test_what_is_no_number_and_what_to_type(tmp_path: Path, cell: str, kind: str, what_to_do: str) -> None:
    reading = read(tmp_path, orders=f"order,form,quantity\nA1,mug,{cell}\n")
    assert told(reading) == [("orders", 2, "quantity", kind)]
    assert what_to_do in reading.problems["what_to_do"].item()
    assert reading.problems["value"].item() == cell


@pytest.mark.parametrize("label", ["Total", "Sub-total", "Subtotal:", "GRAND TOTAL", "Total Harbour", "Sum"])
def test_a_row_that_sums_up_others(tmp_path: Path, label: str) -> None:
    orders = f"order,form,quantity\nA1,mug,24\n{label},,24\nA2,mug,6\n,{label},30\n"
    assert told(read(tmp_path, orders=orders)) == [
        ("orders", 3, "order", "sub-total"),
        ("orders", 5, "form", "sub-total"),
    ]


def test_an_order_may_be_called_total(tmp_path: Path) -> None:
    assert job_of(tmp_path, orders="order,form,quantity\nTotal Home,mug,24\n").orders.height == 1
