"""An order tried against the present load: when it would be ready, what it would move, and that it moves no sheet."""

from __future__ import annotations

import datetime as dt

import polars as pl
import pytest

from pipeline.job import Job
from pipeline.plan import work_out
from pipeline.trying import Candidate, UnknownForm, _alone, candidate, tried
from pipeline.writing.trial import trial_text
from schemas.answers import ANSWERS
from schemas.problem import problems_sheet
from tests.shops import Cells, make_job, shop
from tests.steps.planned import march

THROW: list[Cells] = [{"stage": "throw", "minutes_each": 10.0, "loss_pct": 0.0}]
"""Ada has 5 hours: 30 pieces a day."""


def job(due: dt.date | None, **sheets: list[Cells]) -> Job:
    """30 cups are ordered, which takes Monday the 1st."""
    return make_job(orders=[{"order": "A", "form": "cup", "quantity": 30, "due": due}], **{"stages": THROW, **sheets})


def rows(answer: pl.DataFrame) -> list[tuple[object, ...]]:
    return answer.select("way", "order", "ready_now", "ready", "days_later", "days_late").rows()


def test_after_the_others() -> None:
    """The cups on Monday, 60 more on Tuesday and Wednesday."""
    trial = tried(job(march(5)), Candidate("cup", 60))
    assert rows(trial.answer) == [("after the others", "tried", None, march(3), None, None)]
    assert not trial.late
    ANSWERS["try"].validate(trial.answer)


def test_by_its_due_date_it_moves_what_can_wait() -> None:
    """Due on Tuesday, it takes Monday and Tuesday; the cups, due on Friday, are thrown on Wednesday: two days later."""
    trial = tried(job(march(5)), Candidate("cup", 60, due=march(2)))
    assert rows(trial.answer) == [
        ("after the others", "tried", None, march(3), None, None),
        ("by its due date", "tried", None, march(2), None, 0),
        ("by its due date", "A", march(1), march(3), 2, 0),
    ]
    assert not trial.late


def test_two_orders_for_one_day() -> None:
    """60 pieces are two days' work, so one of two orders of 30 due on Monday is a day late."""
    trial = tried(job(march(1)), Candidate("cup", 30, due=march(1)))
    by_due = trial.answer.filter(way="by its due date")
    assert by_due["days_late"].sum() == 1
    assert trial.late


def test_the_words() -> None:
    trial = tried(job(march(5)), Candidate("cup", 60, "oat", march(2)))
    assert trial_text(trial.answer).splitlines() == [
        "60 cup oat, after all that is ordered now: ready on Wednesday 3 March 2027.",
        "  No line is ready later for it.",
        "60 cup oat, by Tuesday 2 March 2027: ready on Tuesday 2 March 2027, in time.",
        "  Later for it: A, 30 cup, ready on Wednesday 3 March 2027, 2 days later, in time.",
    ]


def test_what_holds_it_up_is_said() -> None:
    """90 pieces by Monday: two days late with Ada's five hours, in time with more."""
    words = trial_text(tried(job(None), Candidate("cup", 90, due=march(1))).answer)
    assert "90 cup, by Monday 1 March 2027: ready on Wednesday 3 March 2027, 2 days late, held up by hours" in words


def test_what_would_mend_it_is_said() -> None:
    """90 at ten minutes are 900: 15 hours on Monday, more than anybody is told to work, so no day is long enough."""
    words = trial_text(tried(job(None), Candidate("cup", 90, due=march(1))).answer)
    assert words.splitlines()[-2] == "  What would mend it: only a due date 2 days later (2027-03-03)."


def test_an_order_with_its_name_keeps_it() -> None:
    """An order called `tried` of the same form and glaze would be the same line."""
    taken = make_job(orders=[{"order": "tried", "form": "cup", "quantity": 30}], stages=THROW)
    assert tried(taken, Candidate("cup", 30)).answer["order"].to_list() == ["tried?"]


def test_what_stands_in_the_studio_is_used() -> None:
    """25 cups that no order wants are finished: they are handed over on the first day, and 5 more are thrown then."""
    spare = [{"form": "cup", "stage_done": "throw", "pieces": 55, "date": march(1)}]
    trial = tried(job(march(5), in_progress=spare), Candidate("cup", 30))
    assert trial.answer["ready"].to_list() == [march(1)]


def test_no_day_left_is_a_problem_as_in_a_plan() -> None:
    """Ada works on Monday the 1st alone, which the cups fill."""
    once = [{"worker": "Ada", "day": "2027-03-01", "hours": 5.0}]
    trial = tried(job(march(5), labour_hours=once), Candidate("cup", 1))
    assert trial.answer.is_empty()
    assert trial.problems["kind"].to_list() == ["no day left"]


@pytest.mark.parametrize("seed", range(5))
def test_after_the_others_moves_nothing_that_has_a_date(seed: int) -> None:
    """Whatever the shop, the form and the number; the job itself is as it was."""
    asked = shop(seed)
    before = asked.orders.clone()
    form = asked.forms["form"][seed % asked.forms.height]
    trial = tried(asked, Candidate(form, 5 + 7 * seed))
    assert not trial.stopped
    tried_line, moved = trial.answer.head(1), trial.answer.slice(1)
    assert tried_line["order"].to_list() == ["tried"]
    assert moved["due"].null_count() == moved.height
    assert asked.orders.equals(before)


def test_a_load_does_not_wait_for_the_line_tried() -> None:
    """30 cups are thrown on Monday, fired at once and out on Wednesday the 3rd. 10 more are thrown on Tuesday.

    One load of 40 would save a firing, but the cups would be out on Thursday; so the 10 go into the kiln by themselves
    on the 3rd, and are out on Friday the 5th.
    """
    fired = [*THROW, {"stage": "bisque", "firing": "bisque"}]
    fit = [{"firing": "bisque", "kiln": "kiln", "form": "cup", "pieces": 40}]
    trial = tried(job(march(30), stages=fired, kiln_fit=fit), Candidate("cup", 10))
    assert rows(trial.answer) == [("after the others", "tried", None, march(5), None, None)]


def test_at_worst_it_is_made_once_the_present_plan_is_done() -> None:
    """If holding the others to their days did not help: begun on the day after the last, Tuesday the 2nd.

    Clay of which there is none takes 10 days to come: there on Thursday the 11th, whatever day it is begun. Forty are
    two days' work, twenty on each.
    """
    asked = job(march(5), clay_stock=[{"clay": "buff", "bag_kg": 10.0, "bags": 2, "lead_days": 10}])
    now = work_out(("promises",), asked, problems_sheet(())).results["promises"]
    alone = work_out(("schedule",), _alone(asked, Candidate("cup", 40), now), problems_sheet(()))
    assert alone.results["schedule"].select("date", "pieces").rows() == [(march(11), 20), (march(12), 20)]


# Names as people type them


def test_names_are_spelled_as_in_the_sheets() -> None:
    asked = make_job(orders=[{"order": "A", "form": "Side plate", "glaze": "Oat", "quantity": 5}])
    assert candidate(asked, "side  PLATE", 5, "oat") == Candidate("Side plate", 5, "Oat")
    assert candidate(asked, "Side plate", 5, "new blue").glaze == "new blue"


def test_an_unknown_form_says_what_may_be_meant() -> None:
    asked = make_job(orders=[{"order": "A", "form": "side plate", "quantity": 5}])
    with pytest.raises(UnknownForm, match="did you mean `side plate`"):
        candidate(asked, "sideplate", 5)
    with pytest.raises(UnknownForm, match="there are `side plate`"):
        candidate(asked, "xyz", 5)
