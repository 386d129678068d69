"""The tabs of what to buy, changed by hand and recalculated by LibreOffice."""

from __future__ import annotations

from decimal import Decimal
from io import BytesIO
from pathlib import Path

import openpyxl
import pytest

from pipeline.plan import whole_plan
from pipeline.writing.book import Book, book
from pipeline.writing.xlsx import draw
from schemas.problem import problems_sheet
from tests.random_sheets import Cells
from tests.shops import make_job
from tests.writing.libreoffice import Tabs, recalculated, save
from tests.writing.test_libreoffice import every_cell_is_the_same

PIT: Cells = {"clay": "buff", "supplier": "Pit Direct", "carriage": Decimal(40)}


@pytest.fixture(scope="module")
def plan() -> Book:
    """530 kg of buff: a pallet of 500 kg at 440.00 and 3 bags at 13.00, with one van at 40.00; no dark clay."""
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 530}],
        forms=[{"form": "cup", "ball_g": 1000.0}, {"form": "bowl", "clay": "dark"}],
        clay_stock=[{"clay": "dark", "bags": 9}, {"clay": "buff", "bags": 0}],
        clay_prices=[
            PIT | {"pack_kg": 12.5, "pack_price": Decimal("13.00")},
            PIT | {"pack_kg": 500.0, "pack_price": Decimal("440.00")},
        ],
        labour_hours=[{"hours": 12.0}],
        stages=[{"stage": "throw", "minutes_each": 1.0}],
    )
    return book(job, whole_plan(job, problems_sheet(())).results)


def figures(tabs: Tabs, tab: str, *heads: str) -> list[list[float]]:
    """The cells below some headings, down to the first row that has none."""
    rows = tabs[tab]
    top = next(at for at, row in enumerate(rows) if set(heads) <= set(row))
    places = [rows[top].index(head) for head in heads]
    found = []
    for row in rows[top + 1 :]:
        if not row or not row[0]:
            break
        found.append([float(row[place]) for place in places])
    return found


def test_the_tabs_are_those_of_the_sheets(plan: Book, tmp_path: Path) -> None:
    (tmp_path / "plan.xlsx").write_bytes(draw(plan))
    tabs = recalculated(tmp_path / "plan.xlsx", tmp_path)
    every_cell_is_the_same(plan, tabs)
    # The van's 40.00 by weight: 500 and 37.5 of 537.5 kg are 37.21 and 2.79. 440.00 + 39.00 + 40.00 = 519.00.
    packs = figures(tabs, "packs to buy", "covers kg", "packs", "bought kg", "carriage", "cost")
    assert packs == [[500, 1, 500, 37.21, 477.21], [30, 3, 37.5, 2.79, 41.79], [530, 4, 537.5, 40, 519]]


def test_a_changed_need_moves_the_bags_and_a_changed_price_the_cost(plan: Book, tmp_path: Path) -> None:
    edited = openpyxl.load_workbook(BytesIO(draw(plan)))
    for tab, old, new in (("clay to buy", 530, 545), ("prices", 440, 450)):
        (cell,) = [
            cell for row in edited[tab].iter_rows() for cell in row if cell.value == old and cell.data_type == "n"
        ]
        cell.value = new
    save(edited, tmp_path / "edited.xlsx")
    tabs = recalculated(tmp_path / "edited.xlsx", tmp_path)
    # The pallet stays; 45 kg are left for bags of 12.5: 4 of them, 52.00. 450.00 + 52.00 + 40.00 = 542.00. The van's
    # 40.00 by weight: 500 and 50 of 550 kg are 36.36 and 3.64.
    packs = figures(tabs, "packs to buy", "covers kg", "packs", "bought kg", "cost")
    assert packs == [[500, 1, 500, 486.36], [45, 4, 50, 55.64], [545, 5, 550, 542]]
    clays = figures(tabs, "clay to buy", "short kg", "bags to buy", "bought kg", "left kg", "cost")
    assert clays[1] == [545, 5, 550, 5, 542]
