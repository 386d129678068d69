"""What a bookkeeper finds on the tabs of money: the method at their head, and checks that tie them together."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest

from pipeline.job import Job
from pipeline.plan import whole_plan
from pipeline.writing.book import Book, book
from pipeline.writing.book.balances import COUNTED
from pipeline.writing.book.checks import CHECKS
from pipeline.writing.xlsx import draw
from schemas.problem import problems_sheet
from tests.writing.libreoffice import recalculated, save
from tests.writing.test_libreoffice_books import column
from tests.writing.test_libreoffice_plans import sample

BOOKS = (
    "purchases", "materials ledger", "sales", "costs put in", "part-made", "finished goods", "cost of goods",
    "stock differences", "closing balances", "stock count", "journal",
)  # fmt: skip


@pytest.fixture(scope="module")
def closed_early() -> Job:
    """The sample, its books closed in the middle: pieces are part-made, and deposits still held."""
    job = sample("studio")
    return replace(job, settings=replace(job.settings, books_to=date(2027, 3, 26)))


@pytest.fixture(scope="module")
def plan(closed_early: Job) -> Book:
    return book(closed_early, whole_plan(closed_early, problems_sheet(())).results)


@pytest.mark.parametrize("name", BOOKS)
def test_the_method_is_printed_at_the_head(plan: Book, name: str) -> None:
    tab = next(tab for tab in plan.tabs if tab.name == name)
    assert tab.print.repeat_rows
    top = tab.print.repeat_rows[0]
    said = " ".join(str(cell.value) for row in tab.rows[:top] for cell in row if cell).lower()
    assert "at cost without tax" in said
    assert "oldest first" in said


@pytest.mark.parametrize("name", BOOKS)
def test_a_check_ties_it_to_another(name: str) -> None:
    assert any(total[0] == name for _, *sides in CHECKS for side in sides for total in side)


def test_deposits_are_no_part_of_the_stock_that_is_checked(plan: Book, tmp_path: Path) -> None:
    """On 26 March nothing is delivered: the deposits of 300 and 120 are balances, and no check counts them as stock.
    A figure of the count typed over by 5 more is told, and by how much."""
    edited = openpyxl.load_workbook(BytesIO(draw(plan)))
    balances = openpyxl.load_workbook(BytesIO(draw(plan)), data_only=True)["closing balances"]
    *_, stock, owed = list(balances.iter_rows(values_only=True))[-1]
    assert owed == 420
    assert Decimal(str(stock)) == sum(
        Decimal(str(row[-2])) for row in balances.iter_rows(values_only=True) if row[0] in COUNTED
    )
    sheet = edited["stock count"]
    (head,) = (cell for row in sheet.iter_rows() for cell in row if cell.value == "value EUR")
    place = sheet.cell(head.row + 1, head.column)
    place.value = f"{place.value}+5"
    save(edited, tmp_path / "edited.xlsx")
    tabs = recalculated(tmp_path / "edited.xlsx", tmp_path)
    found = dict(zip((row[0] for row in tabs["checks"] if len(row) > 3 and row[3]),
                     [None, *column(tabs, "checks", "difference")], strict=True))  # fmt: skip
    assert {name: gap for name, gap in found.items() if gap} == {
        "stock count, value = closing balances of what is there": Decimal(5)
    }
