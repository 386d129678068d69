"""What the workbook says, as plain data, before it is drawn."""

from __future__ import annotations

import ast
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import polars as pl
import pytest

from pipeline.writing.book import Book, book
from pipeline.writing.book.cells import Live, Plain, Tab
from pipeline.writing.book.grid import letter
from schemas import SHEETS_OUT
from tests.writing import example

WRITING = Path(__file__).resolve().parents[2] / "pipeline" / "writing"

TABS = [
    "summary", "contents", "clay to buy", "packs to buy", "materials to buy", "glaze to mix", "wedging",
    "calendar", "promises", "day by day", "schedule", "kiln loads", "kiln contents", "load sheets",
    "hours", "charts", "space", "stage hours", "pieces", "pace", "costs", "earnings", "materials",
    "labour", "firing costs", "overhead", "piece costs", "losses",
    "opening balances", "stock differences", "purchases", "materials ledger", "sales", "costs put in", "seconds",
    "part-made", "equivalent units", "finished goods", "cost of goods", "closing balances", "stock count", "journal",
    "more entries", "checks", "orders", "prices", "lots", "shares", "assumptions", "problems",
]  # fmt: skip


@pytest.fixture(scope="module")
def plan() -> Book:
    return book(example.job(), example.results())


def tab_of(plan: Book, name: str) -> Tab:
    return next(tab for tab in plan.tabs if tab.name == name)


def values(tab: Tab) -> list[list[object]]:
    return [[cell.value if cell else None for cell in row] for row in tab.rows]


def named(tab: Tab, heading: str, row: int) -> object:
    """The value under a heading, ``row`` rows below it."""
    rows = values(tab)
    at = next(number for number, cells in enumerate(rows) if heading in cells)
    return rows[at + row][rows[at].index(heading)]


def test_tabs_in_the_order_in_which_they_are_read(plan: Book) -> None:
    assert [tab.name for tab in plan.tabs] == TABS


def test_every_tab_says_what_it_is_and_what_a_row_is(plan: Book) -> None:
    for tab in plan.tabs:
        rows = values(tab)
        assert rows[0][0]
        assert rows[1][0]
        if tab.name not in ("summary", "charts"):
            assert str(rows[1][0]).startswith("One row is ")


def test_contents_lead_to_every_tab_and_name_the_totals(plan: Book) -> None:
    tab = tab_of(plan, "contents")
    found = {
        cell.value: cell.formula
        for row in tab.rows
        for cell in row
        if isinstance(cell, Live) and "HYPERLINK" in cell.formula
    }
    assert set(found) == set(TABS[2:])
    assert found["clay to buy"] == '=HYPERLINK("#\'clay to buy\'!A1","clay to buy")'
    said = {row[at]: row[at + 1 :] for row in values(tab) for at in (0, 3) if len(row) > at and row[at]}
    assert said["purchases"] == ["What to buy of whom and by when: net, tax and gross"]
    assert said["journal"] == ["One row is a side of an entry"]
    # 13.80 + 9.60 bought; 352.00 + 244.20 with their tax; 3.20 + 0 + 25.89 + 3.76 + 12.00 of stock at the close.
    totals = {name: cells[-1] for name, cells in said.items() if str(name).endswith("_total")}
    assert set(totals) == {name for name in plan.names if name.endswith("_total")}
    assert totals["purchases_net_total"] == Decimal("23.40")
    assert totals["sales_gross_total"] == Decimal("596.20")
    assert totals["closing_stock_total"] == Decimal("44.85")
    assert totals["closing_deposits_total"] == 0
    assert totals["cost_of_goods_sold_total"] == Decimal("81.91")


def test_formula_cells_have_one_maker() -> None:
    """So that none can lack its value: `Live` stands in a call nowhere but in `live`."""
    makers = [
        (path.name, node.lineno)
        for path in WRITING.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Live"
    ]
    assert [name for name, _ in makers] == ["cells.py"]


def test_no_text_of_the_sheets_is_in_a_formula(plan: Book) -> None:
    """Customers, orders, forms and notes are values; a formula names cells only."""
    formulas = [cell.formula for tab in plan.tabs for row in tab.rows for cell in row if isinstance(cell, Live)]
    assert len(formulas) > 150
    for word in (example.FORMULA, example.LINK, "@fair", "fern*", "Mill Lane", "mug", "back kiln", "throw"):
        assert not [formula for formula in formulas if word in formula[1:]]


