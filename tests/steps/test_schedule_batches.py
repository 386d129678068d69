"""Batches as potters make them, days that are level, and no piece that is nowhere."""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from dataclasses import replace

import polars as pl
import pytest
from hypothesis import given, settings

from pipeline.checking.facts import shop_of
from pipeline.job import Job
from pipeline.plan import work_out
from pipeline.scheduling.policy import Plan
from pipeline.scheduling.search import Search
from pipeline.scheduling.timetable import Timetable
from pipeline.steps.obstacles import obstacles, unplaced
from pipeline.steps.schedule import schedule
from schemas.problem import problems_sheet
from tests.shops import shop, shops
from tests.steps.planned import EVERY_DAY, on, scheduled, searched_less, thrown

CUPS = {"order": "A", "form": "cup"}


def test_a_day_is_filled_before_the_next_is_begun() -> None:
    """Ten minutes each, five hours a day: thirty are a day's work, and sixty are thirty and thirty."""
    job = thrown(
        orders=[CUPS | {"quantity": 60}],
        stages=[{"stage": "throw", "minutes_each": 10.0}],
        labour_hours=[{"day": "Mon-Sun", "hours": 5.0}],
    )
    assert scheduled(job).days("throw") == on({1: 30, 2: 30})


def test_the_longest_day_is_as_short_as_the_finish_allows() -> None:
    """Thirty a day at most, seventy wanted: three days whatever is done. 24, 24 and 22 make the longest day 4 hours,
    where 30, 30 and 10 made it five. To within a quarter of an hour, a piece and a half.
    """
    job = thrown(
        orders=[CUPS | {"quantity": 70}],
        stages=[{"stage": "throw", "minutes_each": 10.0}],
        labour_hours=[{"day": "Mon-Sun", "hours": 5.0}],
    )
    days = scheduled(job).days("throw")
    assert len(days) == 3
    assert 24 <= max(pieces for _, pieces in days) <= 25


