"""LibreOffice recalculates the workbook: every cell must equal its cached value, and the CSVs."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from io import BytesIO, StringIO
from pathlib import Path

import openpyxl
import pytest

from pipeline.writing.book import Book, book
from pipeline.writing.book.tables import TYPE_HERE, heading
from pipeline.writing.csvs import csv_text
from pipeline.writing.xlsx import draw
from schemas import SHEETS_OUT
from schemas.sheet import columns
from tests.writing import example
from tests.writing.libreoffice import Tabs, recalculated, save

TAB_OF = {
    "pieces": "pieces",
    "clay_to_buy": "clay to buy",
    "packs_to_buy": "packs to buy",
    "clay_to_wedge": "wedging",
    "glaze_batches": "glaze to mix",
    "materials_to_buy": "materials to buy",
    "stage_hours": "stage hours",
    "materials_cost": "materials",
    "schedule": "schedule",
    "kiln_loads": "kiln contents",
    "promises": "promises",
    "pace": "pace",
    "labour": "labour",
    "firing_costs": "firing costs",
    "overhead": "overhead",
    "job_costs": "costs",
    "earnings": "earnings",
    "piece_costs": "piece costs",
    "losses": "losses",
    "purchases": "purchases",
    "materials_ledger": "materials ledger",
    "sales": "sales",
    "costs_put_in": "costs put in",
    "part_made": "part-made",
    "finished_goods": "finished goods",
    "cost_of_goods": "cost of goods",
    "stock_differences": "stock differences",
    "closing_balances": "closing balances",
    "stock_count": "stock count",
    "journal": "journal",
    "assumptions": "assumptions",
    "problems": "problems",
}
"""Tabs that are their sheet, column for column."""

ON_ANOTHER_TAB = {"clay_to_buy": {"bag_kg", "bag_price"}, "stage_hours": {"labour_cost", "own_labour"}}
"""Columns that a tab leaves out: those of bags stand on the tab of the packs, where a change moves the cost; those of
labour on the labour tab."""


@pytest.fixture(scope="module")
def plan() -> Book:
    return book(example.job(), example.results())


@pytest.fixture(scope="module")
def tabs(plan: Book, tmp_path_factory: pytest.TempPathFactory) -> Tabs:
    room = tmp_path_factory.mktemp("libreoffice")
    (room / "plan.xlsx").write_bytes(draw(plan))
    return recalculated(room / "plan.xlsx", room)


def same(shown: str, value: object) -> bool:
    """Whether LibreOffice shows a value; it writes 15 digits, and dates as month/day/year."""
    match value:
        case None | "":
            return shown == ""
        case date():
            return shown != "" and datetime.strptime(shown, "%m/%d/%Y").date() == value
        case int() | float() | Decimal():
            return shown != "" and float(shown) == pytest.approx(float(value), rel=1e-12, abs=1e-9)
        case _:
            return shown == value


def every_cell_is_the_same(plan: Book, tabs: Tabs) -> None:
    """Whether LibreOffice's tabs are those of the book, cell for cell."""
    assert set(tabs) == {tab.name for tab in plan.tabs}
    for tab in plan.tabs:
        rows = tabs[tab.name]
        for at, row in enumerate(tab.rows):
            for place, cell in enumerate(row):
                shown = rows[at][place] if at < len(rows) and place < len(rows[at]) else ""
                assert same(shown, cell.value if cell else None), (tab.name, at + 1, place + 1, shown, cell)


def test_every_cell_of_every_tab(plan: Book, tabs: Tabs) -> None:
    every_cell_is_the_same(plan, tabs)


@pytest.mark.parametrize("sheet", TAB_OF)
def test_tabs_equal_their_csv(tabs: Tabs, sheet: str) -> None:
    model = SHEETS_OUT[sheet]
    rows = [[cell.removesuffix(f" ({TYPE_HERE})") for cell in row] for row in tabs[TAB_OF[sheet]]]
    shown = [column for column in columns(model) if column.name not in ON_ANOTHER_TAB.get(sheet, ())]
    heads = [heading(column, "EUR") for column in shown]
    top = next(at for at, row in enumerate(rows) if set(heads) <= set(row))
    places = [rows[top].index(head) for head in heads]
    written = list(csv.DictReader(StringIO(csv_text(model, example.results()[sheet], 2), newline="")))
    assert written
    for row, record in zip(rows[top + 1 :], written, strict=False):
        for column, place in zip(shown, places, strict=True):
            cell = record[column.name]
            match column.kind:
                case "day":
                    assert same(row[place], date.fromisoformat(cell) if cell else None), (column.name, row)
                case "text" | "choice" | "yes_no":
                    # A CSV marks text that would start a formula; a workbook knows text from formulas.
                    assert row[place] == cell.removeprefix("'"), (column.name, row)
                case _:
                    assert same(row[place], Decimal(cell) if cell else None), (column.name, row)