def test_summary(plan: Book) -> None:
    rows = values(tab_of(plan, "summary"))
    figures = {str(row[0]): row[1] for row in rows if len(row) > 2}
    assert rows[0] == ["Plan from 1 March 2027"]
    # 20 + 12 + 4 wanted; 22 + 13 + 5 begun; 18.11 + 20.60 + 13.29 = 52.00 of materials; 781 minutes = 13 h 1 min.
    assert figures["order lines"] == 3
    assert figures["good pieces wanted"] == 36
    assert figures["pieces still to start"] == 40
    assert figures["lines that are late"] == 1
    assert figures["last line ready on"] == date(2027, 3, 23)
    assert figures["cost of clay to buy EUR"] == Decimal("13.80")
    assert figures["hours of work"] == pytest.approx(781 / 60, abs=1e-9)
    assert figures["kiln loads"] == 2
    assert figures["materials EUR"] == Decimal("52.00")
    assert figures["book cost, for the books EUR"] == Decimal("102.55")  # 32.28 + 50.38 + 19.89
    assert figures["full cost, for pricing EUR"] == Decimal("375.48")  # 163.16 + 134.68 + 77.64
    assert figures["sales EUR"] == Decimal("542.00")
    assert figures["doubts about the sheets"] == 1
    mended = "only a due date 4 days later (2027-03-23)"
    assert ["A-1", 1, "mug", "oat", date(2027, 3, 19), date(2027, 3, 23), 4, "drying before bisque", mended] in rows
    said = " ".join(str(row[0]) for row in rows if row)
    for caution in ("never dry-sweep", "licensed electrician", "heavy", "leaching", "accountant"):
        assert caution in said


def test_nothing_late_is_said_in_so_many_words() -> None:
    results = example.results()
    results["promises"] = results["promises"].filter(pl.col("days_late").is_null())
    said = [row[0] for row in values(tab_of(book(example.job(), results), "summary")) if row]
    assert "Nothing is late." in said
    assert "What is late" not in said


def test_promises_say_late_in_a_word(plan: Book) -> None:
    tab = tab_of(plan, "promises")
    assert [named(tab, "in time?", row) for row in (1, 2, 3)] == ["LATE", "in time", "no due date"]


def test_hours_by_day_and_stage(plan: Book) -> None:
    tab = tab_of(plan, "hours")
    # Tuesday the 2nd: 76 minutes of throwing and 24 of wedging; Ada has 5 hours and Tam 4.
    assert named(tab, "date", 2) == date(2027, 3, 2)
    assert named(tab, "throw", 2) == pytest.approx(76 / 60)
    assert named(tab, "wedge", 2) == pytest.approx(24 / 60)
    assert named(tab, "worked", 2) == pytest.approx(100 / 60)
    assert named(tab, "available", 2) == pytest.approx(9)
    assert named(tab, "free", 2) == pytest.approx(9 - 100 / 60)
    # Saturday, and the 10th, a closed Wednesday: nobody works.
    assert (named(tab, "day", 6), named(tab, "available", 6)) == ("Sat", 0)
    assert (named(tab, "day", 10), named(tab, "available", 10)) == ("Wed, closed", 0)
    # 23 dates, then the total.
    assert named(tab, "date", 23) == date(2027, 3, 23)
    assert named(tab, "worked", 24) == pytest.approx(781 / 60)


def test_the_chart_stacks_the_stages_by_date(plan: Book) -> None:
    chart = tab_of(plan, "charts").charts[0]
    assert [series.name for series in chart.columns] == [f"'hours'!${at}$5" for at in "CDEFGHI"]
    assert [series.name for series in chart.dashes] == ["'hours'!$K$5"]
    assert chart.columns[1].values == "'hours'!$D$6:$D$28"
    assert chart.columns[1].categories == "'hours'!$A$6:$A$28"


def test_the_other_charts(plan: Book) -> None:
    """Bats and boards side by side by date; how full the kiln is by load, out of 100."""
    _, space, kiln = tab_of(plan, "charts").charts
    assert [series.name for series in space.columns] == [f"'space'!${at}$4" for at in "BC"]
    assert space.columns[1].values == "'space'!$C$5:$C$9"
    assert space.columns[1].categories == "'space'!$A$5:$A$9"
    assert (space.stacked, space.dashes) == (False, ())
    assert [(series.categories, series.values) for series in kiln.columns] == [
        ("'kiln loads'!$A$5:$A$6", "'kiln loads'!$H$5:$H$6")
    ]
    assert kiln.top == 100


def test_a_studio_without_bats_or_kiln_has_the_chart_of_its_hours() -> None:
    results = example.without_rows("kiln_loads")
    waiting = results["space"].filter(pl.col("kind") == "waiting")
    tab = tab_of(book(example.job(), results | {"space": waiting}), "charts")
    assert [chart.axis for chart in tab.charts] == ["hours"]
    assert tab_of(book(example.job(), example.without_rows(*SHEETS_OUT)), "charts").charts == ()


