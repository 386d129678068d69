"""The wiring: which step feeds which, and the order in which a whole plan is made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from importlib import import_module
from inspect import signature

import polars as pl

from pipeline.job import Job
from schemas import SHEETS_OUT
from schemas.problem import problems_sheet
from schemas.sheet import blank
from schemas.sheets_out.schedule import Schedule

INPUTS = frozenset(field.name for field in fields(Job))

STEPS = (
    "pieces",
    "schedule",
    "packs_to_buy",
    "clay_to_buy",
    "clay_to_wedge",
    "labour",
    "stage_hours",
    "glaze_batches",
    "materials_to_buy",
    "materials_cost",
    "kiln_loads",
    "firing_costs",
    "overhead",
    "promises",
    "pace",
    "space",
    "job_costs",
    "earnings",
    "piece_costs",
    "losses",
    "purchases",
    "sales",
    "costs_put_in",
    "materials_ledger",
    "part_made",
    "finished_goods",
    "stock_differences",
    "cost_of_goods",
    "journal",
    "stock_count",
    "closing_balances",
    "assumptions",
)
"""The steps of a plan. Each is a function of this name, in a module of this name in ``pipeline.steps``, and makes the
result sheet of this name; its parameters name the sheets (or ``job``, ``settings``) that it reads."""


@dataclass(frozen=True)
class Outcome:
    """What came of working something out: result sheets, and ``problems`` as a sheet.

    If a problem has the severity ``stop``, nothing could be worked out and ``results`` holds nothing.
    """

    results: Mapping[str, pl.DataFrame]
    problems: pl.DataFrame

    @property
    def stopped(self) -> bool:
        """Whether something stands in the way of a plan."""
        return not self.problems.filter(pl.col("severity") == "stop").is_empty()

    @property
    def late(self) -> bool:
        """Whether a line is late."""
        found = self.results.get("promises")
        return found is not None and not found.filter(pl.col("days_late") > 0).is_empty()


def work_out(
    names: tuple[str, ...], job: Job, problems: pl.DataFrame, given: Mapping[str, pl.DataFrame] | None = None
) -> Outcome:
    """The result sheets ``names`` of a job, and those that they need; ``given`` ones are taken as they are.

    ``problems`` are those found in reading. Before a schedule is made, what makes one impossible is looked for.
    """
    lost = _step("hopeless_losses", "hopeless_losses")(job)
    if not lost.is_empty():
        return Outcome({}, pl.concat([problems, lost]))
    results: dict[str, pl.DataFrame] = dict(given or {})
    for name in names:
        stop = _fetch(name, job, results)
        if not stop.is_empty():
            return Outcome({}, pl.concat([problems, stop]))
    return Outcome(results, problems)


def whole_plan(job: Job, problems: pl.DataFrame) -> Outcome:
    """Every result sheet of a job; ``problems`` gets what the plan shows to be doubtful."""
    outcome = work_out(STEPS, job, problems)
    if outcome.stopped:
        return outcome
    results = dict(outcome.results)
    read = (
        "pieces", "materials_cost", "materials_to_buy", "job_costs", "space", "schedule", "stock_differences",
        "journal",
    )  # fmt: skip
    doubts = _step("doubts", "doubts")(job, *(results[name] for name in read))
    results["problems"] = pl.concat([problems, doubts])
    return Outcome({name: results[name] for name in SHEETS_OUT}, results["problems"])


def buying_list(job: Job, problems: pl.DataFrame, given: Mapping[str, pl.DataFrame]) -> Outcome:
    """What to buy for a job, with what is doubtful about it; no schedule is made, so it needs no hours."""
    beside_clay = any(not sheet.is_empty() for sheet in (job.glazes, job.materials, job.form_materials))
    names = ("clay_to_buy", "materials_to_buy") if beside_clay else ("clay_to_buy",)
    outcome = work_out(names, job, problems, {"schedule": blank(Schedule), **given})
    if outcome.stopped:
        return outcome
    late = _step("doubts", "buying_doubts")(job, outcome.results["packs_to_buy"])
    return Outcome(outcome.results, pl.concat([problems, late]))


def _fetch(name: str, job: Job, results: dict[str, pl.DataFrame]) -> pl.DataFrame:
    """Works a sheet out into ``results`` with all that it needs; gives the problems that stand in the way, if any."""
    if name in results:
        return problems_sheet(())
    step = _step(name, name)
    values: dict[str, object] = {}
    for parameter in signature(step).parameters:
        if parameter == "job":
            values[parameter] = job
        elif parameter in INPUTS:
            values[parameter] = getattr(job, parameter)
        else:
            stop = _fetch(parameter, job, results)
            if not stop.is_empty():
                return stop
            values[parameter] = results[parameter]
    if name == "schedule":
        stop = _step("obstacles", "obstacles")(job, results["pieces"])
        if not stop.is_empty():
            return stop
    results[name] = step(**values)
    if name == "schedule":
        return _step("obstacles", "unplaced")(job, results["pieces"], results["schedule"])
    return problems_sheet(())


def _step(module: str, name: str) -> Callable[..., pl.DataFrame]:
    """A step's function, imported when it is needed, so that a short command starts quickly."""
    step: Callable[..., pl.DataFrame] = getattr(import_module(f"pipeline.steps.{module}"), name)
    return step
