"""How good a schedule is, worked out from its sheets alone."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

from tests.steps.planned import Planned


@dataclass(frozen=True, order=True)
class Measured:
    """Pieces x days late, weighted by priority; loads fired; the last day of work. The less, the better, in turn."""

    lateness: Fraction
    firings: int
    finish: dt.date


def measured(plan: Planned) -> Measured:
    """The three aims of a schedule: priority 1 counts once, 2 half, 3 a third; a blank one follows the last.

    A piece is late by the days from its due date to its last stage, or its unloading if that is a firing.
    """
    orders = plan.job.orders
    blank = 1 + (orders["priority"].max() or 0)
    line = ("order", "form", "glaze")
    wanted = {tuple(key): rest for *key, rest in zip(*(orders[name] for name in (*line, "due")), strict=True)}
    weights = {
        tuple(key): Fraction(1, priority or blank)
        for *key, priority in zip(*(orders[name] for name in (*line, "priority")), strict=True)
    }
    last = {tuple(key): stage for *key, stage in plan.results["pieces"].sort("step").select(*line, "stage").iter_rows()}
    lateness = Fraction(0)
    for *key, stage, pieces, date in (
        plan.schedule.filter(task="work").vstack(plan.schedule.filter(task="unload"))
        .select(*line, "stage", "pieces", "date").iter_rows()
    ):  # fmt: skip
        due = wanted[tuple(key)]
        if stage == last[tuple(key)] and due is not None:
            lateness += pieces * weights[tuple(key)] * max(0, (date - due).days)
    return Measured(lateness, plan.loads["load"].n_unique(), plan.schedule["date"].max())
