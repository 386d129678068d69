"""Each rule, broken by one change to a schedule that breaks none."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

import pytest

from pipeline.checking.facts import BrokenRule
from tests.checking.one_change import CHANGES, plates_turned_too_late, two_loads_on_one_date
from tests.checking.small_plan import Plan, march, small_plan


def test_the_small_plan_breaks_no_rule() -> None:
    assert small_plan().broken() == []


def test_two_loads_on_one_date_break_no_rule() -> None:
    plan = small_plan()
    two_loads_on_one_date(plan)
    assert plan.broken() == []


@pytest.mark.parametrize(("rule", "change"), [pytest.param(r, c, id=f"{r}-{c.__name__}") for r, c in CHANGES])
def test_one_change_breaks_one_rule(rule: str, change: Callable[[Plan], object]) -> None:
    plan = small_plan()
    change(plan)
    assert plan.rules() == {rule}


def test_what_is_broken_is_told_with_date_batch_and_reason() -> None:
    plan = small_plan()
    plates_turned_too_late(plan)
    # thrown on Mon 1, two days at most: Wed 3
    assert plan.broken() == [
        BrokenRule(
            "5b",
            "2027-03-04, batch B2, turn",
            "5 of 5 pieces are too late: after `throw` they had to go on by 2027-03-03.",
        )
    ]


def test_an_empty_schedule_leaves_every_piece_undone() -> None:
    plan = small_plan()
    plan.schedule, plan.kiln_loads = [], []
    # two lines at five stages each
    assert [broken.rule for broken in plan.broken()] == ["5a"] * 10


def test_a_date_row_goes_before_the_weekday() -> None:
    # Ada does not work on Tue 2 after all, and the cups are turned then
    plan = small_plan()
    plan.sheets["labour_hours"].append({"worker": "Ada", "day": "2027-03-02", "hours": 0.0})
    assert plan.rules() == {"5c"}  # Ben is there, so it is a day with work
    plan.sheets["labour_hours"].append({"worker": "Ben", "day": "2027-03-02", "hours": 0.0})
    assert plan.rules() == {"5c", "5f"}


@pytest.mark.parametrize("week", ["Mon-Sun", "Sat-Fri", "Thu-Wed", "mon-fri"])
def test_ranges_of_weekdays_may_wrap(week: str) -> None:
    plan = small_plan()
    plan.sheets["labour_hours"][0]["day"] = week
    # where Saturday is worked, L2 of Thu 11 comes out on Sat 13
    expected = set() if week == "mon-fri" else {"5e"}
    assert plan.rules() == expected


def test_a_firing_s_name_lets_a_worker_load_and_unload() -> None:
    plan = small_plan()
    plan.sheets["labour_hours"][1]["stages"] = "dip; glaze"  # the firing of stage `glaze fire`
    for task in ("load", "unload"):
        plan.row("glaze fire", "B1", task)["worker"] = "Ben"
    assert plan.broken() == []


def test_minutes_that_fill_the_day_exactly() -> None:
    # Mon 1: 55 minutes, and 55 are 0.91666… hours
    plan = small_plan()
    plan.sheets["labour_hours"].append({"worker": "Ada", "day": "2027-03-01", "hours": 55 / 60})
    assert plan.broken() == []


def test_work_after_years_of_closed_days() -> None:
    # closed from Fri 12 March to Sun 10 January 2038: L2 comes out on Mon 11 January
    plan = small_plan()
    plan.sheets["closed_days"] = [{"from": march(12), "to": dt.date(2038, 1, 10)}]
    for row in plan.kiln_loads[2:]:
        row["unload_on"] = dt.date(2038, 1, 11)
    for batch in ("B1", "B2"):
        plan.move(plan.row("glaze fire", batch, "unload"), dt.date(2038, 1, 11))
    assert plan.broken() == []
