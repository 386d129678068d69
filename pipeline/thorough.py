"""The thorough search: the quick search's schedule, or the exact solver's where that is better."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

import polars as pl

from pipeline.checking.schedule_rules import broken_rules
from pipeline.exact import solver_is_there
from pipeline.exact.measured import Measured, measured
from pipeline.job import Job
from pipeline.kiln_counts import kiln_counts
from pipeline.remembered import remembered
from pipeline.scheduling.from_job import build_shop
from pipeline.scheduling.rows import schedule_rows
from pipeline.scheduling.search import best_timetable
from pipeline.steps.kiln_loads import kiln_loads

if TYPE_CHECKING:
    from pipeline.exact.optimum import Optimum

EFFORTS = (6.0, 2.0, 2.0)
"""What the solver may spend on lateness, firings and finish, in its own deterministic measure."""

EFFORTS_TO_EASE = (2.0, 1.0)
"""The same on cutting the better plan into few lots, and on making its days level."""

SPARE_DAYS = 10
"""The solver looks among the plans that are done at most so many days after the quick one."""

LARGEST = 8_000
"""Stages of all lines times days: a job of more is too large for the solver."""


@dataclass(frozen=True)
class Thorough:
    """A schedule, and what is to be said of it: which it is, and how good that is known to be."""

    schedule: pl.DataFrame
    taken: str
    why: str


@remembered
def thorough(job: Job, pieces: pl.DataFrame) -> Thorough:
    """The best schedule that the quick search and the exact solver find for a job.

    The solver begins from the quick schedule and works by counting, not by the clock: the same sheets get the same
    schedule. What it finds is taken only if it is better - less late; or as late with fewer firings; or as late, with
    as many, and done sooner - and the checker finds nothing in it that cannot be worked. An earlier schedule that is to
    be kept to is left for one that is less late alone.
    """
    shop = build_shop(job, pieces)
    quick = schedule_rows(best_timetable(shop))
    last = quick["date"].max()
    if not isinstance(last, dt.date):
        return Thorough(quick, QUICK, "there is nothing to be made")
    if not solver_is_there():
        return Thorough(quick, QUICK, "the package of the exact solver is not installed")
    if shop.burning:
        return Thorough(quick, QUICK, "the exact solver knows nothing of a kiln that burns when the plan begins")
    days = (last - job.settings.start).days + 1 + SPARE_DAYS
    if pieces.height * days > LARGEST:
        return Thorough(quick, QUICK, f"{job.orders.height} lines over {days} days are too much for the exact solver")
    end = job.settings.start + dt.timedelta(days)
    best = _solved(job, pieces, quick, end)
    if best is None:
        return Thorough(quick, QUICK, "the exact solver found no schedule in the work allowed to it")
    worth = measured(job, pieces, quick)
    if not _is_better(job, best, worth):
        return Thorough(quick, QUICK, _known(best, worth))
    exact = _workable(job, pieces, best)
    if exact is None:
        # Its model is laxer than the rules, to be a measure of schedules: so once more with one that is not.
        strict = _solved(job, pieces, quick, end, strict=True)
        exact = _workable(job, pieces, strict) if strict is not None and _is_better(job, strict, worth) else None
    if exact is None:
        return Thorough(quick, QUICK, f"what the exact solver found cannot be worked; {_known(best, worth)}")
    better = measured(job, pieces, exact)
    return Thorough(exact, f"the exact solver's: {_told(better)}; the quick one: {_told(worth)}", _known(best, better))


def _solved(
    job: Job, pieces: pl.DataFrame, quick: pl.DataFrame, end: dt.date, *, strict: bool = False
) -> Optimum | None:
    """The exact solver's plan, the best of those that are done before ``end``."""
    # The solver takes a third of a second to import, and is not there for everybody.
    from pipeline.exact.hinted import hint
    from pipeline.exact.model import exact_model
    from pipeline.exact.optimum import best_plan

    exact = exact_model(job, pieces, end, strict=strict)
    hint(exact, quick)
    return best_plan(exact, EFFORTS)


def _is_better(job: Job, best: Optimum, worth: Measured) -> bool:
    """Whether the solver's plan is better than one of such worth; where a plan is kept to, less late."""
    found = Measured(best.lateness.value, int(best.firings.value), best.exact.studio.date(int(best.finish.value)))
    return found < worth and (job.last_schedule.is_empty() or found.lateness < worth.lateness)


def _workable(job: Job, pieces: pl.DataFrame, best: Optimum) -> pl.DataFrame | None:
    """The schedule of the solver's plan, if the checker finds nothing in it that cannot be worked."""
    from pipeline.exact.optimum import easier
    from pipeline.exact.worked_out import worked_out

    exact = worked_out(easier(best, EFFORTS_TO_EASE))
    counts = kiln_counts(job.forms, job.firings, job.kilns, job.kiln_fit)
    loads = kiln_loads(exact, job.forms, job.stages, job.firings, job.kilns, job.kiln_fit)
    broken = broken_rules(job, pieces, exact, loads, {key: count.pieces for key, count in counts.items()})
    return None if broken else exact


QUICK = "the quick one"


def _told(worth: Measured) -> str:
    return f"{float(worth.lateness):g} pieces x days late, {worth.firings} kiln loads, done by {worth.finish}"


def _known(best: Optimum, worth: Measured) -> str:
    """What is proven of a schedule of such worth, and of which others."""
    studio = best.exact.studio
    bounds = (best.lateness.bound, best.firings.bound, best.finish.bound)
    aims = (worth.lateness, Fraction(worth.firings), Fraction(studio.day(worth.finish)))
    others = f"no schedule that is done by {studio.date(studio.end - 1)} can be"
    proven = [aim == bound for aim, bound in zip(aims, bounds, strict=True)]
    if not proven[0]:
        return (
            f"nothing better was found in the work allowed; it is not proven that there is none, but {others} less "
            f"than {float(best.lateness.bound):g} pieces x days late"
        )
    if not proven[1]:
        return f"proven: {others} less late"
    if not proven[2]:
        return f"proven: {others} less late, or as late with fewer kiln loads"
    return f"proven: {others} less late, or as late with fewer kiln loads, or with as many be done sooner"
