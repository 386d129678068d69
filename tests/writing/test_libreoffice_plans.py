"""Whole plans, made by the steps themselves, recalculated by LibreOffice: no cell may differ from what we wrote."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline.job import Job
from pipeline.money import net_price
from pipeline.plan import whole_plan
from pipeline.reading.job import PRICES
from pipeline.reading.read import read_job
from pipeline.writing.book import book
from pipeline.writing.xlsx import draw
from schemas import REQUIRED
from schemas.problem import problems_sheet
from schemas.settings import AVERAGE, BOTH, BOUGHT
from tests.shops import shop
from tests.writing.libreoffice import recalculated
from tests.writing.test_libreoffice import every_cell_is_the_same

SAMPLES = Path(__file__).resolve().parent.parent.parent / "sample_data"


def sample(name: str) -> Job:
    job = read_job(SAMPLES / name, today=date(2027, 3, 1), needed=REQUIRED).job
    assert job is not None
    return job


def in_yen(job: Job) -> Job:
    """The same figures in a currency without a minor unit: every amount is rounded to whole ones."""
    return replace(job, settings=replace(job.settings, currency="JPY"))


def in_pounds(job: Job) -> Job:
    """The same plan for US readers."""
    return replace(job, settings=replace(job.settings, units="us"))


def at_average_prices(job: Job) -> Job:
    """The same stock valued at the average of its lots."""
    return replace(job, settings=replace(job.settings, stock_value=AVERAGE))


def taxed(job: Job, kinds: str = BOTH) -> Job:
    """The job of somebody whose prices hold the tax; those of the job are without it, to six places."""
    settings = replace(job.settings, prices_with_tax=kinds)
    frames: dict[str, pl.DataFrame] = {}
    for kind, sheet, column in PRICES:
        if settings.holds_tax(kind):
            frame = frames.get(sheet, getattr(job, sheet))
            net = [None if price is None else net_price(price, settings) for price in frame[column]]
            frames[sheet] = frame.with_columns(pl.Series(column, net, dtype=frame.schema[column]))
    return replace(job, settings=settings, **frames)


def hardly_priced(job: Job) -> Job:
    """The job of somebody who fills in hardly any price: what is not known is blank, and no formula fails at it."""
    nothing = pl.lit(None, pl.Decimal(38, 6))
    return replace(
        job,
        orders=job.orders.with_columns(unit_price=pl.when(pl.col("form") == "jug").then("unit_price")),
        forms=job.forms.with_columns(second_price=nothing, other_cost=pl.lit(0, pl.Decimal(38, 6))),
        firings=job.firings.with_columns(
            other_cost=pl.when(pl.col("firing") == "glaze").then("other_cost").otherwise(pl.lit(0, pl.Decimal(38, 6)))
        ),
        labour_hours=job.labour_hours.with_columns(
            hourly_rate=pl.when(pl.col("worker") != "Ada").then("hourly_rate").otherwise(nothing)
        ),
        settings=replace(
            job.settings, energy_price=None, overhead_per_month=None, overhead_per_hour=None, wanted_hourly_rate=None
        ),
    )


def closed_early(job: Job) -> Job:
    """The same plan in books that close before it ends: part of it is bought, used and part-made by then."""
    return replace(job, settings=replace(job.settings, books_to=date(2027, 3, 24)))


JOBS = {
    "the studio": lambda: sample("studio"),
    "four sheets": lambda: sample("first"),
    "the studio in yen": lambda: in_yen(sample("studio")),
    "the studio in pounds": lambda: in_pounds(sample("studio")),
    "the studio at average prices": lambda: at_average_prices(sample("studio")),
    "the studio in books that close early": lambda: closed_early(sample("studio")),
    "prices that hold the tax": lambda: taxed(sample("studio")),
    "bills that hold the tax": lambda: taxed(sample("studio"), BOUGHT),
    "a shop that is late": lambda: shop(7),
    "the studio with hardly a price": lambda: hardly_priced(sample("studio")),
}


@pytest.mark.parametrize("name", JOBS)
def test_every_cell_of_a_whole_plan(name: str, tmp_path: Path) -> None:
    job = JOBS[name]()
    outcome = whole_plan(job, problems_sheet(()))
    plan = book(job, outcome.results)
    (tmp_path / "plan.xlsx").write_bytes(draw(plan))
    every_cell_is_the_same(plan, recalculated(tmp_path / "plan.xlsx", tmp_path))