def test_where_a_shorter_day_would_cut_a_lot_a_little_less_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seventy as above: by halves 2 h 30 and 3 h 45 are too short, and 4 h 22 1/2 would do. If that cut a lot, a
    quarter of an hour less would do as well: 4 h 7 1/2, 24 cups a day.
    """
    job = thrown(
        orders=[CUPS | {"quantity": 70}],
        stages=[{"stage": "throw", "minutes_each": 10.0}],
        labour_hours=[{"day": "Mon-Sun", "hours": 5.0}],
    )
    within = Search._within

    def cut(self: Search, plan: Plan, longest: int) -> tuple[Timetable | None, int]:
        found, tries = within(self, plan, longest)
        if found is not None and 26_000 < longest < 26_500:
            found = replace(found, placements=[*found.placements, found.placements[0]])
        return found, tries

    monkeypatch.setattr(Search, "_within", cut)
    assert max(pieces for _, pieces in scheduled(job).days("throw")) == 24


def test_a_level_day_cuts_no_lot() -> None:
    """Twenty a day fill one day of two: nobody throws ten and ten to make the day short, which is two set-ups and two
    lots to look after; the other day is as free as it was.
    """
    job = thrown(
        orders=[CUPS | {"quantity": 20}, {"order": "B", "form": "bowl", "quantity": 5}],
        stages=[{"stage": "throw", "minutes_each": 10.0, "wait_days": 1}, {"stage": "turn", "minutes_each": 30.0}],
        labour_hours=EVERY_DAY,
    )
    plan = scheduled(job)
    assert plan.days("throw", form="cup") == on({1: 20})


def least(job: Job, form: str, left: int) -> int:
    """A fifth of what a day holds at a form's first two stages, of the bats, or of what is left of the line."""
    first, *rest = shop_of(job).routes[form]
    most = [left]
    most += [limit for limit in (first.most_per_day, first.most_of_form) if limit is not None]
    bats = job.bats_and_boards.filter(kind="bat")
    size = dict(job.forms.select("form", "bat").iter_rows())[form]
    if first.bat == "on" and size is not None and not bats.is_empty():
        most.append(dict(bats.select("item", "count").iter_rows()).get(size, 0))
    each = first.minutes_each + (rest[0].minutes_each if rest else 0.0)
    longest = max(hours for hours, day in job.labour_hours.select("hours", "day").iter_rows() if not day[0].isdigit())
    if each:
        most.append(int(longest * 60 / each))
    return max(1, min(most) // 5)


def assert_no_crumbs(job: Job) -> None:
    """Every batch but a line's last is at least a fifth of a day's work, or of what was left of the order."""
    begun: dict[tuple[object, ...], dict[str, int]] = defaultdict(dict)
    plan = scheduled(job)
    rows = plan.schedule.filter(pl.col("batch").str.starts_with("B"), pl.col("task") != "unload")
    first = {form: route[0].name for form, route in shop_of(job).routes.items()}
    for order, form, glaze, stage, batch, pieces in rows.select(
        "order", "form", "glaze", "stage", "batch", "pieces"
    ).iter_rows():
        if stage == first[form]:
            lots = begun[order, form, glaze]
            lots[batch] = lots.get(batch, 0) + pieces
    for (_, form, _), lots in begun.items():
        left = sum(lots.values())
        for pieces in list(lots.values())[:-1]:
            assert pieces >= least(job, str(form), left)
            left -= pieces


def with_clay(job: Job) -> Job:
    """With clay enough, so that none has to be begun with what clay there is."""
    return replace(job, clay_stock=job.clay_stock.with_columns(bags=pl.lit(1_000_000, dtype=pl.Int64)))


@pytest.mark.parametrize("seed", range(300, 315))
def test_no_crumbs(seed: int) -> None:
    assert_no_crumbs(with_clay(shop(seed)))


def until(job: Job, days: int) -> Job:
    """The shop with everybody's hours on its first days alone."""
    start = job.settings.start
    dates = [start + dt.timedelta(days=passed) for passed in range(days)]
    people = job.labour_hours.unique("worker", keep="first", maintain_order=True)
    hours = pl.concat(
        [people.with_columns(day=pl.lit(str(date)), hours=4.0, stages=pl.lit(None, pl.String)) for date in dates]
    )
    return replace(job, labour_hours=hours)


def assert_every_piece_is_counted(job: Job) -> None:
    """At a line's first stage that is short of pieces, what is placed, done before, and told of is what enters it."""
    pieces = work_out(("pieces",), job, problems_sheet(())).results["pieces"]
    if not obstacles(job, pieces).is_empty():
        return
    made = schedule(job, pieces)
    told = {
        row: (int(found[1]), found[2])
        for row, words in unplaced(job, pieces, made).select("row", "problem").iter_rows()
        if (found := re.match(r"(\d+) pieces? finds? no day for `(.+)`", words)) or words
    }
    rows = dict(zip(job.orders.select("order", "form", "glaze").iter_rows(), job.orders["row"], strict=True))
    placed: dict[tuple[object, ...], int] = defaultdict(int)
    for *key, number in (
        made.filter(pl.col("task") != "unload").select("order", "form", "glaze", "stage", "pieces").iter_rows()
    ):
        placed[tuple(key)] += number
    for *line, stage, entering, done in (
        pieces.sort("step").select("order", "form", "glaze", "stage", "pieces_in", "already_done").iter_rows()
    ):
        missing = entering - done - placed[(*line, stage)]
        assert missing >= 0
        left, where = told.get(rows[tuple(line)], (0, None))
        if where == stage:
            assert missing == left
        elif missing:
            assert where is not None


@settings(max_examples=12, deadline=None)
@given(shops())
def test_no_piece_is_lost_where_hours_end(job: Job) -> None:
    with searched_less():
        for days in (1, 6, 20):
            assert_every_piece_is_counted(until(job, days))
