"""Planning again: nothing changed, a few days later as planned, behind the plan, and with an order more."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import replace
from random import Random

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.job import Job
from tests.carried_out import Told, carried_out, mornings
from tests.shops import random_shop, shop
from tests.steps.planned import EVERY_DAY, march, on, scheduled, thrown

PLENTY = 1_000_000

NOISE = 1e-6
"""Sums of thirds are not exact."""


def without_chance(job: Job) -> Job:
    """The shop with nothing lost or begun beyond what is wanted, clay enough, and empty boards: then what was done as
    planned is just what was planned, and no piece more or less.

    A glaze left blank means any glaze in ``in_progress``, so every line of a shop that has one gets a name for it.
    """
    return replace(
        job,
        orders=job.orders.with_columns(pl.col("glaze").fill_null("plain")),
        forms=job.forms.with_columns(least_extra=pl.lit(0, dtype=pl.Int64)),
        stages=job.stages.with_columns(loss_pct=0.0),
        form_minutes=job.form_minutes.with_columns(loss_pct=pl.lit(None, dtype=pl.Float64)),
        clay_stock=job.clay_stock.with_columns(bags=pl.lit(PLENTY, dtype=pl.Int64)),
        in_progress=job.in_progress.clear(),
        settings=replace(job.settings, loss_cover=None),
    )


def work(schedule: pl.DataFrame) -> Counter[tuple[object, ...]]:
    """Pieces by date, task and line, whatever their batch and whoever works them."""
    found: Counter[tuple[object, ...]] = Counter()
    for *key, pieces in schedule.select(
        "date", "stage", "task", "order", "form", "glaze", "kiln", "pieces"
    ).iter_rows():
        found[tuple(key)] += pieces
    return found


def lateness(job: Job, schedule: pl.DataFrame) -> float:
    """Pieces x days late x weight of what is finished. Priority 1 counts once, 2 half; a blank one follows the last."""
    priorities = [priority for priority in job.orders["priority"] if priority is not None]
    blank = 1 + max(priorities, default=0)
    lines = {
        (order, form, glaze): (due, 1 / (priority or blank))
        for order, form, glaze, due, priority in job.orders.select(
            "order", "form", "glaze", "due", "priority"
        ).iter_rows()
    }
    last = {
        (form, stage)
        for form, stage in job.forms.select("form", "method")
        .join(job.stages.group_by("method").agg(pl.col("stage").sort_by("step").last()), on="method")
        .select("form", "stage")
        .iter_rows()
    }
    total = 0.0
    fired = set(job.stages.filter(pl.col("firing").is_not_null())["stage"])
    for row in schedule.iter_rows(named=True):
        ends = row["task"] == ("unload" if row["stage"] in fired else "work")
        due, weight = lines[row["order"], row["form"], row["glaze"]]
        if (row["form"], row["stage"]) in last and ends and due is not None and row["date"] > due:
            total += weight * row["pieces"] * (row["date"] - due).days
    return total


def assert_kept_to(job: Job) -> None:
    """On each of three mornings, and of two on which a kiln is in fire: the rest of the plan as it was, or a less late
    one.
    """
    plan = scheduled(job).schedule
    free, firing = (mornings(plan, firing=firing) for firing in (False, True))
    days: list[tuple[dt.date, Told]] = [(day, "in the kiln") for day in free[:: max(1, len(free) // 3)][:3]]
    days += zip(firing[:: max(1, len(firing) // 2)], ("in the kiln", "before it"), strict=False)
    for morning, told in days:
        rest = plan.filter(pl.col("date") >= morning)
        again = scheduled(carried_out(job, plan, morning, told)).schedule
        assert work(again) == work(rest) or lateness(job, again) < lateness(job, rest) - NOISE


@pytest.mark.parametrize("seed", range(200, 210))
def test_a_plan_carried_out_is_kept_to(seed: int) -> None:
    assert_kept_to(without_chance(shop(seed)))


@settings(max_examples=8)
@given(st.randoms(use_true_random=False))
def test_any_plan_carried_out_is_kept_to(random: Random) -> None:
    assert_kept_to(without_chance(random_shop(random)))


@pytest.mark.parametrize("seed", range(220, 225))
def test_with_nothing_changed_the_dates_are_the_same(seed: int) -> None:
    job = shop(seed)
    plan = scheduled(job)
    assert work(scheduled(replace(job, last_schedule=plan.schedule)).schedule) == work(plan.schedule)


HOUR = [{"day": "Mon-Sun", "hours": 1.0}]
THROW_AND_TURN = [{"stage": "throw", "minutes_each": 10.0, "wait_days": 2}, {"stage": "turn", "minutes_each": 0.0}]


def test_what_has_gone_furthest_goes_into_the_next_load() -> None:
    """20 cups, 14 thrown a day at most, turned on the day after, and fired on that day or in the three days after it;
    7 fill the kiln, which is unloaded two days later.

    14 are thrown on the 1st and turned on the 2nd: 7 go into the kiln on the 2nd and 7 on the 4th, which is the last
    load before they are too dry on the 6th. The other 6 are thrown on the 2nd and turned on the 3rd: they go in on the
    6th, their last day.

    On the morning of the 3rd, the 6 have to be turned at once, and could be fired on the 4th; then the kiln would hold
    one of the 7 that stand there turned, and the others would be too dry. So it stays as planned.
    """
    job = thrown(
        orders=[{"order": "A", "form": "cup", "quantity": 20}],
        stages=[
            {"stage": "throw", "minutes_each": 2.0, "most_per_day": 14, "wait_days": 1, "wait_days_max": 1},
            {"stage": "turn", "minutes_each": 2.0, "wait_days": 0, "wait_days_max": 3},
            {"stage": "bisque", "firing": "bisque"},
        ],
        firings=[{"firing": "bisque", "days": 2}],
        kiln_fit=[{"firing": "bisque", "form": "cup", "pieces": 7}],
        labour_hours=EVERY_DAY,
    )
    plan = scheduled(job)
    assert plan.days("throw") == on({1: 14, 2: 6})
    assert plan.days("bisque", "load") == on({2: 7, 4: 7, 6: 6})
    again = scheduled(carried_out(job, plan.schedule, march(3)))
    assert again.days("turn") == on({3: 6})
    assert again.days("bisque", "load") == on({4: 7, 6: 6})


def test_what_is_behind_the_plan_is_fitted_in() -> None:
    """Six an hour, an hour a day, and turning takes no time to speak of: twelve cups on the 1st and 2nd.

    One day late, nothing done: six stay on the 2nd, and the six that should have been thrown on the 1st come after
    them. What the plan had for a day stays on it.
    """
    job = thrown(orders=[{"order": "A", "form": "cup", "quantity": 12}], stages=THROW_AND_TURN, labour_hours=HOUR)
    plan = scheduled(job)
    assert plan.days("throw") == on({1: 6, 2: 6})
    late = replace(job, settings=replace(job.settings, start=march(2)), last_schedule=plan.schedule)
    assert scheduled(late).days("throw") == on({2: 6, 3: 6})


def test_a_day_that_is_closed_after_all_moves_only_its_own_work() -> None:
    """Twelve cups again, six on the 1st and six on the 2nd; then the 2nd is closed, and bowls are ordered, too.

    The cups of the 1st stay. Those of the 2nd are behind the plan, and fitted in with the bowls, which are due first:
    bowls on the 3rd and turned on the 5th, cups on the 4th and turned on the 6th, all in time.
    """
    cups = {"order": "A", "form": "cup", "quantity": 12, "due": march(10)}
    bowls = {"order": "B", "form": "bowl", "quantity": 6, "due": march(9)}
    forms = [{"form": "cup"}, {"form": "bowl"}]
    plan = scheduled(thrown(orders=[cups], forms=forms, stages=THROW_AND_TURN, labour_hours=HOUR))
    both = thrown(
        orders=[cups, bowls], forms=forms, stages=THROW_AND_TURN, labour_hours=HOUR, closed_days=[{"from": march(2)}]
    )
    kept = scheduled(replace(both, last_schedule=plan.schedule))
    assert kept.days("throw", form="cup") == on({1: 6, 4: 6})
    assert kept.days("throw", form="bowl") == on({3: 6})


def test_an_order_more_moves_nothing() -> None:
    """Bowls that are wanted at once would go before the cups of the 10th if the plan were made anew; but the 10th can
    wait for nobody, and the bowls are in time behind them too: cups stay on the 1st and 2nd.
    """
    cups = {"order": "A", "form": "cup", "quantity": 12, "due": march(10)}
    bowls = {"order": "B", "form": "bowl", "quantity": 6, "due": march(9)}
    forms = [{"form": "cup"}, {"form": "bowl"}]
    job = thrown(orders=[cups], forms=forms, stages=THROW_AND_TURN, labour_hours=HOUR)
    plan = scheduled(job)
    both = thrown(orders=[cups, bowls], forms=forms, stages=THROW_AND_TURN, labour_hours=HOUR)
    assert scheduled(both).days("throw", form="bowl") == on({1: 6})
    kept = scheduled(replace(both, last_schedule=plan.schedule))
    assert kept.days("throw", form="cup") == on({1: 6, 2: 6})
    assert kept.days("throw", form="bowl") == on({3: 6})


def test_an_order_that_would_be_late_moves_the_others() -> None:
    """The same bowls due on the 5th: thrown on the 3rd they are turned on the 5th, in time; due on the 4th they are
    not, so the plan is made anew.
    """
    cups = {"order": "A", "form": "cup", "quantity": 12, "due": march(10)}
    forms = [{"form": "cup"}, {"form": "bowl"}]
    job = thrown(orders=[cups], forms=forms, stages=THROW_AND_TURN, labour_hours=HOUR)
    plan = scheduled(job)
    for due, thrown_on in ((5, 3), (4, 1)):
        bowls = {"order": "B", "form": "bowl", "quantity": 6, "due": march(due)}
        both = thrown(orders=[cups, bowls], forms=forms, stages=THROW_AND_TURN, labour_hours=HOUR)
        kept = scheduled(replace(both, last_schedule=plan.schedule))
        assert kept.days("throw", form="bowl") == on({thrown_on: 6})
