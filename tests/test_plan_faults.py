"""Each kind of problem that only planning finds has a folder of sheets that hold it, and what a person is told."""

from __future__ import annotations

import csv
import sys
from datetime import date
from pathlib import Path

import pytest

from pipeline.plan import Outcome, buying_list, whole_plan
from pipeline.reading.read import read_job
from schemas.plan_kinds import PLAN_KINDS

HERE = Path(__file__).resolve().parent / "plan_faults"
FAULTS = sorted(path.name for path in HERE.iterdir())

TOLD_BY_BUY = {"clay_ordered_too_late"}
"""Told by the buying list alone: a plan begins nothing before its clay is there."""


def expected(fault: str) -> list[dict[str, str]]:
    with (HERE / fault / "expected_problems.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


WITHOUT_SOLVER = {"settings_no_thorough_search"}
"""Told only where the package of the thorough search is not installed, so it is taken away."""


@pytest.fixture(autouse=True)
def no_solver(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a machine where the package was never installed."""
    if "fault" in request.fixturenames and request.getfixturevalue("fault") in WITHOUT_SOLVER:
        monkeypatch.setitem(sys.modules, "ortools", None)


def outcome(fault: str) -> Outcome:
    reading = read_job(HERE / fault / "sheets", today=date(2027, 3, 1), needed=())
    assert reading.job is not None, reading.problems.rows()
    if fault in TOLD_BY_BUY:
        return buying_list(reading.job, reading.problems, {})
    return whole_plan(reading.job, reading.problems)


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_told_at_its_place(fault: str) -> None:
    told = [
        {name: "" if cell is None else str(cell) for name, cell in row.items()}
        for row in outcome(fault).problems.iter_rows(named=True)
    ]
    assert told == expected(fault)


@pytest.mark.parametrize("fault", FAULTS)
def test_nothing_comes_out_if_something_stops_it(fault: str) -> None:
    found = outcome(fault)
    assert found.stopped == any(row["severity"] == "stop" for row in expected(fault))
    assert bool(found.results) != found.stopped


def test_every_kind_has_a_faulty_sample() -> None:
    shown = {row["kind"] for fault in FAULTS for row in expected(fault)}
    assert {kind.code for kind in PLAN_KINDS} <= shown