def test_a_load_sheet_says_what_goes_in_and_when(plan: Book) -> None:
    """22 + 13 + 5 = 40 pieces; 33.3333 + 26.25 + 12.5 = 72.0833 % of the kiln."""
    rows = values(tab_of(plan, "load sheets"))
    assert rows[0] == ["Load L1: bisque, back kiln"]
    assert rows[3:6] == [["load", "L1"], ["load on", date(2027, 3, 12)], ["unload on", date(2027, 3, 15)]]
    assert rows[7] == ["batch", "order", "form", "glaze", "pieces", "share %", "came out well"]
    assert [(row[0], row[2], row[4]) for row in rows[8:11]] == [
        ("B1", "mug", 22),
        ("B2", "plate", 13),
        ("B3", "jug", 5),
    ]
    assert rows[11][4:6] == [40, pytest.approx(72.0833)]
    assert rows[12] == ["Load L2: glaze, back kiln"]


def test_a_load_of_more_than_a_page_has_its_heading_on_each() -> None:
    """50 batches in a load are 20, 20 and 10: three sheets, which begin a page each."""
    results = example.results()
    (first, *_) = results["kiln_loads"].partition_by("load", maintain_order=True)
    many = pl.concat([first.head(1).with_columns(batch=pl.lit(f"B{number}")) for number in range(1, 51)])
    tab = tab_of(book(example.job(), results | {"kiln_loads": many}), "load sheets")
    rows = values(tab)
    titles = [at for at, row in enumerate(rows) if row and str(row[0]).startswith("Load L1")]
    assert [rows[at][0] for at in titles] == [f"Load L1: bisque, back kiln, sheet {page} of 3" for page in (1, 2, 3)]
    assert tab.print.new_pages == tuple(titles[1:])
    assert [rows[at + 7][:2] for at in titles] == [["batch", "order"]] * 3
    assert [rows[at + 8][0] for at in titles] == ["B1", "B21", "B41"]


def calendar_rows(plan: Book) -> dict[str, list[object]]:
    """The calendar's cells of each batch, from 1 March on."""
    return {str(row[3]): row[5:] for row in values(tab_of(plan, "calendar")) if len(row) > 10 and row[3]}


def test_calendar_shows_each_day_of_a_batch_in_letters(plan: Book) -> None:
    rows = calendar_rows(plan)
    assert rows["B1"] == [
        "We", "Th", "Tu", None, None, None, None, None, None, None, None,
        "BF\nin", "BF", "BF", "BF\nout", "Gl", None, "GF\nin", "GF", "GF", "GF", "GF\nout", "Fi",
    ]  # fmt: skip


def test_calendar_has_cells_on_days_with_work_alone(plan: Book) -> None:
    """B1 is worked on or fired on 14 of the 23 dates from 1 March: on 1 to 3, 12 to 16 and 18 to 23, behind five
    labels. Of a large plan it is some such 14 of a thousand."""
    blocks = tab_of(plan, "calendar").blocks
    batch = next(block for block in blocks if 3 in block.columns and block.columns[3].values[0] == "B1")
    assert list(batch.columns) == [0, 1, 2, 3, 4, *(4 + day for day in (1, 2, 3, *range(12, 17), *range(18, 24)))]


def test_a_row_looked_at_is_what_is_written(plan: Book) -> None:
    """The formula of a column stands for the row's own number, that of a total for all rows."""
    tab = tab_of(plan, "materials")
    rows = [row for row in tab.rows if len(row) > 9 and isinstance(row[9], Live)]
    assert [cell.formula for cell in (rows[0][9], rows[1][9])] == ["=K6-ROUND(G6*I6,2)", "=K7-ROUND(G7*I7,2)"]
    assert tab.cell(5, 9) == rows[0][9]
    assert tab.cell(5, 99) is None
    assert tab.cell(4_000, 9) is None


def test_calendar_shows_two_stages_of_one_day() -> None:
    results = example.results()
    moved = pl.when((pl.col("batch") == "B1") & (pl.col("stage") == "throw")).then(example.march(1))
    results["schedule"] = results["schedule"].with_columns(date=moved.otherwise(pl.col("date")))
    assert calendar_rows(book(example.job(), results))["B1"][:3] == ["We\nTh", None, "Tu"]


def test_calendar_heads_show_dates_weekdays_and_closed_days(plan: Book) -> None:
    rows = values(tab_of(plan, "calendar"))
    at = next(number for number, row in enumerate(rows) if row and row[0] == "order")
    assert rows[at - 2][5:8] == [date(2027, 3, 1), date(2027, 3, 2), date(2027, 3, 3)]
    assert rows[at - 1][5:12] == ["Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"]
    assert [day for day, closed in enumerate(rows[at][5:], 1) if closed == "x"] == [10, 11]