def test_a_changed_price_moves_every_total(plan: Book, tmp_path: Path) -> None:
    """A bookkeeper types over a price of an order, of a mug's packaging and of a bag, and a wedging time."""
    edited = openpyxl.load_workbook(BytesIO(draw(plan)))
    _type_over(edited["orders"], "unit price EUR (type here)", 16.00, 20.00)
    _type_over(edited["prices"], "price EUR (type here)", 0.40, 0.90)
    _type_over(edited["prices"], "price EUR (type here)", 13.80, 15.00)
    _type_over(edited["schedule"], "minutes", 26, 86)
    save(edited, tmp_path / "edited.xlsx")
    tabs = recalculated(tmp_path / "edited.xlsx", tmp_path)
    figures = {row[0]: row[1] for row in tabs["summary"] if len(row) > 1}
    # 20 mugs at 20.00 for 16.00: 80.00 more than 542.00. 20 boxes at 0.90 for 0.40: 10.00 more than 52.00 of
    # materials, 102.55 of book cost and 375.48 of full cost; a bag of 12.5 kg at 15.00, so 14.101 kg of it are 16.92
    # (16.9212) for 15.57, 1.35 more. An hour more than 13 h 1 min.
    assert float(figures["sales EUR"]) == 622.00
    assert float(figures["materials EUR"]) == pytest.approx(63.35, abs=1e-9)
    assert float(figures["book cost, for the books EUR"]) == pytest.approx(113.90, abs=1e-9)
    assert float(figures["full cost, for pricing EUR"]) == pytest.approx(386.83, abs=1e-9)
    assert float(figures["cost of clay to buy EUR"]) == 15.00
    assert float(figures["hours of work"]) == pytest.approx(841 / 60, abs=1e-9)
    costs = next(row for row in tabs["costs"] if row[3] == "mug")
    # The mugs' clay is 10.53 of the 16.92, 0.84 more: 18.11 + 10.84 of materials, 17.93 of firing, 3.76 off for
    # seconds: book cost 43.12, full cost 174.00; of 400.00 that leaves 226.00.
    expected = [43.12, 174.00, 2.16, 8.70, 20.00, 400.00, 226.00, 56.50]
    assert [float(cell) for cell in costs[16:24]] == pytest.approx(expected, abs=1e-9)


def test_a_changed_rate_moves_costs_and_earnings(plan: Book, tmp_path: Path) -> None:
    """A bookkeeper types over Tam's rate of an hour and the overhead of one, and the potter the rate that is wanted."""
    edited = openpyxl.load_workbook(BytesIO(draw(plan)))
    for old, new in ((14.50, 20.50), (4.50, 6.00), (20, 30)):
        _type_over(edited["prices"], "price EUR (type here)", old, new)
    save(edited, tmp_path / "edited.xlsx")
    tabs = recalculated(tmp_path / "edited.xlsx", tmp_path)
    figures = {row[0]: row[1] for row in tabs["summary"] if len(row) > 1}
    # Tam's 24 and 42.5 minutes at 20.50 are 8.20 and 14.52 (14.5208). Overhead at 6.00: 34.90 + 27.80 + 15.40.
    assert float(figures["paid labour EUR"]) == pytest.approx(22.72, abs=1e-9)
    assert float(figures["overhead EUR"]) == pytest.approx(78.10, abs=1e-9)
    plates = next(row for row in tabs["earnings"] if len(row) > 3 and row[3] == "plate")
    # 6.65 more than 50.38: 222.00 - 57.03 - 27.80 = 137.17, over 3.525 h 38.91; (84.83 + 105.75) / 12 = 15.88.
    assert [float(cell) for cell in plates[9:13]] == pytest.approx([137.17, 38.91, 30.0, 15.88], abs=1e-9)


def test_a_changed_date_makes_a_line_late(plan: Book, tmp_path: Path) -> None:
    edited = openpyxl.load_workbook(BytesIO(draw(plan)))
    _type_over(edited["promises"], "due", datetime(2027, 4, 30), datetime(2027, 3, 20))
    save(edited, tmp_path / "edited.xlsx")
    tabs = recalculated(tmp_path / "edited.xlsx", tmp_path)
    figures = {row[0]: row[1] for row in tabs["summary"] if len(row) > 1}
    plates = next(row for row in tabs["promises"] if row[3] == "plate")
    # Ready on the 23rd, three days after the 20th.
    assert plates[8:10] == ["LATE", "3"]
    assert figures["lines that are late"] == "2"


@pytest.mark.parametrize("name", ["=1+1", "th*", "2", "Turn", ">0"])
def test_stages_are_told_apart_whatever_their_names(tmp_path: Path, name: str) -> None:
    """Names that a criterion of a spreadsheet would read as a formula, a pattern, a number or another stage's."""
    plan = book(*example.with_stage_named(name))
    (tmp_path / "plan.xlsx").write_bytes(draw(plan))
    test_every_cell_of_every_tab(plan, recalculated(tmp_path / "plan.xlsx", tmp_path))


def test_an_empty_plan_has_no_error_in_it(tmp_path: Path) -> None:
    job = example.job()
    # What was carried over would differ from the nothing that there is.
    plan = book(replace(job, opening_balances=job.opening_balances.clear()), example.without_rows(*SHEETS_OUT))
    (tmp_path / "plan.xlsx").write_bytes(draw(plan))
    tabs = recalculated(tmp_path / "plan.xlsx", tmp_path)
    test_every_cell_of_every_tab(plan, tabs)


def _type_over(
    sheet: openpyxl.worksheet.worksheet.Worksheet, head: str, old: object, new: object, times: int = 1
) -> None:
    """Change the plain cells under a heading that hold the old value, of which there are so many."""
    at = next(cell for row in sheet.iter_rows() for cell in row if cell.value == head)
    below = [cells[0] for cells in sheet.iter_rows(at.row + 1, sheet.max_row, at.column, at.column)]
    found = [cell for cell in below if cell.value == old]
    assert len(found) == times
    for cell in found:
        cell.value = new
