"""Hours and what they cost: facts of the trade and small sums on paper."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import START, frame, make_job
from tests.steps.worked import inputs, step, worked

SECOND = START + dt.timedelta(days=1)


def cups(quantity: int, stages: list[Cells], **more: Any) -> Job:
    return make_job(orders=[{"order": "A", "form": "cup", "quantity": quantity}], stages=stages, **more)


def hours_of(job: Job, stage: str = "throw") -> float:
    """The hours of a stage in the whole plan of a job of one line."""
    found: float = worked(job)["stage_hours"].filter(pl.col("stage") == stage)["hours"].item()
    return found


def by_hand(job: Job, schedule: list[Cells]) -> pl.DataFrame:
    """The hours of a schedule made by hand."""
    results = {"pieces": step("pieces")(**inputs("pieces", job, {})), "schedule": frame("schedule", schedule)}
    results["labour"] = step("labour")(**inputs("labour", job, results))
    return step("stage_hours")(**inputs("stage_hours", job, results))


def work(minutes: float, **more: Any) -> Cells:
    """A row of a schedule: ten cups of order A thrown by Ada on the plan's first day, unless it says otherwise."""
    row = {"date": START, "stage": "throw", "task": "work", "batch": "B1", "order": "A", "form": "cup", "pieces": 10}
    return row | {"worker": "Ada", "minutes": minutes} | more


# Facts of the trade. Common practice, no source.


@pytest.mark.parametrize(
    ("minutes", "hours"),
    [
        (1.0, 3.3333),  # a minute a piece on 200 pieces is 200 minutes: three hours twenty
        (2.0, 6.6667),  # two minutes each is a working day at the wheel: six hours forty
        (5.0, 16.6667),  # five minutes each: sixteen hours forty
    ],
)
def test_minutes_a_piece_on_two_hundred_pieces(minutes: float, hours: float) -> None:
    job = cups(200, [{"stage": "throw", "minutes_each": minutes}])
    assert hours_of(job) == hours


def test_five_minutes_where_one_would_do_cost_over_thirteen_hours() -> None:
    # 200 x (5 - 1) = 800 minutes: thirteen hours twenty.
    slow, quick = (hours_of(cups(200, [{"stage": "throw", "minutes_each": minutes}])) for minutes in (5.0, 1.0))
    assert slow - quick == pytest.approx(13 + 20 / 60, abs=1e-4)
    assert slow - quick > 13


# What makes up the time


def test_time_by_weight_counts_handles_and_spare_clay() -> None:
    # 40 pieces of (380 + 60) g and 5 % spare: 0.462 kg each; at 2 minutes a kilogram 0.924 minutes each, 36.96 in all:
    # 0.616 hours.
    job = cups(
        40,
        [{"stage": "wedge", "minutes_per_kg": 2.0}, {"stage": "throw"}],
        forms=[{"form": "cup", "ball_g": 380.0, "added_clay_g": 60.0}],
        settings={"spare_clay_pct": 5.0},
    )
    row = worked(job)["stage_hours"].row(0, named=True)
    assert (row["stage"], row["pieces"], row["minutes_each"], row["hours"]) == ("wedge", 40, 0.924, 0.616)


def test_a_set_up_for_each_date() -> None:
    # 60 pieces at 2 minutes, 30 a day: two days, a set-up of 10 each: 120 + 20 = 140 minutes, 2.3333 hours.
    job = cups(60, [{"stage": "throw", "minutes_each": 2.0, "setup_minutes": 10.0, "most_per_day": 30}])
    row = worked(job)["stage_hours"].row(0, named=True)
    assert (row["pieces"], row["minutes_each"], row["setups"], row["hours"]) == (60, 2.0, 2, 2.3333)


def test_a_set_up_for_each_form_and_not_for_each_line() -> None:
    # All on one day: cups for A and B share one set-up, which is A's, due first; bowls have their own.
    # A 10 x 2 + 10 = 30 minutes; B 10 x 2 = 20; bowls 10 x 2 + 10 = 30.
    job = make_job(
        orders=[
            {"order": "A", "form": "cup", "quantity": 10, "due": dt.date(2027, 4, 1)},
            {"order": "B", "form": "cup", "quantity": 10, "due": dt.date(2027, 4, 2)},
            {"order": "B", "form": "bowl", "quantity": 10, "due": dt.date(2027, 4, 3)},
        ],
        stages=[{"stage": "throw", "minutes_each": 2.0, "setup_minutes": 10.0}],
    )
    results = worked(job)
    assert results["schedule"]["date"].unique().to_list() == [START]
    assert results["stage_hours"].select("order", "form", "setups", "hours").rows() == [
        ("A", "cup", 1, 0.5),
        ("B", "cup", 0, 0.3333),
        ("B", "bowl", 1, 0.5),
    ]


def test_a_stage_without_a_set_up_has_none() -> None:
    assert worked(cups(10, [{"stage": "throw", "minutes_each": 2.0}]))["stage_hours"]["setups"].to_list() == [0]


def test_a_form_may_be_slower_and_take_longer_to_set_up() -> None:
    # 10 bowls at 3.5 minutes and a set-up of 25: 60 minutes, 1 hour.
    job = make_job(
        orders=[{"order": "A", "form": "bowl", "quantity": 10}],
        stages=[{"stage": "throw", "minutes_each": 2.0, "setup_minutes": 10.0}],
        form_minutes=[{"form": "bowl", "stage": "throw", "minutes_each": 3.5, "setup_minutes": 25.0}],
    )
    row = worked(job)["stage_hours"].row(0, named=True)
    assert (row["minutes_each"], row["setups"], row["hours"]) == (3.5, 1, 1.0)


