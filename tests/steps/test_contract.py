"""What every step keeps: named sheets in, its own sheet out, nothing changed on the way, the same each time."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache
from inspect import signature
from pathlib import Path
from random import Random
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from pipeline.plan import INPUTS, STEPS, work_out
from pipeline.reading.read import read_job
from schemas import REQUIRED, SHEETS_OUT
from schemas.problem import problems_sheet
from schemas.sheet import blank
from tests.shops import shop
from tests.steps.worked import Results, inputs, step

STUDIO = "the studio in sample_data"
SHOPS = (2, 4, 6, 9)
"""Shops at random in which the order of some sheet's rows is meant: equal due dates, two kilns, work in progress."""

JOBS = (STUDIO, *SHOPS)

ORDER_MEANT: dict[str, tuple[str, ...] | None] = {
    "orders": ("due", "priority"),  # lines of one date and priority take their turn as the sheet has them
    "clay_stock": ("clay", "received"),  # of lots of one date the one further down is the newer
    "firings": ("firing",),  # of two kilns as good the one listed first is filled
    "clay_blends": ("clay",),  # the odd gram of a blend goes to its parts in turn
    "glazes": ("glaze",),  # and the odd gram of a glaze to its materials
    "materials": ("material", "received"),  # as in clay_stock
    "labour_hours": None,  # who is listed first is asked first; of two rows of a day the later holds
    "in_progress": None,  # what is listed first is taken first, and batches P1, P2 ... are named by it
}
"""Sheets whose rows mean something by their order: among rows that agree in these columns; None: all of them."""

MAY_BE_EMPTY = {
    "kiln_loads", "firing_costs", "clay_to_wedge", "packs_to_buy", "glaze_batches", "materials_to_buy", "losses",
    "purchases", "part_made", "stock_differences",
}  # fmt: skip
"""Some shops begin nothing, fire nothing, buy nothing or have nothing in progress; shops at random have no recipes, and
only the studio keeps a work log and has books of the last period."""

LISTED_ALL_THE_SAME = {
    "clay_to_buy": "needed_kg",
    "materials_to_buy": "needed_kg",
    "glaze_batches": "needed_g",
    "materials_ledger": "used_kg",
}
"""Sheets that also list what nothing needs: the column that says so."""

NAMES_LISTED = {"assumptions": ("orders", "forms", "clay_stock", "glaze_buckets")}
"""Sheets that a step lists names from, in words, as they have them."""


@cache
def job_named(name: str | int) -> Job:
    if isinstance(name, int):
        return shop(name)
    folder = Path(__file__).resolve().parents[2] / "sample_data" / "studio"
    job = read_job(folder, today=date(2027, 3, 1), needed=REQUIRED).job
    assert job is not None
    return job


@cache
def results_of(name: str | int) -> Results:
    return work_out(STEPS, job_named(name), problems_sheet(())).results


@cache
def without_an_order(name: str | int) -> Results:
    bare = {sheet: getattr(job_named(name), sheet).clear() for sheet in ("orders", "in_progress", "opening_balances")}
    return work_out(STEPS, replace(job_named(name), **bare), problems_sheet(())).results


def sheets(job: Job) -> dict[str, pl.DataFrame]:
    """The input sheets of a job."""
    return {name: getattr(job, name) for name in INPUTS - {"settings"}}


def as_a_set(frame: pl.DataFrame) -> pl.DataFrame:
    """The rows of a sheet without their order, which says all that its key would and whether a row stands twice."""
    return frame.sort(pl.all())


def mixed(frame: pl.DataFrame, together: tuple[str, ...], random: Random) -> pl.DataFrame:
    """The rows in another order, those that agree in the columns ``together`` keeping theirs among themselves."""
    places = list(range(frame.height))
    while len(places) > 1 and places == sorted(places):
        random.shuffle(places)
    if together:
        groups: dict[tuple[object, ...], list[int]] = {}
        keys = frame.select(together).rows()
        for place, key in enumerate(keys):
            groups.setdefault(key, []).append(place)
        places = [groups[keys[place]].pop(0) for place in places]
    return frame[places]


