"""Which line goes first, and how late the plan is as a whole, counted by hand. March 2027 begins on a Monday."""

from __future__ import annotations

import datetime as dt
from itertools import accumulate, permutations
from random import Random

import pytest

from tests.shops import Cells
from tests.steps.planned import EVERY_DAY, dated, march, on, thrown


def one_a_day(orders: list[Cells]) -> dict[str, list[Cells]]:
    """One piece a day, whatever it is for."""
    return {
        "orders": [{"form": "cup"} | order for order in orders],
        "stages": [{"stage": "throw", "minutes_each": 10.0, "most_per_day": 1}],
        "labour_hours": EVERY_DAY,
    }


def in_turn(orders: list[Cells]) -> str:
    """The orders in the order of their days."""
    plan = dated(thrown(**one_a_day(orders)))
    return "".join(plan.schedule["order"].unique(maintain_order=True))


def test_the_earlier_due_goes_first_and_the_blank_last() -> None:
    orders: list[Cells] = [
        {"order": "A", "quantity": 2},
        {"order": "B", "quantity": 2, "due": march(20)},
        {"order": "C", "quantity": 2, "due": march(10)},
    ]
    plan = dated(thrown(**one_a_day(orders)))
    assert plan.days("throw", order="C") == on({1: 1, 2: 1})
    assert plan.days("throw", order="B") == on({3: 1, 4: 1})
    assert plan.days("throw", order="A") == on({5: 1, 6: 1})


def test_of_one_date_the_priority_decides_then_the_sheet() -> None:
    """B is first by priority, then D (2); A and C have none, and go in the sheet's order."""
    orders: list[Cells] = [
        {"order": "A", "quantity": 1, "due": march(20)},
        {"order": "B", "quantity": 1, "due": march(20), "priority": 1},
        {"order": "C", "quantity": 1, "due": march(20)},
        {"order": "D", "quantity": 1, "due": march(20), "priority": 2},
    ]
    assert in_turn(orders) == "BDAC"


def test_a_priority_does_not_go_before_an_earlier_date() -> None:
    orders: list[Cells] = [
        {"order": "A", "quantity": 1, "due": march(20), "priority": 1},
        {"order": "B", "quantity": 1, "due": march(10)},
    ]
    assert in_turn(orders) == "BA"


TEXTBOOK = {
    # (days, due) of each job. The notes' own order is 7 late at worst; earliest due first 4, which is the least.
    "notes": ([(3, 6), (2, 8), (1, 9), (4, 9), (3, 10), (2, 11)], 4),
    # The last two due dates moved: 1 late at worst. Source: Kleinberg and Tardos, Algorithm Design, section 4.2
    # (from memory), proved by trying every order.
    "Kleinberg and Tardos": ([(3, 6), (2, 8), (1, 9), (4, 9), (3, 14), (2, 15)], 1),
    # Ten jobs; 59 is the least that the worst lateness can be. Source: a lecture exercise, proved by enumeration.
    "ten jobs": (
        [(19, 48), (23, 75), (5, 170), (31, 215), (17, 205), (8, 240), (32, 85), (41, 67), (26, 100), (18, 95)],
        59,
    ),
}


def as_lines(jobs: list[tuple[int, int]]) -> list[Cells]:
    """A line for each (days, due)."""
    return [{"order": f"J{number}", "quantity": days, "due": march(due)} for number, (days, due) in enumerate(jobs, 1)]


@pytest.mark.parametrize("name", TEXTBOOK)
def test_earliest_due_first_is_the_least_late_at_worst(name: str) -> None:
    """One machine, and a job of so many days is a line of so many pieces at one a day. A job that ends on the n-th day
    with due day d is n - d late; with the plan's first day as day 1, a due day d is that day of the plan.

    The first source, algorithm notes of a course, gives the orders for jobs that are not split, and earliest due first
    splits none. ``days_late`` is 0 for those in time, so the worst lateness is its greatest value.
    """
    jobs, worst = TEXTBOOK[name]
    late = dated(thrown(**one_a_day(as_lines(jobs)))).results["promises"]["days_late"]
    assert late.max() == worst


@pytest.mark.parametrize("seed", range(15))
def test_no_other_order_is_less_late_at_worst(seed: int) -> None:
    """Five jobs at random, against every one of their 120 orders."""
    random = Random(seed)
    jobs = [(random.randint(1, 6), random.randint(1, 20)) for _ in range(5)]
    worsts = []
    for order in permutations(jobs):
        ends = accumulate(days for days, _ in order)
        worsts.append(max(end - due for end, (_, due) in zip(ends, order, strict=True)))
    late = dated(thrown(**one_a_day(as_lines(jobs)))).results["promises"]["days_late"]
    assert late.max() == max(0, min(worsts))


def test_a_late_line_is_planned_all_the_same() -> None:
    """Due on the 2nd, three pieces at one a day: ready on the 3rd."""
    plan = dated(thrown(**one_a_day([{"order": "A", "quantity": 3, "due": march(2)}])))
    assert plan.days("throw") == on({1: 1, 2: 1, 3: 1})
    assert plan.promise("A")["days_late"] == 1


def test_a_due_date_long_past() -> None:
    """Due on 1 January: it goes first, on 1 March, 31 + 28 = 59 days late."""
    orders: list[Cells] = [
        {"order": "A", "quantity": 1, "due": march(1)},
        {"order": "B", "quantity": 1, "due": dt.date(2027, 1, 1)},
    ]
    plan = dated(thrown(**one_a_day(orders)))
    assert plan.days("throw", order="B") == on({1: 1})
    assert plan.promise("B")["days_late"] == 59
    assert plan.promise("A")["days_late"] == 1


def test_lines_of_one_order_are_apart() -> None:
    """A line with a glaze and one without are two, though order and form are the same."""
    orders: list[Cells] = [
        {"order": "A", "quantity": 1, "glaze": "oat", "due": march(2)},
        {"order": "A", "quantity": 1, "due": march(1)},
    ]
    plan = dated(thrown(**one_a_day(orders)))
    assert plan.schedule.select("date", "glaze", "batch").rows() == [(march(1), None, "B1"), (march(2), "oat", "B2")]
    assert plan.results["promises"].select("glaze", "days_late").sort("glaze", nulls_last=True).rows() == [
        ("oat", 0),
        (None, 0),
    ]
