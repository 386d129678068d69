"""A job worked out by the steps, as the tests of the steps need it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from inspect import signature

import polars as pl

from pipeline.job import Job
from pipeline.plan import INPUTS, STEPS, buying_list, work_out
from pipeline.steps.promises import promised
from schemas.problem import problems_sheet
from schemas.sheet import blank
from schemas.sheets_out.schedule import Schedule

Results = Mapping[str, pl.DataFrame]


def worked(job: Job, schedule: pl.DataFrame | None = None) -> Results:
    """Every result sheet of a job, which must be one that can be planned; of a schedule, if that is known already.

    ``promises`` has no words on what holds a late line up: to find them takes most of the time of a plan, and no other
    sheet has a use for them.
    """
    given = {} if schedule is None else {"schedule": schedule}
    dated = work_out(("schedule",), job, problems_sheet(()), given)
    assert not dated.stopped, dated.problems
    known = {**dated.results, "promises": promised(job, dated.results["schedule"])}
    return work_out(STEPS, job, problems_sheet(()), known).results


def unscheduled(name: str, job: Job) -> pl.DataFrame:
    """One result sheet of a job, worked out as if nothing were scheduled."""
    outcome = work_out((name,), job, problems_sheet(()), {"schedule": blank(Schedule)})
    assert not outcome.stopped, outcome.problems
    return outcome.results[name]


def bought(job: Job) -> pl.DataFrame:
    """The clay-buying list of a job alone, without a schedule."""
    return buying_list(job, problems_sheet(()), {}).results["clay_to_buy"]


def step(name: str) -> Callable[..., pl.DataFrame]:
    """The function of a step."""
    found: Callable[..., pl.DataFrame] = getattr(import_module(f"pipeline.steps.{name}"), name)
    return found


def inputs(name: str, job: Job, results: Results) -> dict[str, object]:
    """What a step reads, by parameter: the job, its sheets and settings, and the results of other steps."""
    return {
        parameter: job if parameter == "job" else getattr(job, parameter) if parameter in INPUTS else results[parameter]
        for parameter in signature(step(name)).parameters
    }
