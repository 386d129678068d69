"""The pace that each due date asks for, counted on a calendar by hand."""

from __future__ import annotations

import datetime as dt
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings

from pipeline.job import Job
from pipeline.plan import work_out
from schemas.problem import problems_sheet
from tests.shops import Cells, make_job, shop, shops
from tests.steps.planned import EVERY_DAY, march, searched_less


def pace_of(job: Job) -> pl.DataFrame:
    """The sheet ``pace`` of a job; no schedule is made."""
    outcome = work_out(("pace",), job, problems_sheet(()))
    assert set(outcome.results) == {"pieces", "pace"}
    return outcome.results["pace"]


def at(job: Job, stage: str) -> Cells:
    """The row of a stage, of a job with one line."""
    return pace_of(job).row(by_predicate=pl.col("stage") == stage, named=True)


def one_line(quantity: int, due: dt.date | None, **sheets: list[Cells]) -> Job:
    """A job of one line of cups; the stages lose nothing."""
    return make_job(orders=[{"order": "A", "form": "cup", "quantity": quantity, "due": due}], **sheets)


def stage(name: str, **cells: Any) -> Cells:
    return {"stage": name, "loss_pct": 0.0} | cells


def test_two_hundred_pieces_in_ten_days() -> None:
    """1 to 12 March 2027, Monday to Friday: ten days. 200 / 10 = 20 a day; 20 x 3 + 10 = 70 minutes, 70 / 60 h."""
    job = one_line(200, march(12), stages=[stage("throw", minutes_each=3.0, setup_minutes=10.0)])
    row = at(job, "throw")
    assert (row["pieces"], row["first_day"], row["last_day"], row["days_left"]) == (200, march(1), march(12), 10)
    assert (row["pieces_a_day"], row["hours_a_day"]) == (20.0, 1.1667)
    assert row["hours"] == 10.0  # 200 x 3 = 600 minutes
    assert row["in_the_way"] is None


def test_closed_days_are_no_days() -> None:
    """The second week is closed: five days are left, 200 / 5 = 40 a day, and the 5th is the last."""
    shut = [{"from": march(8), "to": march(12)}]
    row = at(one_line(200, march(12), stages=[stage("throw", minutes_each=3.0)], closed_days=shut), "throw")
    assert (row["last_day"], row["days_left"], row["pieces_a_day"]) == (march(5), 5, 40.0)


def test_waits_and_firings_are_counted_back_from_the_due_date() -> None:
    """Due on Friday the 26th; every day is worked.

    The glaze kiln, two days, is unloaded on the 26th at the latest, so loaded on the 24th; glazed that day or before.
    Bisque, two days, unloaded on the 24th, loaded on the 22nd. Turned three days before that, on the 19th, and thrown
    one day before, on the 18th. Forwards from the 1st: turned from the 2nd, loaded from the 5th, glazed from the 7th.
    """
    job = one_line(90, march(26), labour_hours=EVERY_DAY)
    found = pace_of(job).select("stage", "first_day", "last_day", "days_left", "pieces_a_day").rows()
    assert found == [
        ("throw", march(1), march(18), 18, 5.0),
        ("turn", march(2), march(19), 18, 5.0),
        ("bisque", march(5), march(22), 18, 5.0),
        ("glaze", march(7), march(24), 18, 5.0),
        ("glaze fire", march(7), march(24), 18, 5.0),
    ]


def test_a_kiln_is_loaded_and_unloaded_on_days_with_work() -> None:
    """Due on Sunday the 14th. A firing of two days is unloaded on Friday the 12th at the latest, so loaded on
    Wednesday the 10th; the next day with work after one loaded on a Thursday would be a Monday."""
    job = one_line(8, march(14), stages=[stage("glaze fire", firing="glaze")])
    row = at(job, "glaze fire")
    assert (row["first_day"], row["last_day"], row["days_left"], row["pieces_a_day"]) == (march(1), march(10), 8, 1.0)


def test_a_slow_month_asks_for_an_earlier_start() -> None:
    """March dries twice as slowly: 3 days become 6. Due on the 20th, so turned on the 14th."""
    steps = [stage("turn", minutes_each=1.0, wait_days=3), stage("finish", minutes_each=1.0)]
    slow = [{"month": 3, "wait_factor": 2.0}]
    job = one_line(28, march(20), stages=steps, drying_months=slow, labour_hours=EVERY_DAY)
    assert at(job, "turn")["last_day"] == march(14)
    assert at(job, "turn")["pieces_a_day"] == 2.0  # 28 in 14 days


