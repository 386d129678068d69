"""A whole plan of a job, checked by the independent rules: every test that makes a schedule makes it here."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache

import polars as pl
import pytest

from pipeline.checking.schedule_rules import broken_rules
from pipeline.job import Job
from pipeline.plan import whole_plan, work_out
from pipeline.scheduling import search
from schemas.problem import problems_sheet
from tests.shops import Cells, fit_counts, make_job, shop
from tests.steps.worked import worked

EVERY_DAY: list[Cells] = [{"worker": "Ada", "day": "Mon-Sun", "hours": 8.0}]
"""Somebody who works every day of the week."""

Days = list[tuple[dt.date, int]]


@dataclass(frozen=True)
class Planned:
    """A job's result sheets, of a schedule that breaks no rule."""

    job: Job
    results: Mapping[str, pl.DataFrame]

    @property
    def schedule(self) -> pl.DataFrame:
        """The schedule."""
        return self.results["schedule"]

    @property
    def loads(self) -> pl.DataFrame:
        """The kiln loads."""
        return self.results["kiln_loads"]

    @property
    def kinds(self) -> list[str]:
        """The kinds of the problems, in their order."""
        return self.results["problems"]["kind"].to_list()

    def days(self, stage: str, task: str = "work", **only: str) -> Days:
        """Dates with work at a stage and the pieces of each; ``only`` picks rows, as ``form="cup"``."""
        pieces: Counter[dt.date] = Counter()
        for row in self.schedule.filter(stage=stage, task=task, **only).iter_rows(named=True):
            pieces[row["date"]] += row["pieces"]
        return sorted(pieces.items())

    def firings(self) -> list[tuple[str, dt.date, dt.date, int]]:
        """The loads in their order: firing, day of loading, day of unloading, pieces."""
        together = self.loads.group_by("load", "firing", "load_on", "unload_on", maintain_order=True)
        return together.agg(pl.col("pieces").sum()).drop("load").rows()

    def promise(self, order: str) -> Cells:
        """The row of ``promises`` of an order of one line."""
        return self.results["promises"].row(by_predicate=pl.col("order") == order, named=True)


def march(day: int) -> dt.date:
    """A day of March 2027, of which the 1st is a Monday; the 32nd is 1 April."""
    return dt.date(2027, 2, 28) + dt.timedelta(days=day)


def on(days: Mapping[int, int]) -> Days:
    """Pieces by days of March 2027."""
    return [(march(day), pieces) for day, pieces in days.items()]


def thrown(**sheets: list[Cells]) -> Job:
    """A job of which 10 pieces of each form fill every kiln, unless ``kiln_fit`` says otherwise."""
    if "kiln_fit" not in sheets:
        bare = make_job(**sheets)
        sheets["kiln_fit"] = [
            {"firing": firing, "kiln": kiln, "form": form, "pieces": 10}
            for firing, kiln in bare.firings.select("firing", "kiln").iter_rows()
            for form in bare.forms["form"]
        ]
    return make_job(**sheets)


def planned(job: Job) -> Planned:
    """The whole plan of a job whose ``kiln_fit`` is complete."""
    outcome = whole_plan(job, problems_sheet(()))
    assert not outcome.stopped, outcome.problems.rows()
    return _checked(job, outcome.results)


def dated(job: Job) -> Planned:
    """The plan of such a job without what holds up a late line and what would mend that, which is quicker."""
    return _checked(job, worked(job))


def scheduled(job: Job) -> Planned:
    """The schedule and kiln loads alone of such a job, which is quicker."""
    outcome = work_out(("schedule", "kiln_loads"), job, problems_sheet(()))
    assert not outcome.stopped, outcome.problems.rows()
    return _checked(job, outcome.results)


def _checked(job: Job, results: Mapping[str, pl.DataFrame]) -> Planned:
    broken = broken_rules(job, results["pieces"], results["schedule"], results["kiln_loads"], fit_counts(job))
    assert broken == []
    return Planned(job, results)


@cache
def scheduled_shop(seed: int) -> Planned:
    """The same of a shop at random, planned once for all the tests that ask for it."""
    return scheduled(shop(seed))


@contextmanager
def searched_less() -> Iterator[None]:
    """Plans are made as in a larger shop, without the changes drawn by lot that take most of the search.

    For what holds of any plan, however good it is; what is drawn by lot, its own tests draw.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(search, "FEW_STAGES", 0)
        yield


def stopped_by(job: Job) -> list[tuple[str, str, int | None, str | None]]:
    """What stands in the way of a plan: kind, sheet, row and column of each problem; nothing is given out then."""
    outcome = whole_plan(job, problems_sheet(()))
    assert outcome.stopped
    assert not outcome.results
    return outcome.problems.select("kind", "sheet", "row", "column").rows()
