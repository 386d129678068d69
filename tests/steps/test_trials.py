"""Plans made for trial: what is known of a shop is not made again, and counts as the work that it was."""

from __future__ import annotations

import pytest

from pipeline.plan import work_out
from pipeline.scheduling.dispatch import Dispatch
from pipeline.scheduling.from_job import build_shop
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.timetable import Timetable
from pipeline.scheduling.trials import Trials
from schemas.problem import problems_sheet
from tests.shops import shop

PLENTY_OF_WORK = 1_000_000


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> list[Shop]:
    """The shop of each run through the days that is made from now on."""
    made: list[Shop] = []
    run = Dispatch.run

    def counted(self: Dispatch) -> Timetable | None:
        made.append(self.shop)
        return run(self)

    monkeypatch.setattr(Dispatch, "run", counted)
    return made


def late_shop() -> Shop:
    """A small shop at random in which lines are late, made up anew each time."""
    job = shop(13)
    return build_shop(job, work_out(("pieces",), job, problems_sheet(())).results["pieces"])


def test_the_same_shop_is_tried_once(runs: list[Shop]) -> None:
    trials = Trials(PLENTY_OF_WORK)
    first = trials.late(late_shop())
    assert first is not None
    assert max(first.days.values()) > 0
    work, number = trials.work, len(runs)
    assert trials.late(late_shop()) == first
    assert (trials.work, len(runs)) == (2 * work, number)


def test_with_less_work_left_than_it_took_it_is_tried_anew(runs: list[Shop]) -> None:
    trials = Trials(PLENTY_OF_WORK)
    trials.late(late_shop())
    work, number = trials.work, len(runs)
    cut = trials.late(late_shop(), work // 2)
    assert cut is not None
    assert not cut.whole
    assert len(runs) > number


def test_lots_are_drawn_from_where_the_trial_without_them_ended(runs: list[Shop]) -> None:
    """As late, and as much work, as a trial with lots that begins anew."""
    whole = Trials(PLENTY_OF_WORK)
    anew = whole.late(late_shop(), by_lot=True)
    number = len(runs)
    trials = Trials(PLENTY_OF_WORK)
    trials.late(late_shop())
    without = len(runs) - number
    sure = Trials(PLENTY_OF_WORK, made=trials.made)
    assert sure.late(late_shop(), by_lot=True) == anew
    assert sure.work == whole.work
    # Both together make no run twice but those that level the days, of either plan.
    assert without > 20
    assert len(runs) - number < number + 20
