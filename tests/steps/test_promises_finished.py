"""What is promised of lines that are finished before the plan begins. March 2027 begins on a Monday."""

from __future__ import annotations

import datetime as dt

from tests.shops import Cells
from tests.steps.planned import Planned, march, planned, thrown

FIVE_A_DAY: list[Cells] = [{"stage": "throw", "minutes_each": 2.0, "most_per_day": 5}]


def finished(quantity: int, due: dt.date | None, *lots: tuple[int, dt.date]) -> Planned:
    """The plan of so many cups, of which some stand finished since the dates given; five a day are thrown."""
    standing = [{"form": "cup", "stage_done": "throw", "pieces": pieces, "date": date} for pieces, date in lots]
    return planned(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": quantity, "due": due}],
            stages=FIVE_A_DAY,
            in_progress=standing,
        )
    )


def test_a_line_that_is_finished_was_ready_when_its_last_piece_was() -> None:
    """Three finished on 20 February and two on the 24th; due on the 26th, so two days before. Nothing is to begin."""
    plan = finished(5, dt.date(2027, 2, 26), (3, dt.date(2027, 2, 20)), (2, dt.date(2027, 2, 24)))
    promise = plan.promise("A")
    asked = ("ready", "days_late", "slack_days", "latest_start", "held_up_by")
    assert [promise[name] for name in asked] == [dt.date(2027, 2, 24), 0, 2, None, None]


def test_a_line_finished_after_its_due_date_is_held_up_by_nothing_now() -> None:
    """Finished on 24 February, due on the 22nd: two days late, and no hours, bats or kilns would help any more."""
    promise = finished(5, dt.date(2027, 2, 22), (5, dt.date(2027, 2, 24))).promise("A")
    assert (promise["ready"], promise["days_late"], promise["slack_days"]) == (dt.date(2027, 2, 24), 2, -2)
    assert promise["held_up_by"] == "nothing now: it was finished after its due date"
    assert promise["latest_start"] is None


def test_pieces_that_a_line_does_not_take_say_nothing_of_it() -> None:
    """Five wanted: those of the 20th are enough, and of the five finished on the 24th it takes none."""
    plan = finished(5, march(5), (5, dt.date(2027, 2, 20)), (5, dt.date(2027, 2, 24)))
    assert plan.promise("A")["ready"] == dt.date(2027, 2, 20)


def test_a_line_that_is_partly_finished_is_ready_with_the_rest() -> None:
    """Of ten, five were finished on 24 February; the other five are thrown on the plan's first day."""
    assert finished(10, march(5), (5, dt.date(2027, 2, 24))).promise("A")["ready"] == march(1)
