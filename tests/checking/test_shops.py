"""The jobs that tests are made on are valid, varied, and the same each time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import fields
from decimal import Decimal

import polars as pl
import pytest
from hypothesis import given, settings

from pipeline.checking.facts import shop_of
from pipeline.job import Job
from schemas import SHEETS_IN
from tests.shops import START, fit_counts, frame, make_job, shop, shops

SHEETS = [name for name in SHEETS_IN if name != "settings"]
MANY = [shop(seed) for seed in range(120)]

FILLED = {
    "forms": ("method", "added_clay_g", "trimmings_g", "glaze_g", "least_extra", "seconds_pct", "other_cost",
              "height_mm", "width_mm"),
    "clay_stock": ("loose_kg", "keep_kg", "lead_days"),
    "labour_hours": ("hourly_rate", "own_time"),
    "stages": ("minutes_each", "minutes_per_kg", "setup_minutes", "loss_pct", "wait_days"),
    "kilns": tuple(SHEETS_IN["kilns"].to_schema().columns),
    "firings": tuple(SHEETS_IN["firings"].to_schema().columns),
    "kiln_fit": ("kiln",),
    "closed_days": ("to",),
    "in_progress": ("date",),
}  # fmt: skip
"""Columns that a job has filled in, so that no step meets a blank."""


def assert_valid(job: Job) -> None:
    """Every sheet by its model, its row numbers in place, and no blank where a default is filled in."""
    for name in SHEETS:
        sheet: pl.DataFrame = getattr(job, name)
        assert sheet.columns[-1] == "row"
        SHEETS_IN[name].validate(sheet.drop("row"))
        for column in FILLED.get(name, ()):
            assert sheet[column].null_count() == 0, (name, column)


def test_a_job_from_three_cells() -> None:
    job = make_job(orders=[{"order": "A", "form": "cup", "quantity": 6}])
    assert_valid(job)
    assert job.settings.start == START == dt.date(2027, 3, 1)
    assert job.forms["form", "method", "clay"].rows() == [("cup", "thrown", "buff")]
    assert job.stages["stage"].to_list() == ["throw", "turn", "bisque", "glaze", "glaze fire"]
    assert job.firings["firing", "kiln", "days", "row"].rows() == [("bisque", "kiln", 2, 2), ("glaze", "kiln", 2, 3)]
    assert job.labour_hours["worker", "day", "hours"].rows() == [("Ada", "Mon-Fri", 5.0)]
    assert job.in_progress.height == job.closed_days.height == 0


def test_a_job_as_it_would_be_read() -> None:
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 6}, {"order": "B", "form": "cup", "quantity": 1}],
        kilns=[{"kiln": "front"}, {"kiln": "back"}],
        firings=[{"firing": "bisque"}, {"firing": "glaze", "kiln": "back", "other_cost": Decimal("4.5")}],
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 3}],
        closed_days=[{"from": dt.date(2027, 3, 5)}],
        settings={"start": dt.date(2027, 3, 3), "currency": "JPY"},
    )
    assert_valid(job)
    assert job.orders["row"].to_list() == [2, 3]
    # a firing without a kiln is of every kiln, and keeps the number of its row
    assert job.firings["firing", "kiln", "row"].rows() == [
        ("bisque", "front", 2),
        ("bisque", "back", 2),
        ("glaze", "back", 3),
    ]
    assert job.in_progress["date"].to_list() == [dt.date(2027, 3, 2)]  # the day before the plan
    assert job.closed_days["to"].to_list() == [dt.date(2027, 3, 5)]
    assert job.settings.minor_digits == 0


def test_a_column_that_a_sheet_has_not() -> None:
    with pytest.raises(KeyError, match=r"orders has no column \['colour'\]"):
        frame("orders", [{"order": "A", "form": "cup", "quantity": 6, "colour": "blue"}])


def test_the_same_seed_gives_the_same_shop() -> None:
    first, again, other = shop(7), shop(7), shop(8)
    for field in fields(Job):
        one, two = getattr(first, field.name), getattr(again, field.name)
        assert one.equals(two) if isinstance(one, pl.DataFrame) else one == two
    assert not first.orders.equals(other.orders)


@settings(max_examples=40)
@given(shops())
def test_shops_are_valid_and_can_be_planned_in_principle(job: Job) -> None:
    assert_valid(job)
    made = shop_of(job)
    assert 1 <= job.orders.height <= 6
    assert 20 <= job.orders["quantity"].sum() <= 300
    assert 1 <= job.labour_hours["worker"].n_unique() <= 3
    workers = job.labour_hours["worker"].unique()
    # the second week after the last exception is as any other
    latest = [job.settings.start + dt.timedelta(days=20), *job.closed_days["to"]]
    week = [max(latest) + dt.timedelta(days=day) for day in range(1, 8)]
    for form in job.forms["form"]:
        for stage in made.routes[form]:
            shifts = [[made.days.shift(worker, day) for worker in workers] for day in week]
            names = {stage.name, stage.firing}
            served = [any(s.hours and (s.stages is None or names & s.stages) for s in of_day) for of_day in shifts]
            assert sum(served) >= 5
            if stage.firing:
                kilns = job.firings.filter(pl.col("firing") == stage.firing)["kiln"]
                assert kilns.len()
                assert all(fit_counts(job)[stage.firing, kiln, form] >= 1 for kiln in kilns)
    bats = job.bats_and_boards.filter(pl.col("kind") == "bat")["count"]
    assert all(count >= 3 for count in bats)


TRAITS: dict[str, Callable[[Job], bool]] = {
    "one line": lambda job: job.orders.height == 1,
    "six lines": lambda job: job.orders.height == 6,
    "300 pieces": lambda job: job.orders["quantity"].sum() == 300,
    "a line without a due date": lambda job: job.orders["due"].null_count() > 0,
    "a tight due date": lambda job: any(due and (due - job.settings.start).days < 7 for due in job.orders["due"]),
    "three workers": lambda job: job.labour_hours["worker"].n_unique() == 3,
    "nobody does everything": lambda job: job.labour_hours["stages"].null_count() == 0,
    "hours on a date": lambda job: job.labour_hours["day"].str.starts_with("202").any(),
    "two kilns": lambda job: job.kilns.height == 2,
    "a firing in one of two kilns": lambda job: job.kilns.height == 2 and job.firings.height < 4,
    "three methods": lambda job: job.stages["method"].n_unique() == 3,
    "several forms": lambda job: job.forms["method"].n_unique() > 1,
    "a window of one day": lambda job: (job.stages["wait_days"] == job.stages["wait_days_max"]).any(),
    "most of all forms": lambda job: job.stages["most_per_day"].is_not_null().any(),
    "most of a form": lambda job: job.form_minutes["most_per_day"].is_not_null().any(),
    "a slow month": lambda job: (job.drying_months["wait_factor"] > 1).any(),
    "scarce bats": lambda job: (job.bats_and_boards["count"] <= 5).any(),
    "no bats told of": lambda job: job.bats_and_boards.is_empty(),
    "a closed week": lambda job: ((job.closed_days["to"] - job.closed_days["from"]).dt.total_days() >= 6).any(),
    "work in progress": lambda job: not job.in_progress.is_empty(),
    "work in progress that is thrown": lambda job: "throw" in job.in_progress["stage_done"],
    "bisque ware in progress": lambda job: "bisque" in job.in_progress["stage_done"],
    "loss_cover": lambda job: job.settings.loss_cover is not None,
}


@pytest.mark.parametrize("trait", TRAITS)
def test_every_trait_turns_up_among_a_few_shops(trait: str) -> None:
    assert 3 <= sum(TRAITS[trait](job) for job in MANY) < len(MANY)
