"""Every input of the workbook typed over and recalculated by LibreOffice: each cell as in a plan of the same change.

The plan of the changed sheets is worked out by the steps, in exact decimals; the changed workbook by LibreOffice, from
the inputs through the workbook's own formulas. They know nothing of each other, so where every cell agrees both hold.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import openpyxl
import polars as pl
import pytest

from pipeline.job import Job
from pipeline.plan import whole_plan
from pipeline.writing.book import Book, book
from pipeline.writing.book.cells import Live, Tab
from pipeline.writing.xlsx import draw
from schemas.accounts import DEPOSITS, FINISHED, PART_MADE
from schemas.problem import problems_sheet
from tests.writing.libreoffice import failed_checks, recalculated, save
from tests.writing.test_libreoffice import same
from tests.writing.test_libreoffice_plans import (
    at_average_prices,
    closed_early,
    hardly_priced,
    in_yen,
    sample,
    taxed,
)

AS_PLANNED = {("packs to buy", "advice"), ("packs to buy", "saves EUR"), ("packs to buy", "saves JPY")}
"""What a price list of more breaks than those bought at says, which the workbook does not have."""

ENTRIES = ("journal", "more entries")
"""Tabs of entries. An entry that nothing went through stands on the second, so what comes to life stands on the first
in a plan made anew, and all entries are numbered otherwise."""

NUMBERED_ANEW = ("entry no.", "deposit's entry")
"""Columns of the numbers of entries."""

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


def with_losses(job: Job) -> Job:
    """The job with more lost than is normal: tumblers of any order, and jugs of one, two of them seconds."""
    known = job.work_log.columns
    rows = [
        (date(2027, 3, 5), None, "tumbler", None, "throw", 30, 26, 0),
        (date(2027, 3, 20), "V-3", "jug", "fern", "glaze firing", 12, 9, 2),
    ]
    logged = pl.DataFrame(rows, schema={name: job.work_log.schema[name] for name in known[:8]}, orient="row")
    numbered = logged.with_columns(row=pl.int_range(90, 90 + pl.len(), dtype=job.work_log.schema["row"]))
    return replace(job, work_log=pl.concat([job.work_log, numbered]))


def for_stock(job: Job) -> Job:
    """The job whose lines for the shelf have no price, as nobody has bought them yet."""
    price = pl.when(pl.col("order") != "shelf").then("unit_price")
    return replace(job, orders=job.orders.with_columns(unit_price=price))


def dearer_goods(job: Job) -> Job:
    """The job whose part-made and finished goods were carried over at more, and which spends more on them since."""
    balances, settings = job.opening_balances, job.settings
    goods = balances["what"].is_in([PART_MADE, FINISHED])
    changed = [
        pl.Series(
            name,
            [_at_more(money) if of_goods else money for of_goods, money in zip(goods, balances[name], strict=True)],
            dtype=balances.schema[name],
        )
        for name in ("materials", "value")
    ]
    rates = job.labour_hours["hourly_rate"]
    return replace(
        job,
        opening_balances=balances.with_columns(changed),
        labour_hours=job.labour_hours.with_columns(
            pl.Series("hourly_rate", [_times(rate, "1.0179") for rate in rates], dtype=rates.dtype)
        ),
        settings=replace(settings, energy_price=_times(settings.energy_price, "1.137")),
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


def untaxed() -> Job:
    """The studio of somebody who reckons no tax and has no deposits, though books were carried over."""
    job = sample("studio")
    balances = job.opening_balances.filter(pl.col("what") != DEPOSITS)
    return replace(
        job,
        orders=job.orders.with_columns(deposit=pl.lit(None, pl.Decimal(38, 6))),
        opening_balances=balances,
        settings=replace(job.settings, tax_pct=0.0),
    )


def then_taxed(job: Job) -> Job:
    """The same job with tax, deposits, and clay that cost more than it was carried over at."""
    return replace(
        job,
        orders=job.orders.with_columns(deposit=pl.lit(Decimal("12.50"), pl.Decimal(38, 6))),
        clay_stock=job.clay_stock.with_columns(bag_price=pl.lit(Decimal("15.10"), pl.Decimal(38, 6))),
        settings=replace(job.settings, tax_pct=17.5),
    )


def bought_after_all(job: Job) -> Job:
    """The job of which some that was made for stock is bought, a deposit is paid on the rest, and everything costs
    more."""
    first = pl.col("unit_price").is_null().cum_sum() == 1
    price = pl.when(first).then(pl.col("unit_price").fill_null(Decimal("21.50"))).otherwise("unit_price")
    deposit = pl.col("deposit").fill_null(Decimal("12.50"))
    return dearer(replace(job, orders=job.orders.with_columns(unit_price=price, deposit=deposit)))


def more_hours_than_normal(job: Job) -> Job:
    """The job whose overhead is spread over the hours of the plan, as there are more of them than usual."""
    return replace(job, settings=replace(job.settings, normal_hours_per_month=20.0))


CASES: dict[str, tuple[Callable[[], Job], Callable[[Job], Job]]] = {
    "the studio": (lambda: studio(), dearer),
    "four sheets": (lambda: sample("first"), dearer),
    "the studio in yen": (lambda: in_yen(studio()), dearer),
    "the studio, busier than usual": (lambda: more_hours_than_normal(studio()), dearer),
    "prices that hold the tax": (lambda: taxed(studio()), dearer_with_tax),
    "books that close early, more lost than is normal": (lambda: closed_early(with_losses(studio())), dearer),
    "books at average prices that close early, more lost": (
        lambda: at_average_prices(closed_early(with_losses(studio()))),
        dearer,
    ),
    "goods carried over": (lambda: closed_early(with_losses(sample("studio"))), dearer_goods),
    "lines made for stock": (lambda: for_stock(studio()), dearer),
    "hardly a price, dearer": (lambda: hardly_priced(studio()), dearer),
    "hardly a price, then some": (lambda: hardly_priced(studio()), priced),
    "no tax and no deposits, then both": (untaxed, then_taxed),
    "made for stock, then sold": (lambda: for_stock(studio()), bought_after_all),
}


@pytest.mark.parametrize("name", CASES)
def test_every_cell_follows_every_input(name: str, tmp_path: Path) -> None:
    make, change = CASES[name]
    job = make()
    before, after = (book(each, whole_plan(each, problems_sheet(())).results) for each in (job, change(job)))
    edited = openpyxl.load_workbook(BytesIO(draw(before)))
    assert type_over(edited, before, after) >= 3
    tabs = recalculated(save(edited, tmp_path / "edited.xlsx"), tmp_path)
    assert entries(tabs) == entries({tab.name: shown_rows(tab) for tab in after.tabs if tab.name in ENTRIES})
    as_numbered = [len(tab.rows) for tab in after.tabs] == [len(tab.rows) for tab in before.tabs]
    moved = 0
    for tab, old in zip(after.tabs, before.tabs, strict=True):
        if tab.name in IN_WORDS or (tab.name in (*ENTRIES, "contents") and not as_numbered):
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
                if heads.get(place) in NUMBERED_ANEW and not as_numbered:
                    continue
                shown = tabs[tab.name][row][place] if place < len(tabs[tab.name][row]) else ""
                assert same(shown, cell.value), (tab.name, row + 1, place + 1, shown, cell)
                moved += isinstance(cell, Live) and was is not None and cell.value != was.value
    assert moved > 20
    # Every difference of the checks is nought, as it is in the plan made anew.
    assert not failed_checks(tabs)


def entries(tabs: Mapping[str, Sequence[Sequence[str]]]) -> dict[tuple[str, ...], tuple[float, float]]:
    """By what an entry is for and account what it is debited and credited, on both tabs of entries; an entry balances.

    Entries of one kind on several days are added up: the two sides write days in different ways.
    """
    found: dict[tuple[str, ...], tuple[float, float]] = {}
    for tab in ENTRIES:
        for row in tabs[tab]:
            if len(row) > 7 and row[3] and any(row[6:8]) and row[3] != "what":
                debit, credit = found.get((row[2], row[3]), (0.0, 0.0))
                found[row[2], row[3]] = (
                    round(debit + float(row[6] or 0), 6),
                    round(credit + float(row[7] or 0), 6),
                )
    assert round(sum(debit - credit for debit, credit in found.values()), 6) == 0
    return found


def shown_rows(tab: Tab) -> list[list[str]]:
    """The cells of a tab as text."""
    return [["" if cell is None or cell.value is None else str(cell.value) for cell in row] for row in tab.rows]


def type_over(edited: openpyxl.Workbook, before: Book, after: Book) -> int:
    """Give the inputs of a workbook the values of another; tells how many that changes."""
    changed = 0
    for tab, new in zip(before.tabs, after.tabs, strict=True):
        if not any(cell and cell.look.role == "input" for row in tab.rows for cell in row):
            continue
        for row, (cells, others) in enumerate(zip(tab.rows, new.rows, strict=True), 1):
            for place, (cell, other) in enumerate(zip(cells, others, strict=True), 1):
                if cell and other and cell.look.role == "input" and cell.value != other.value:
                    assert isinstance(other.value, Decimal | float)
                    edited[tab.name].cell(row, place).value = float(other.value)
                    changed += 1
    return changed


def _at_more(money: Decimal | None) -> Decimal | None:
    """More, to the penny: what is carried over is worth whole pennies, so that no stock differs from it."""
    return None if money is None else round(money * Decimal("1.1371"), 2)


def _times(price: Decimal | None, factor: str) -> Decimal | None:
    return None if price is None else round(price * Decimal(factor), 4)
