"""How good a schedule is, worked out from its sheets alone."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

import polars as pl

from pipeline.job import Job

LINE = ("order", "form", "glaze")


@dataclass(frozen=True, order=True)
class Measured:
    """Pieces x days late, weighted by priority; loads fired; the last day of work. The less, the better, in turn."""

    lateness: Fraction
    firings: int
    finish: dt.date


def measured(job: Job, pieces: pl.DataFrame, schedule: pl.DataFrame) -> Measured:
    """The three aims of a schedule: priority 1 counts once, 2 half, 3 a third; a blank one follows the last.

    A piece is late by the days from its due date to its last stage, or its unloading if that is a firing. A schedule of
    nothing is finished on the day before the plan.
    """
    orders = job.orders
    last_priority = orders["priority"].max()
    blank = 1 + (last_priority if isinstance(last_priority, int) else 0)
    wanted = {tuple(key): due for *key, due in orders.select(*LINE, "due").iter_rows()}
    weights = {
        tuple(key): Fraction(1, priority or blank) for *key, priority in orders.select(*LINE, "priority").iter_rows()
    }
    last = {tuple(key): stage for *key, stage in pieces.sort("step").select(*LINE, "stage").iter_rows()}
    lateness, finish = Fraction(0), job.settings.start - dt.timedelta(days=1)
    for *key, stage, some, task, date in schedule.select(*LINE, "stage", "pieces", "task", "date").iter_rows():
        finish = max(finish, date)
        line = tuple(key)
        due = wanted[line]
        if task != "load" and stage == last[line] and due is not None:
            lateness += some * weights[line] * max(0, (date - due).days)
    return Measured(lateness, schedule["load"].drop_nulls().n_unique(), finish)