def test_what_is_done_each_day_in_words(plan: Book) -> None:
    rows = values(tab_of(plan, "day by day"))
    assert [example.march(2), "Tue", "throw", "22 mug oat (B1)"] in rows
    assert [example.march(10), "Wed", "closed", "pot fair"] in rows
    load = "load L1 in back kiln: 22 mug oat (B1), 13 plate (B2), 5 jug fern* (B3)"
    assert [example.march(12), "Fri", "bisque firing", load] in rows
    # Tuesday the 2nd: wedging comes before throwing, whatever the rows of the schedule.
    assert [row[2] for row in rows if row and row[0] == example.march(2)] == ["wedge", "throw"]


def test_a_year_fits_the_calendar() -> None:
    results = example.results()
    late = results["schedule"].tail(1).with_columns(date=pl.lit(date(2028, 2, 29)))
    results["schedule"] = pl.concat([results["schedule"], late])
    tab = tab_of(book(example.job(), results), "calendar")
    # 1 March 2027 to 29 February 2028: 366 days, 31 a page and the last 25 on the twelfth.
    assert len(calendar_rows(book(example.job(), results))["B3"]) == 366
    assert tab.print.pages_across == 12


def test_kiln_loads_have_totals(plan: Book) -> None:
    tab = tab_of(plan, "kiln loads")
    # 22 + 13 + 5 pieces; 33.3333 + 26.25 + 12.5 = 72.0833 %
    assert named(tab, "pieces", 1) == 40
    assert named(tab, "share %", 1) == pytest.approx(72.0833)
    assert named(tab, "batches", 1) == 3


def test_space_has_a_column_an_item_and_the_most_of_each(plan: Book) -> None:
    tab = tab_of(plan, "space")
    assert [named(tab, "small bats, of 20", row) for row in range(1, 7)] == [20, 13, 0, 5, 0, 20]
    assert named(tab, "date", 6) == "most"


def test_headings_are_words_with_their_unit_and_a_note(plan: Book) -> None:
    tab = tab_of(plan, "clay to buy")
    heads = [cell.value for cell in tab.rows[tab.freeze[0] - 1] if cell]
    assert heads[:4] == ["no.", "clay", "supplier", "needed kg"]
    assert "cost EUR" in heads
    assert tab.notes[tab.freeze[0] - 1, 3] == "Clay the orders take, handles and spare clay included."


@pytest.mark.parametrize(("currency", "heading", "cost"), [("", "cost", "13.80"), ("GBP", "cost GBP", "13.80")])
def test_money_is_named_in_the_heading(currency: str, heading: str, cost: str) -> None:
    tab = tab_of(book(example.job_in(currency), example.results()), "clay to buy")
    assert named(tab, heading, 1) == Decimal(cost)


def test_formulas_round_to_the_places_of_the_currency() -> None:
    tab = tab_of(book(example.job_in("JPY"), example.results()), "materials")
    formulas = [row[9].formula for row in tab.rows if len(row) > 9 and isinstance(row[9], Live)]
    assert formulas[0] == "=K6-ROUND(G6*I6,0)"


ALWAYS = ("summary", "contents", "orders", "charts", "checks", "prices", "lots", "more entries")
"""Tabs that have rows in any plan."""


def test_empty_results_say_so() -> None:
    job = example.job()
    # What was carried over would differ from the nothing that there is.
    plan = book(replace(job, opening_balances=job.opening_balances.clear()), example.without_rows(*SHEETS_OUT))
    for tab in plan.tabs:
        if tab.name not in ALWAYS:
            assert any(cell and cell.value == "nothing to show" for row in tab.rows for cell in row), tab.name
            assert tab.filter is None
    figures = {str(row[0]): row[1] for row in values(plan.tabs[0]) if len(row) > 2}
    assert figures["kiln loads"] == 0
    assert figures["full cost, for pricing EUR"] == 0
    assert figures["last day of work"] == ""


def test_blank_cells_stay_blank(plan: Book) -> None:
    tab = tab_of(plan, "orders")
    assert [named(tab, "due", row) for row in (1, 2, 3)] == [date(2027, 3, 19), date(2027, 4, 30), None]
    assert isinstance(tab.rows[tab.freeze[0] + 2][6], Plain)


@pytest.mark.parametrize(
    ("column", "letters"),
    [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")],
)
def test_column_letters(column: int, letters: str) -> None:
    """As every spreadsheet counts its columns."""
    assert letter(column) == letters
