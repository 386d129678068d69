"""Every input of the workbook typed over and recalculated by LibreOffice: each cell as in a plan of the same change.

The plan of the changed sheets is worked out by the steps, in exact decimals; the changed workbook by LibreOffice, from
the inputs through the workbook's own formulas. They know nothing of each other, so where every cell agrees both hold.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import openpyxl
import polars as pl
import pytest

from pipeline.job import Job
from pipeline.plan import whole_plan
from pipeline.writing.book import Book, book
from pipeline.writing.book.cells import Live
from pipeline.writing.xlsx import draw
from schemas.problem import problems_sheet
from tests.writing.libreoffice import recalculated
from tests.writing.test_libreoffice import same
from tests.writing.test_libreoffice_plans import at_average_prices, hardly_priced, in_yen, sample, taxed

AS_PLANNED = {("packs to buy", "advice"), ("packs to buy", "saves EUR"), ("packs to buy", "saves JPY")}
"""What a price list of more breaks than those bought at says, which the workbook does not have."""

SPREAD_BY_THE_PLAN = (
    "part-made", "finished goods", "cost of goods", "closing balances", "stock count", "stock differences", "journal",
    "checks",
)  # fmt: skip
"""Tabs that rest on what part-made goods are worth, which the plan spreads by equivalent units; the tab says so."""

IN_WORDS = ("assumptions", "problems")
"""Tabs that say in words what the sheets say, such as "tax of 20 %"."""


def studio() -> Job:
    """The sample, nothing carried over from older books: of another price it would tell other differences."""
    job = sample("studio")
    return replace(job, opening_balances=job.opening_balances.clear())


def dearer(job: Job) -> Job:
    """The job with every price, rate and deposit changed, each kind by its own part, so that none hides another."""

    def times(frame: pl.DataFrame, factor: str, *names: str) -> pl.DataFrame:
        cells = {name: [_times(each, factor) for each in frame[name]] for name in names}
        return frame.with_columns(pl.Series(name, prices, dtype=frame.schema[name]) for name, prices in cells.items())

    settings = job.settings
    return replace(
        job,
        orders=times(times(job.orders, "1.0731", "unit_price"), "2", "deposit"),
        clay_stock=times(job.clay_stock, "1.0377", "bag_price"),
        clay_prices=times(job.clay_prices, "1.0419", "pack_price", "carriage"),
        materials=times(job.materials, "1.0633", "pack_price"),
        forms=times(job.forms, "1.0217", "other_cost", "second_price"),
        firings=times(job.firings, "1.0911", "other_cost"),
        labour_hours=times(job.labour_hours, "1.0179", "hourly_rate"),
        settings=replace(
            settings,
            energy_price=_times(settings.energy_price, "1.137"),
            overhead_per_hour=_times(settings.overhead_per_hour, "1.11"),
            overhead_per_month=_times(settings.overhead_per_month, "1.0871"),
            wanted_hourly_rate=_times(settings.wanted_hourly_rate, "1.043"),
            tax_pct=settings.tax_pct * 1.075,
        ),
    )


def dearer_with_tax(_job: Job) -> Job:
    """The same of a job whose prices hold the tax: those of its sheets are changed with the tax in them."""
    return taxed(dearer(studio()))


def priced(job: Job) -> Job:
    """The job of somebody who hardly fills in a price, who now has some."""
    known = pl.col("hourly_rate").fill_null(Decimal("18.25"))
    return replace(
        job,
        labour_hours=job.labour_hours.with_columns(hourly_rate=known),
        forms=job.forms.with_columns(second_price=pl.lit(Decimal("7.77"), pl.Decimal(38, 6))),
        settings=replace(
            job.settings,
            energy_price=Decimal("0.31"),
            overhead_per_hour=Decimal("4.15"),
            wanted_hourly_rate=Decimal(21),
        ),
    )


def more_hours_than_normal(job: Job) -> Job:
    """The job whose overhead is spread over the hours of the plan, as there are more of them than usual."""
    return replace(job, settings=replace(job.settings, normal_hours_per_month=20.0))


CASES: dict[str, tuple[Callable[[], Job], Callable[[Job], Job]]] = {
    "the studio": (lambda: studio(), dearer),
    "four sheets": (lambda: sample("first"), dearer),
    "the studio in yen": (lambda: in_yen(studio()), dearer),
    "the studio at average prices": (lambda: at_average_prices(studio()), dearer),
    "the studio, busier than usual": (lambda: more_hours_than_normal(studio()), dearer),
    "prices that hold the tax": (lambda: taxed(studio()), dearer_with_tax),
    "hardly a price, dearer": (lambda: hardly_priced(studio()), dearer),
    "hardly a price, then some": (lambda: hardly_priced(studio()), priced),
}


@pytest.mark.parametrize("name", CASES)
def test_every_cell_follows_every_input(name: str, tmp_path: Path) -> None:
    make, change = CASES[name]
    job = make()
    before, after = (book(each, whole_plan(each, problems_sheet(())).results) for each in (job, change(job)))
    edited = openpyxl.load_workbook(BytesIO(draw(before)))
    assert type_over(edited, before, after) >= 3
    edited.save(tmp_path / "edited.xlsx")
    tabs = recalculated(tmp_path / "edited.xlsx", tmp_path)
    moved = 0
    for tab, old in zip(after.tabs, before.tabs, strict=True):
        if tab.name in IN_WORDS + SPREAD_BY_THE_PLAN:
            continue
        heads: dict[int, object] = {}
        for row, (cells, were) in enumerate(zip(tab.rows, old.rows, strict=True)):
            for place, (cell, was) in enumerate(zip(cells, were, strict=True)):
                if cell is None:
                    continue
                if cell.look.role == "heading":
                    heads[place] = cell.value
                if (tab.name, heads.get(place)) in AS_PLANNED:
                    continue
                shown = tabs[tab.name][row][place] if place < len(tabs[tab.name][row]) else ""
                assert same(shown, cell.value), (tab.name, row + 1, place + 1, shown, cell)
                moved += isinstance(cell, Live) and was is not None and cell.value != was.value
    assert moved > 20
    # What is not spread by the plan anew still adds up: every difference of the checks is nought.
    failed = [row for row in tabs["checks"] if len(row) > 3 and row[3] not in ("", "difference") and float(row[3])]
    assert not failed


def type_over(edited: openpyxl.Workbook, before: Book, after: Book) -> int:
    """Give the inputs of a workbook the values of another; tells how many that changes."""
    changed = 0
    for tab, new in zip(before.tabs, after.tabs, strict=True):
        for row, (cells, others) in enumerate(
            zip(tab.rows, new.rows, strict=tab.name not in IN_WORDS + SPREAD_BY_THE_PLAN), 1
        ):
            for place, (cell, other) in enumerate(zip(cells, others, strict=True), 1):
                if cell and other and cell.look.role == "input" and cell.value != other.value:
                    assert isinstance(other.value, Decimal)
                    edited[tab.name].cell(row, place).value = float(other.value)
                    changed += 1
    return changed


def _times(price: Decimal | None, factor: str) -> Decimal | None:
    return None if price is None else round(price * Decimal(factor), 4)
