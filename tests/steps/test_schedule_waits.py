"""Waits between stages, and dates, in small jobs where they bind, the days counted by hand.

March 2027 begins on a Monday; Ada works from Monday to Friday, five hours a day, unless a job says otherwise.
"""

from __future__ import annotations

import datetime as dt

import pytest

from tests.shops import Cells
from tests.steps.planned import EVERY_DAY, march, on, planned, scheduled, thrown


def cups(quantity: int) -> list[Cells]:
    """An order of so many cups."""
    return [{"order": "A", "form": "cup", "quantity": quantity}]


def five_a_day(least: int, most: int | None) -> list[Cells]:
    """Five thrown a day, to be turned within a window."""
    return [
        {"stage": "throw", "minutes_each": 2.0, "most_per_day": 5, "wait_days": least, "wait_days_max": most},
        {"stage": "turn", "minutes_each": 2.0},
    ]


def test_what_must_be_turned_the_next_day_is_not_thrown_on_a_friday() -> None:
    """30 at 5 a day are six days: Monday the 1st to Thursday the 4th, then Monday the 8th and Tuesday the 9th."""
    plan = scheduled(thrown(orders=cups(30), stages=five_a_day(1, 1)))
    assert plan.days("throw") == on(dict.fromkeys((1, 2, 3, 4, 8, 9), 5))
    assert plan.days("turn") == on(dict.fromkeys((2, 3, 4, 5, 9, 10), 5))


def test_three_days_of_window_span_a_weekend() -> None:
    """Thrown on Friday the 5th and turned on Monday the 8th, three days later."""
    plan = scheduled(thrown(orders=cups(30), stages=five_a_day(1, 3)))
    assert plan.days("throw") == on(dict.fromkeys((1, 2, 3, 4, 5, 8), 5))
    assert plan.days("turn") == on({2: 5, 3: 5, 4: 5, 5: 5, 8: 5, 9: 5})


def test_waits_are_calendar_days() -> None:
    """Turned on Tuesday the 2nd, dry after three days, on Friday the 5th; on Wednesday the 3rd, on Saturday the 6th,
    so dipped on Monday the 8th.
    """
    plan = scheduled(
        thrown(
            orders=cups(10),
            stages=[*five_a_day(1, None)[:1], {"stage": "turn", "wait_days": 3}, {"stage": "dip", "minutes_each": 1.0}],
        )
    )
    assert plan.days("turn") == on({2: 5, 3: 5})
    assert plan.days("dip") == on({5: 5, 8: 5})


def test_a_slow_month_counts_from_the_day_of_the_stage() -> None:
    """Two days of drying, in April twice as long. One is thrown on each of 30 and 31 March, 1 and 2 April, and turned
    on 1 and 2 April (two days later), 5 and 6 April (four days later).
    """
    plan = scheduled(
        thrown(
            orders=cups(4),
            stages=[{"stage": "throw", "minutes_each": 1.0, "most_per_day": 1, "wait_days": 2}, {"stage": "turn"}],
            labour_hours=EVERY_DAY,
            drying_months=[{"month": 4, "wait_factor": 2.0}],
            settings={"start": march(30)},
        )
    )
    assert plan.days("throw") == on({30: 1, 31: 1, 32: 1, 33: 1})
    assert plan.days("turn") == on({32: 1, 33: 1, 36: 1, 37: 1})


@pytest.mark.parametrize(
    ("least", "most", "factor", "after"),
    [
        (3, 3, 1.1, 4),  # 3.3 days are four at least, and the most is never below the least
        (10, 10, 1.1, 11),  # eleven exactly, not twelve
        (1, None, 0.5, 1),  # half a day is a day
        (0, None, 2.0, 0),  # nothing to dry: the same day
    ],
)
def test_waits_times_a_factor_in_whole_days(least: int, most: int | None, factor: float, after: int) -> None:
    plan = scheduled(
        thrown(
            orders=cups(1),
            stages=[
                {"stage": "throw", "minutes_each": 1.0, "wait_days": least, "wait_days_max": most},
                {"stage": "turn", "minutes_each": 1.0},
            ],
            labour_hours=EVERY_DAY,
            drying_months=[{"month": 3, "wait_factor": factor}],
        )
    )
    assert plan.days("turn") == on({1 + after: 1})


