"""Pieces in progress that there are not the hours for before they are too dry. March 2027 begins on a Monday."""

from __future__ import annotations

import datetime as dt

from pipeline.checking.schedule_rules import broken_rules
from pipeline.job import Job
from tests.shops import Cells, fit_counts
from tests.steps.planned import march, on, planned, scheduled, stopped_by, thrown

TO_TURN: list[Cells] = [
    {"stage": "throw", "minutes_each": 1.0, "wait_days": 1, "wait_days_max": 2},
    {"stage": "turn", "minutes_each": 3.0, "setup_minutes": 5.0},
]


def job(pieces: int, **more: list[Cells]) -> Job:
    """So many cups thrown on Saturday, to be turned by Monday the 1st; Ada has an hour a day."""
    standing = {"form": "cup", "stage_done": "throw", "pieces": pieces, "date": dt.date(2027, 2, 27)}
    sheets = {
        "orders": [{"order": "A", "form": "cup", "quantity": pieces}],
        "stages": TO_TURN,
        "labour_hours": [{"worker": "Ada", "hours": 1.0}],
        "in_progress": [standing],
    }
    return thrown(**sheets | more)


def told(plan_of: Job) -> list[tuple[str, int, str]]:
    problems = planned(plan_of).results["problems"]
    return problems.filter(problems["kind"] == "window too short").select("sheet", "row", "problem").rows()


def test_what_there_is_time_for_is_planned_in_time() -> None:
    """55 minutes beside the set-up are 18 cups at three."""
    assert scheduled(job(18)).days("turn") == on({1: 18})
    assert told(job(18)) == []


def test_the_rest_follows_as_soon_as_there_is_work() -> None:
    """18 on Monday, seven on Tuesday, and the row is told."""
    assert scheduled(job(25)).days("turn") == on({1: 18, 2: 7})
    words = "`turn` should follow for all 25 pieces by 2027-03-01, and there is time for 18 of them"
    assert told(job(25)) == [("in_progress", 2, words)]


def test_most_a_day_is_as_good_as_hours() -> None:
    stages = [TO_TURN[0], TO_TURN[1] | {"most_per_day": 10}]
    assert scheduled(job(12, stages=stages)).days("turn") == on({1: 10, 2: 2})


def test_without_any_time_it_is_a_fault() -> None:
    """Closed on Monday: nobody can say that there is time for some."""
    closed = [{"from": march(1)}]
    late = job(25, closed_days=closed)
    # the window is over before the first day of work, which is told as that
    assert "window passed" in planned(late).results["problems"]["kind"].to_list()
    hours = [{"worker": "Ada", "hours": 1.0}, {"worker": "Ada", "day": "2027-03-01", "hours": 0.1}]
    assert stopped_by(job(25, labour_hours=hours)) == [("no day in the window", "in_progress", 2, "stage_done")]


def test_the_checker_lets_no_other_row_be_late() -> None:
    """25 turned on the 1st and the 2nd, as above. Had Ada three hours on the 1st there would be time for all."""
    plan = scheduled(job(25))
    sheets = plan.results["pieces"], plan.schedule, plan.loads
    hours = [{"worker": "Ada", "hours": 1.0}, {"worker": "Ada", "day": "2027-03-01", "hours": 3.0}]
    other = job(25, labour_hours=hours)
    (broken,) = broken_rules(other, *sheets, fit_counts(other))
    assert (broken.rule, broken.where) == ("5b", "2027-03-02, batch P1, turn")
