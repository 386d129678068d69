"""The exact model against sums that a potter can do, and against the independent checker."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest

from pipeline.checking.schedule_rules import broken_rules
from pipeline.exact.model import exact_model
from pipeline.exact.optimum import Optimum, best_plan
from pipeline.exact.worked_out import worked_out
from pipeline.job import Job
from pipeline.plan import work_out
from pipeline.steps.kiln_loads import kiln_loads
from schemas.problem import problems_sheet
from tests.exact.kept import EFFORTS, kept
from tests.shops import Cells, fit_counts, shop
from tests.steps.planned import EVERY_DAY, march, scheduled, thrown


def optimum(job: Job, end: dt.date | None = None) -> Optimum:
    """The best plan of a job that ends before a date, a week after the schedule's last day if none is given.

    The plan breaks no rule.
    """
    pieces = work_out(("pieces",), job, problems_sheet(())).results["pieces"]
    end = end or scheduled(job).schedule["date"].max() + dt.timedelta(days=7)
    best = best_plan(exact_model(job, pieces, end), EFFORTS)
    assert best is not None
    schedule = worked_out(best)
    loads = kiln_loads(schedule, job.forms, job.stages, job.firings, job.kilns, job.kiln_fit)
    assert broken_rules(job, pieces, schedule, loads, fit_counts(job)) == []
    return best


def aims(best: Optimum) -> tuple[Fraction, int, int]:
    """Lateness, firings and the day of the finish, the plan's first day being day 1; all of them proven."""
    assert best.proven
    return best.lateness.value, int(best.firings.value), int(best.finish.value) + 1


@pytest.mark.parametrize("number", [3, 4, 6, 7, 8, 9, 10, 12])
def test_the_optima_that_are_kept_are_proven_again_and_can_be_worked(number: int) -> None:
    """The checker shares nothing with the model but the reading of the sheets, and finds no broken rule in its plan."""
    known = next(best for best in kept() if best.shop == number)
    best = optimum(shop(number), known.end)
    finish = best.exact.studio.day(known.finish) + 1
    assert aims(best) == (known.lateness, known.firings, finish)


THROW: list[Cells] = [{"stage": "throw", "minutes_each": 10.0, "most_per_day": 1}]


def test_two_lines_in_one_pair_of_hands() -> None:
    """One piece a day. A: two pieces due on the 2nd; B: one due on the 1st.

    B first: A's pieces on the 2nd and 3rd, the last one day late. A first: B on the 3rd, two days late; or between
    them, A on the 1st and 3rd and B on the 2nd, one and one. So one piece-day is the least; done on the 3rd day.
    """
    orders: list[Cells] = [
        {"order": "A", "form": "cup", "quantity": 2, "due": march(2)},
        {"order": "B", "form": "cup", "quantity": 1, "due": march(1)},
    ]
    assert aims(optimum(thrown(orders=orders, stages=THROW, labour_hours=EVERY_DAY))) == (1, 0, 3)


def test_a_late_piece_of_priority_2_counts_half() -> None:
    """Both due on the 1st, one piece a day: whichever waits is a day late, and that of priority 2 costs 1/2."""
    orders: list[Cells] = [
        {"order": "A", "form": "cup", "quantity": 1, "due": march(1), "priority": 2},
        {"order": "B", "form": "cup", "quantity": 1, "due": march(1), "priority": 1},
    ]
    assert aims(optimum(thrown(orders=orders, stages=THROW, labour_hours=EVERY_DAY))) == (Fraction(1, 2), 0, 2)


def test_a_kiln_waits_for_a_second_line_if_neither_is_late_by_it() -> None:
    """Five cups, then five bowls, five pieces a day; ten fill the kiln; a firing takes two days.

    Thrown on the 1st and the 2nd, fired together on the 2nd, out on the 4th: one firing. Cups due on the 3rd have to
    go in on the 1st, and the bowls go after them, in on the 3rd and out on the 5th: two firings, and nothing late.
    """
    stages: list[Cells] = [
        {"stage": "throw", "minutes_each": 10.0, "most_per_day": 5},
        {"stage": "fire", "firing": "bisque"},
    ]
    for due, best in ((march(20), (0, 1, 4)), (march(3), (0, 2, 5))):
        orders: list[Cells] = [
            {"order": "A", "form": "cup", "quantity": 5, "due": due},
            {"order": "B", "form": "bowl", "quantity": 5, "due": march(20)},
        ]
        assert aims(optimum(thrown(orders=orders, stages=stages, labour_hours=EVERY_DAY))) == best


def test_bats_hold_up_the_throwing() -> None:
    """Six plates, two bats, off the bat two days after: thrown on the 1st, 3rd and 5th, turned on the last's 7th."""
    job = thrown(
        orders=[{"order": "A", "form": "plate", "quantity": 6}],
        forms=[{"form": "plate", "bat": "large"}],
        stages=[
            {"stage": "throw", "minutes_each": 1.0, "wait_days": 2, "bat": "on"},
            {"stage": "turn", "minutes_each": 1.0, "bat": "off"},
        ],
        labour_hours=EVERY_DAY,
        bats_and_boards=[{"item": "large", "kind": "bat", "count": 2}],
    )
    assert aims(optimum(job)) == (0, 0, 7)


def test_set_ups_and_hours_fill_a_day() -> None:
    """An hour a day; 20 minutes to set up, 10 a piece: (60 - 20) / 10 = 4 a day, so nine pieces take three days."""
    job = thrown(
        orders=[{"order": "A", "form": "cup", "quantity": 9}],
        stages=[{"stage": "throw", "minutes_each": 10.0, "setup_minutes": 20.0}],
        labour_hours=[{"worker": "Ada", "day": "Mon-Sun", "hours": 1.0}],
    )
    assert aims(optimum(job)) == (0, 0, 3)


def test_the_good_pieces_of_a_stage_are_not_those_begun_first() -> None:
    """Ten a day, a fifth of them lost: 100 begun for 80, and of each ten 8 good ones go on, all due on the 1st.

    8 x (0 + 1 + ... + 9) = 360 days late. Were the good ones those begun first, it would be 10 x (0 + ... + 7) = 280.
    """
    stages: list[Cells] = [
        {"stage": "throw", "minutes_each": 1.0, "most_per_day": 10, "loss_pct": 20.0},
        {"stage": "turn", "minutes_each": 1.0},
    ]
    orders: list[Cells] = [{"order": "A", "form": "cup", "quantity": 80, "due": march(1)}]
    job = thrown(orders=orders, stages=stages, labour_hours=EVERY_DAY, settings={"loss_cover": None})
    assert aims(optimum(job)) == (360, 0, 10)


def test_what_there_is_no_clay_for_waits_until_it_has_come() -> None:
    """1 kg is enough for two balls of 400 g; the other four wait three days for a bag: 4 x 3 = 12 days late."""
    job = thrown(
        orders=[{"order": "A", "form": "cup", "quantity": 6, "due": march(1)}],
        stages=[{"stage": "throw", "minutes_each": 1.0}],
        labour_hours=EVERY_DAY,
        clay_stock=[{"clay": "buff", "bags": 0, "loose_kg": 1.0, "lead_days": 3}],
    )
    assert aims(optimum(job)) == (12, 0, 4)