def test_the_most_days_are_rounded_down() -> None:
    """At most 3 days, times 1.5: 4.5, so four. Closed from the 2nd to the 5th: thrown on the 1st it would have to be
    turned by the 5th, so it is thrown on the 6th.
    """
    plan = scheduled(
        thrown(
            orders=cups(1),
            stages=[
                {"stage": "throw", "minutes_each": 1.0, "wait_days": 1, "wait_days_max": 3},
                {"stage": "turn", "minutes_each": 1.0},
            ],
            labour_hours=EVERY_DAY,
            drying_months=[{"month": 3, "wait_factor": 1.5}],
            closed_days=[{"from": march(2), "to": march(5)}],
        )
    )
    assert plan.days("throw") == on({6: 1})
    assert plan.days("turn") == on({8: 1})  # 1 day times 1.5 is two


def test_a_form_has_its_own_waits() -> None:
    """Plates wait two days where cups wait one."""
    plan = scheduled(
        thrown(
            orders=[*cups(1), {"order": "B", "form": "plate", "quantity": 1}],
            stages=five_a_day(1, 1),
            form_minutes=[{"form": "plate", "stage": "throw", "wait_days": 2, "wait_days_max": 2}],
        )
    )
    assert plan.days("turn", form="cup") == on({2: 1})
    assert plan.days("turn", form="plate") == on({3: 1})


def test_after_a_firing_the_wait_counts_from_unloading_and_no_month_changes_it() -> None:
    """Loaded on the 1st, unloaded on the 3rd, two days to cool: dipped on the 5th, March being slow or not."""
    plan = scheduled(
        thrown(
            orders=cups(4),
            stages=[{"stage": "bisque", "firing": "bisque", "wait_days": 2}, {"stage": "dip", "minutes_each": 1.0}],
            labour_hours=EVERY_DAY,
            drying_months=[{"month": 3, "wait_factor": 3.0}],
        )
    )
    assert plan.firings() == [("bisque", march(1), march(3), 4)]
    assert plan.days("dip") == on({5: 4})


# Dates


def test_february_of_a_leap_year() -> None:
    """Thrown on Monday 28 February 2028, turned on Tuesday the 29th, finished on Wednesday 1 March."""
    plan = planned(
        thrown(
            orders=cups(1),
            stages=[{"stage": name, "minutes_each": 1.0, "wait_days": 1} for name in ("throw", "turn", "finish")],
            settings={"start": dt.date(2028, 2, 28)},
        )
    )
    assert plan.schedule.select("date", "weekday", "stage").rows() == [
        (dt.date(2028, 2, 28), "Mon", "throw"),
        (dt.date(2028, 2, 29), "Tue", "turn"),
        (dt.date(2028, 3, 1), "Wed", "finish"),
    ]
    assert plan.promise("A")["ready"] == dt.date(2028, 3, 1)


@pytest.mark.parametrize(
    ("date", "weekday"),
    [
        # The last digit of an ISO week date is the weekday, Monday = 1. Source: ISO 8601, the first its own example.
        (dt.date(1985, 4, 12), "Fri"),  # 1985-W15-5
        (dt.date(1977, 1, 1), "Sat"),  # 1976-W53-6
        (dt.date(1978, 1, 2), "Mon"),  # 1978-W01-1
        (dt.date(2006, 12, 31), "Sun"),  # 2006-W52-7
        (dt.date(2026, 12, 31), "Thu"),  # 2026-W53-4
        (dt.date(2027, 1, 3), "Sun"),  # 2026-W53-7
        (dt.date(2028, 2, 29), "Tue"),  # 2028-W09-2, computed
    ],
)
def test_the_weekday_of_a_date(date: dt.date, weekday: str) -> None:
    """Only who works on that weekday can do it on that date, and the schedule names it so."""
    plan = scheduled(
        thrown(
            orders=cups(1),
            stages=[{"stage": "throw", "minutes_each": 1.0}],
            labour_hours=[{"day": weekday, "hours": 1.0}],
            settings={"start": date},
        )
    )
    assert plan.schedule.select("date", "weekday").rows() == [(date, weekday)]