def test_only_pieces_still_to_do_take_time() -> None:
    # 20 wanted, 8 thrown and 5 finished: 20 - 13 = 7 to throw, 15 to turn.
    job = cups(
        20,
        [{"stage": "throw", "minutes_each": 2.0}, {"stage": "turn", "minutes_each": 4.0}],
        in_progress=[
            {"form": "cup", "stage_done": "throw", "pieces": 8},
            {"form": "cup", "stage_done": "turn", "pieces": 5},
        ],
    )
    # 7 x 2 = 14 minutes, 0.2333 hours; 15 x 4 = 60 minutes, 1 hour.
    found = worked(job)["stage_hours"].select("stage", "pieces", "hours").rows()
    assert found == [("throw", 7, 0.2333), ("turn", 15, 1.0)]


def test_loading_and_unloading_belong_to_the_firing() -> None:
    # A kiln of 40 cups takes 45 minutes to load and 30 to unload: 75 minutes; and each cup 0.3 minutes: 12. 87 minutes
    # are 1.45 hours. A lone load is all one line's; its pieces are counted once.
    job = cups(
        40,
        [{"stage": "bisque", "firing": "bisque", "minutes_each": 0.3}],
        firings=[{"firing": "bisque", "load_minutes": 45.0, "unload_minutes": 30.0}],
        kiln_fit=[{"firing": "bisque", "form": "cup", "pieces": 40}],
    )
    row = worked(job)["stage_hours"].row(0, named=True)
    assert (row["pieces"], row["minutes_each"], row["hours"]) == (40, 0.3, 1.45)


# What it costs

ADA: Cells = {"worker": "Ada", "hourly_rate": Decimal("16.00")}
BEN: Cells = {"worker": "Ben", "hourly_rate": Decimal("20.00"), "own_time": True}
TWO = [ADA, BEN]

THROW: list[Cells] = [{"stage": "throw", "minutes_each": 2.0}]


def costs(job: Job, schedule: list[Cells]) -> tuple[Decimal, Decimal]:
    row = by_hand(job, schedule).row(0, named=True)
    return row["labour_cost"], row["own_labour"]


def test_each_hour_costs_what_its_worker_costs_and_own_time_is_told_apart() -> None:
    # Ada 30 minutes at 16.00: 8.00; Ben, the owner, 45 at 20.00: 15.00; together 23.00, of which 15.00 is own time.
    schedule = [work(30.0), work(45.0, worker="Ben")]
    job = cups(20, THROW, labour_hours=TWO)
    assert costs(job, schedule) == (Decimal("23.00"), Decimal("15.00"))
    assert by_hand(job, schedule)["hours"].to_list() == [1.25]


def test_paid_and_own_time_are_rounded_once_each() -> None:
    # Ada 10 minutes on two days: 20 minutes at 16.00 are 5.3333, so 5.33 (twice 2.67 would be 5.34). Ben 10 minutes at
    # 20.00: 3.3333, so 3.33. Together 8.66, the sum of the rounded amounts (8.6667 would be 8.67).
    schedule = [work(10.0), work(10.0, date=SECOND), work(10.0, worker="Ben")]
    assert costs(cups(30, THROW, labour_hours=TWO), schedule) == (Decimal("8.66"), Decimal("3.33"))


def test_halves_are_rounded_away_from_nought() -> None:
    # 3 minutes at 2.50 an hour: 0.125, so 0.13.
    labour = [ADA | {"hourly_rate": Decimal("2.50")}]
    assert costs(cups(10, THROW, labour_hours=labour), [work(3.0)]) == (Decimal("0.13"), Decimal(0))


@pytest.mark.parametrize(("currency", "cost"), [("JPY", "11"), ("EUR", "10.67"), ("KWD", "10.667")])
def test_costs_are_rounded_to_the_currency(currency: str, cost: str) -> None:
    # 40 minutes at 16 an hour: 10.6667. Yen have no smaller coin, dinars of Kuwait have three places.
    job = cups(20, THROW, labour_hours=TWO, settings={"currency": currency})
    assert costs(job, [work(40.0)]) == (Decimal(cost), Decimal(0))


def test_a_date_may_have_a_rate_of_its_own() -> None:
    # An hour on the first day at 16.00, an hour on the second, a holiday, at 32.00: 48.00.
    labour = [ADA, ADA | {"day": SECOND.isoformat(), "hourly_rate": Decimal("32.00")}]
    job = cups(20, THROW, labour_hours=labour)
    assert costs(job, [work(60.0), work(60.0, date=SECOND)]) == (Decimal("48.00"), Decimal(0))


def test_work_that_takes_no_time_has_no_worker_and_costs_nothing() -> None:
    job = cups(10, [{"stage": "throw"}], labour_hours=TWO)
    row = worked(job)["stage_hours"].row(0, named=True)
    assert (row["pieces"], row["hours"], row["labour_cost"]) == (10, 0.0, Decimal(0))
    assert worked(job)["schedule"]["worker"].to_list() == [None]


def test_lines_of_the_same_order_and_form_in_two_glazes_or_none_are_told_apart() -> None:
    job = make_job(
        orders=[
            {"order": "A", "form": "cup", "quantity": 10, "glaze": "oat"},
            {"order": "A", "form": "cup", "quantity": 20},
        ],
        stages=THROW,
    )
    found = worked(job)["stage_hours"].select("glaze", "pieces", "hours").rows()
    # 10 x 2 = 20 minutes and 20 x 2 = 40 minutes.
    assert found == [("oat", 10, 0.3333), (None, 20, 0.6667)]
