"""The bookkeeper's tabs, changed by hand and recalculated by LibreOffice: as a plan made of the same change."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl
import polars as pl
import pytest

from pipeline.job import Job
from pipeline.plan import whole_plan
from pipeline.writing.book import book
from pipeline.writing.xlsx import draw
from schemas.problem import problems_sheet
from tests.writing.libreoffice import Tabs, failed_checks, recalculated, save
from tests.writing.test_libreoffice_plans import sample

OLD, NEW = Decimal(16), Decimal("17.35")
"""The price of a tumbler."""


@pytest.fixture(scope="module")
def studio() -> Job:
    return sample("studio")


def column(tabs: Tabs, tab: str, head: str) -> list[Decimal | None]:
    """The figures below a heading, the total with them."""
    rows = tabs[tab]
    top = next(at for at, row in enumerate(rows) if head in row)
    place = rows[top].index(head)
    cells = [row[place] for row in rows[top + 1 :] if len(row) > place and any(row)]
    return [round(Decimal(cell), 2) if cell else None for cell in cells]


def with_total(amounts: pl.Series) -> list[Decimal]:
    return [*amounts, sum(amounts, Decimal(0))]


def recalculated_after(job: Job, room: Path, *changes: tuple[str, Any, Any]) -> Tabs:
    """The workbook of a job with cells typed over: tab, old value, new value."""
    edited = openpyxl.load_workbook(BytesIO(draw(book(job, whole_plan(job, problems_sheet(())).results))))
    for tab, old, new in changes:
        cells = [cell for row in edited[tab].iter_rows() for cell in row if cell.data_type == "n" and cell.value == old]
        assert cells
        for cell in cells:
            cell.value = new
    save(edited, room / "edited.xlsx")
    return recalculated(room / "edited.xlsx", room)


def test_a_changed_price_and_tax_rate_are_those_of_a_new_plan(studio: Job, tmp_path: Path) -> None:
    """The rate goes from 20 to 7.7 %, a tumbler from 16.00 to 17.35, a pack of feldspar from 9.60 to 10.15."""
    pack = [Decimal("9.60"), Decimal("10.15")]
    tabs = recalculated_after(
        studio,
        tmp_path,
        ("prices", 20, 7.7),
        ("orders", float(OLD), float(NEW)),
        ("prices", *map(float, pack)),
    )
    changed = replace(
        studio,
        orders=studio.orders.with_columns(pl.col("unit_price").replace([OLD], [NEW])),
        materials=studio.materials.with_columns(pl.col("pack_price").replace(*([each] for each in pack))),
        settings=replace(studio.settings, tax_pct=7.7),
    )
    planned = whole_plan(changed, problems_sheet(())).results
    for sheet in ("sales", "purchases"):
        for name in ("net", "tax", "gross"):
            assert column(tabs, sheet, f"{name} EUR") == with_total(planned[sheet][name]), (sheet, name)
    assert column(tabs, "sales", "still owed EUR") == with_total(planned["sales"]["still_owed"])
    bought = planned["materials_ledger"]["bought_value"]
    assert column(tabs, "materials ledger", "bought value EUR") == with_total(bought)
    # Feldspar that was carried over at the old price is worth more now: a stock difference that the plan had not.
    differing = [found for found in column(tabs, "stock differences", "difference EUR") if found]
    assert differing == with_total(planned["stock_differences"]["difference"])
    assert not failed_checks(tabs)


def test_a_figure_typed_over_on_one_side_is_told_by_the_checks(studio: Job, tmp_path: Path) -> None:
    # 60 tumblers more dear by 1.35 on the sales tab's own price alone would go unseen without a check.
    job = replace(studio, orders=studio.orders.head(1))
    edited = openpyxl.load_workbook(BytesIO(draw(book(job, whole_plan(job, problems_sheet(())).results))))
    sheet = edited["sales"]
    (price,) = (cell for row in sheet.iter_rows() for cell in row if cell.value == "unit price EUR")
    sheet.cell(price.row + 1, price.column).value = float(NEW)
    save(edited, tmp_path / "edited.xlsx")
    tabs = recalculated(tmp_path / "edited.xlsx", tmp_path)
    # 60 x 1.35 = 81.00.
    differences = dict(
        zip(
            (row[0] for row in tabs["checks"] if len(row) > 3 and row[3]),
            [None, *column(tabs, "checks", "difference")],
            strict=True,
        )
    )
    assert {name: found for name, found in differences.items() if found} == {"sales, net = costs, sales": Decimal(81)}
    assert next(row[1] for row in tabs["summary"] if row[0] == "checks that do not come out") == "1"
