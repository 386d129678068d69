"""Plans made for trial: what is known of a shop is not made again, and does not count again."""

from __future__ import annotations

import polars as pl
import pytest

from pipeline.job import Job
from pipeline.plan import work_out
from pipeline.scheduling.dispatch import Dispatch
from pipeline.scheduling.from_job import build_shop
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.timetable import Timetable
from pipeline.scheduling.trials import Trials
from schemas.problem import problems_sheet
from tests.shops import Cells, shop
from tests.steps.planned import march, thrown

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
    return build_shop(job, pieces_of(job))


def pieces_of(job: Job) -> pl.DataFrame:
    """The pieces of a job's lines."""
    return work_out(("pieces",), job, problems_sheet(())).results["pieces"]


def test_the_same_shop_is_tried_once(runs: list[Shop]) -> None:
    trials = Trials(PLENTY_OF_WORK)
    first = trials.late(late_shop())
    assert first is not None
    assert max(first.days.values()) > 0
    work, number = trials.work, len(runs)
    assert trials.late(late_shop()) == first
    assert trials.late(late_shop(), work // 2) == first
    assert (trials.work, len(runs)) == (work, number)


def test_with_more_work_allowed_it_goes_on_from_where_it_ended(runs: list[Shop]) -> None:
    """Half of the work, and then what is left of it: together as late, and as much work, as all at once."""
    at_once = Trials(PLENTY_OF_WORK)
    whole = at_once.late(late_shop())
    number = len(runs)
    trials = Trials(PLENTY_OF_WORK)
    cut = trials.late(late_shop(), at_once.work // 2)
    assert cut is not None
    assert not cut.whole
    assert trials.work <= at_once.work // 2
    assert trials.late(late_shop()) == whole
    assert (trials.work, len(runs)) == (at_once.work, 2 * number)


def test_lots_are_drawn_from_where_the_trial_without_them_ended(runs: list[Shop]) -> None:
    """As late, and as much work, as a trial with lots that begins anew."""
    anew = Trials(PLENTY_OF_WORK)
    whole = anew.late(late_shop(), by_lot=True)
    number = len(runs)
    trials = Trials(PLENTY_OF_WORK)
    trials.late(late_shop())
    without = trials.work
    sure = Trials(PLENTY_OF_WORK, made=trials.made)
    assert sure.late(late_shop(), by_lot=True) == whole
    assert without + sure.work == anew.work
    assert len(runs) == 2 * number


def test_a_shop_that_cannot_be_less_late_is_searched_no_further(runs: list[Shop]) -> None:
    """Cups take seven days to dry and are due on the 5th: thrown on the 1st they are ready on the 8th, three days late,
    in the first plan as in any.
    """
    stages: list[Cells] = [{"stage": "throw", "minutes_each": 2.0, "wait_days": 7}, {"stage": "turn"}]
    job = thrown(orders=[{"order": "A", "form": "cup", "quantity": 5, "due": march(5)}], stages=stages)
    tried = Trials(PLENTY_OF_WORK).late(build_shop(job, pieces_of(job)))
    assert tried is not None
    assert (tried.days, tried.whole, tried.sure, len(runs)) == ({0: 3}, True, True, 1)