def test_a_fast_month_leaves_more_days() -> None:
    """March dries twice as fast: 3 days become 1.5, so 2. Due on the 20th, so turned on the 18th; from the 1st on, so
    what is finished comes on the 3rd."""
    steps = [stage("turn", minutes_each=1.0, wait_days=3), stage("finish", minutes_each=1.0)]
    fast = [{"month": 3, "wait_factor": 0.5}]
    job = one_line(36, march(20), stages=steps, drying_months=fast, labour_hours=EVERY_DAY)
    assert (at(job, "turn")["last_day"], at(job, "turn")["pieces_a_day"]) == (march(18), 2.0)  # 36 in 18 days
    assert at(job, "finish")["first_day"] == march(3)


def test_what_is_begun_in_a_faster_month_may_be_ready_sooner() -> None:
    """Turned on 31 March it dries for 8 days, until 8 April; turned on 1 April, which dries four times as fast, for 2,
    until the 3rd."""
    steps = [stage("turn", minutes_each=1.0, wait_days=8), stage("finish", minutes_each=1.0)]
    fast = [{"month": 4, "wait_factor": 0.25}]
    orders = [{"order": "A", "form": "cup", "quantity": 9, "due": march(41)}]
    job = make_job(
        orders=orders, stages=steps, drying_months=fast, labour_hours=EVERY_DAY, settings={"start": march(31)}
    )
    assert at(job, "turn")["first_day"] == march(31)
    assert at(job, "finish")["first_day"] == march(34)


def test_a_kiln_that_takes_no_hands_is_unloaded_by_anybody() -> None:
    """Ben fires, and only on Tuesdays; to unload takes no time, so it is done when Ada works. Loaded on Tuesday the
    2nd, unloaded on Thursday the 4th, glazed by Ada from then on; due on the 12th and a day to fire, the last is loaded
    on the 9th."""
    hours = [
        {"worker": "Ada", "day": "Mon-Fri", "hours": 5.0, "stages": "glaze"},
        {"worker": "Ben", "day": "Tue", "hours": 5.0, "stages": "bisque"},
    ]
    steps = [stage("bisque", minutes_each=1.0, firing="bisque"), stage("glaze", minutes_each=1.0)]
    row = {"firing": "bisque", "days": 2, "unload_minutes": 0.0}
    job = one_line(8, march(12), stages=steps, labour_hours=hours, firings=[row])
    assert at(job, "glaze")["first_day"] == march(4)
    assert (at(job, "bisque")["last_day"], at(job, "bisque")["days_left"]) == (march(9), 2)


def test_no_day_left_is_a_blank_and_a_word() -> None:
    """Due on the 3rd. Glazing would have to end on the 1st, and nothing can come there before the 7th."""
    row = at(one_line(9, march(3), labour_hours=EVERY_DAY), "glaze")
    assert (row["days_left"], row["pieces_a_day"], row["hours_a_day"]) == (0, None, None)
    assert row["in_the_way"] == "no day left"


def test_only_days_of_those_who_do_the_stage_count() -> None:
    """Tam turns, on Tuesdays alone: the 2nd and the 9th. 20 pieces: ten on each."""
    hours = [
        {"worker": "Ada", "day": "Mon-Fri", "hours": 5.0, "stages": "throw"},
        {"worker": "Tam", "day": "Tue", "hours": 4.0, "stages": "turn"},
    ]
    steps = [stage("throw", minutes_each=2.0), stage("turn", minutes_each=3.0)]
    job = one_line(20, march(12), stages=steps, labour_hours=hours)
    assert (at(job, "turn")["days_left"], at(job, "turn")["pieces_a_day"]) == (2, 10.0)
    # Thrown on the 9th at the latest: that morning, or from Monday the 1st on.
    assert (at(job, "throw")["last_day"], at(job, "throw")["days_left"]) == (march(9), 7)


@pytest.mark.parametrize(("quantity", "word"), [(150, None), (151, "too few hours")])
def test_more_work_than_hours(quantity: int, word: str | None) -> None:
    """Five days of five hours are 1,500 minutes: 150 pieces of ten minutes, and not one more."""
    job = one_line(quantity, march(5), stages=[stage("throw", minutes_each=10.0)])
    assert at(job, "throw")["in_the_way"] == word


@pytest.mark.parametrize(("quantity", "word"), [(60, None), (61, "above the most a day")])
def test_more_than_the_most_a_day(quantity: int, word: str | None) -> None:
    """12 a day for five days are 60."""
    job = one_line(quantity, march(5), stages=[stage("throw", minutes_each=1.0, most_per_day=12)])
    assert at(job, "throw")["in_the_way"] == word


