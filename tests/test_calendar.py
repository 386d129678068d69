"""Days with work, looked for forwards and back."""

from __future__ import annotations

from pipeline.calendar import Calendar, calendar
from tests.shops import frame
from tests.steps.planned import march


def weekdays() -> Calendar:
    """Ada works from Monday to Friday, from Thursday the 4th of March on; Monday and Tuesday, the 8th and 9th, are
    closed."""
    labour_hours = frame("labour_hours", [{"worker": "Ada", "day": "Mon-Fri", "hours": 5.0}])
    closed_days = frame("closed_days", [{"from": march(8), "to": march(9)}])
    return calendar(labour_hours, closed_days, march(4))


def looked_for_back(day: int) -> int:
    """The day of March that is found from one."""
    return weekdays().last_work(march(day).toordinal()) - march(1).toordinal() + 1


def test_the_last_day_with_work_is_before_a_weekend_and_closed_days() -> None:
    """Wednesday the 10th has work; Tuesday and Monday before it are closed; before the weekend it is Friday the 5th."""
    assert [looked_for_back(day) for day in (10, 9, 8, 7, 6, 5)] == [10, 5, 5, 5, 5, 5]


def test_a_day_before_the_plan_is_left_as_it_is() -> None:
    """The plan begins on Thursday the 4th; Wednesday the 3rd and Sunday the 28th of February are before it."""
    assert [looked_for_back(day) for day in (4, 3, 0)] == [4, 3, 0]


def test_without_work_since_the_plan_began_it_is_the_day_before() -> None:
    """Nobody works on the 6th and 7th, a weekend: a plan from the 6th on has no day with work up to the 7th."""
    days = weekdays()
    from_saturday = Calendar(days.workers, march(6).toordinal(), days.closed)
    assert from_saturday.last_work(march(7).toordinal()) == march(5).toordinal()
    assert from_saturday.next_work(march(7).toordinal()) == march(10).toordinal()