@cache
def mixed_job(job_name: str | int, kept: tuple[str, ...] = ()) -> Job:
    """A job with the rows of its sheets in another order, where that is not meant to matter."""
    job, random = job_named(job_name), Random(1)
    changed: dict[str, Any] = {
        name: mixed(frame, ORDER_MEANT.get(name, ()) or (), random)
        for name, frame in sorted(sheets(job).items())
        if name not in kept and ORDER_MEANT.get(name, ()) is not None
    }
    return replace(job, **changed)


def test_there_is_a_step_for_each_result_sheet() -> None:
    # ``problems`` is made along the way, by reading and by every look for what stands in the way.
    assert set(STEPS) == set(SHEETS_OUT) - {"problems"}
    assert len(STEPS) == len(set(STEPS))


@pytest.mark.parametrize("name", STEPS)
def test_module_function_and_sheet_have_one_name(name: str) -> None:
    found = step(name)
    assert found.__module__ == f"pipeline.steps.{name}"
    assert found.__name__ == name
    assert found.__doc__


@pytest.mark.parametrize("name", STEPS)
def test_parameters_are_named_after_sheets(name: str) -> None:
    parameters = signature(step(name)).parameters
    assert set(parameters) <= INPUTS | set(STEPS) | {"job"}
    assert name not in parameters
    # A step reads the whole job, or names what it reads of it.
    assert "job" not in parameters or not set(parameters) & INPUTS
    if "settings" in parameters:
        assert parameters["settings"].kind is parameters["settings"].KEYWORD_ONLY


@pytest.mark.parametrize("job_name", JOBS)
@pytest.mark.parametrize("name", STEPS)
def test_the_output_keeps_the_rules_of_its_sheet(name: str, job_name: str | int) -> None:
    found = results_of(job_name)[name]
    SHEETS_OUT[name].validate(found, lazy=True)
    if name not in MAY_BE_EMPTY or job_name == STUDIO:
        assert not found.is_empty()


@pytest.mark.parametrize("job_name", [STUDIO, SHOPS[0]])
@pytest.mark.parametrize("name", STEPS)
def test_without_an_order_the_columns_are_there_all_the_same(name: str, job_name: str | int) -> None:
    found = without_an_order(job_name)[name]
    SHEETS_OUT[name].validate(found, lazy=True)
    assert found.schema == blank(SHEETS_OUT[name]).schema
    if name in LISTED_ALL_THE_SAME:
        assert found[LISTED_ALL_THE_SAME[name]].sum() == 0
    elif name not in ("assumptions", "losses", "stock_count", "closing_balances"):  # what was lost was lost
        assert found.is_empty()


@pytest.mark.parametrize("job_name", JOBS)
@pytest.mark.parametrize("name", STEPS)
def test_two_runs_are_equal_and_leave_the_sheets_as_they_were(name: str, job_name: str | int) -> None:
    job, results = job_named(job_name), results_of(job_name)
    read = {**sheets(job), **results}
    before = {sheet: frame.clone() for sheet, frame in read.items()}
    again = step(name)(**inputs(name, job, results))
    for sheet, frame in read.items():
        assert frame.equals(before[sheet])
        assert frame.schema == before[sheet].schema
    assert again.equals(results[name])


@pytest.mark.parametrize("job_name", JOBS)
@pytest.mark.parametrize("name", STEPS)
def test_the_order_of_rows_does_not_matter_where_none_is_meant(name: str, job_name: str | int) -> None:
    job = mixed_job(job_name, NAMES_LISTED.get(name, ()))
    results = results_of(job_name)
    found = step(name)(**inputs(name, job, results))
    assert as_a_set(found).equals(as_a_set(results[name]))


def test_rows_are_mixed_and_none_is_lost() -> None:
    """The test above would say nothing of sheets whose rows stayed where they were."""
    changed = set()
    for job_name in JOBS:
        before, after = sheets(job_named(job_name)), sheets(mixed_job(job_name))
        changed |= {name for name in before if not before[name].equals(after[name])}
        for name in before:
            assert as_a_set(before[name]).equals(as_a_set(after[name]))
    kept = {name for name, columns in ORDER_MEANT.items() if columns is None}
    # No job has two blends, the parts of one keep their turn, reading the studio left next to nothing to tell, and no
    # job keeps to a last plan.
    assert changed == INPUTS - {"settings", "clay_blends", "readings", "last_schedule"} - kept