def test_what_is_done_already_is_left_out() -> None:
    """Of 30 cups 12 stand turned since the 1st: 18 to throw and turn; all 30 to fire, the first on the 4th."""
    turned = [{"form": "cup", "stage_done": "turn", "pieces": 12, "date": march(1)}]
    job = one_line(30, march(26), in_progress=turned, labour_hours=EVERY_DAY)
    assert [at(job, name)["pieces"] for name in ("throw", "turn", "bisque")] == [18, 18, 30]
    assert at(job, "bisque")["first_day"] == march(4)
    assert at(job, "throw")["first_day"] == march(1)


def test_the_first_to_come_counts() -> None:
    """12 stand turned and 6 thrown since the 1st: those turned are dry on the 4th, whenever the others come."""
    standing = [
        {"form": "cup", "stage_done": done, "pieces": pieces, "date": march(1)}
        for done, pieces in (("turn", 12), ("throw", 6))
    ]
    job = one_line(18, march(26), in_progress=standing, labour_hours=EVERY_DAY)
    assert (at(job, "turn")["pieces"], at(job, "turn")["first_day"]) == (6, march(2))
    assert (at(job, "bisque")["pieces"], at(job, "bisque")["first_day"]) == (18, march(4))


def test_a_stage_that_all_have_had_has_no_row() -> None:
    glazed = [{"form": "cup", "stage_done": "glaze", "pieces": 30, "date": march(1)}]
    job = one_line(30, march(26), in_progress=glazed)
    assert pace_of(job)["stage"].to_list() == ["glaze fire"]


def test_a_line_without_a_due_date_has_no_pace() -> None:
    assert pace_of(one_line(30, None)).is_empty()


# What pace says, against what the scheduler does, which knows nothing of it


def assert_plan_keeps_the_pace(job: Job) -> None:
    """Every line that the schedule gets ready in time is worked from the first to the last day of each stage, on no
    more days than there are, and nothing is in its way.

    What the plan counts among the losses and goes no further is for no date: at a stage as many pieces may come after
    the last day as are lost from there to the last stage.
    """
    outcome = work_out(("schedule", "pace"), job, problems_sheet(()))
    assert not outcome.stopped
    pieces, schedule, pace = (outcome.results[name] for name in ("pieces", "schedule", "pace"))
    line = ["order", "form", "glaze"]
    finished = schedule.group_by(line).agg(ready=pl.col("date").max())
    in_time = job.orders.join(finished, on=line, nulls_equal=True).filter(pl.col("ready") <= pl.col("due"))
    kept = pace.join(in_time, on=line, how="semi", nulls_equal=True)
    assert kept["in_the_way"].null_count() == kept.height

    lost = pl.col("pieces_in") - pl.col("pieces_in").sort_by("step").last().over(line)
    lost_on = pieces.select(*line, "stage", lost=lost)
    begun = schedule.filter(pl.col("task") != "unload").select(*line, "stage", "date", done="pieces")
    both = kept.join(begun, on=[*line, "stage"], how="left", nulls_equal=True)
    assert both.filter(pl.col("date") < pl.col("first_day")).is_empty()
    by_stage = (
        both.group_by(*line, "stage", "pieces", "days_left")
        .agg(
            days=pl.col("date").filter(pl.col("date") <= pl.col("last_day")).n_unique(),
            after=pl.col("done").filter(pl.col("date") > pl.col("last_day")).sum(),
            done=pl.col("done").sum(),
        )
        .join(lost_on, on=[*line, "stage"], nulls_equal=True)
    )
    assert by_stage.height == kept.height
    kept_so = (pl.col("done") == pl.col("pieces")) & (pl.col("days") <= pl.col("days_left"))
    assert by_stage.filter(~kept_so | (pl.col("after") > pl.col("lost"))).is_empty()


@pytest.mark.parametrize("seed", [*range(12), 47, 115])
def test_a_plan_in_time_keeps_the_pace(seed: int) -> None:
    """In shop 20 December dries twice as fast; in 47 and 115 a kiln is unloaded on a day when nobody fires."""
    assert_plan_keeps_the_pace(shop(seed))


@settings(max_examples=12)
@given(shops())
def test_any_plan_in_time_keeps_the_pace(job: Job) -> None:
    with searched_less():
        assert_plan_keeps_the_pace(job)
