"""The wedging list: small sums on paper."""

from __future__ import annotations

import datetime as dt
from typing import Any

import polars as pl

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import START, frame, make_job
from tests.steps.worked import inputs, step, worked

SECOND = START + dt.timedelta(days=1)


def wedged(job: Job, schedule: pl.DataFrame) -> pl.DataFrame:
    """The wedging list of a schedule made by hand."""
    pieces = step("pieces")(**inputs("pieces", job, {}))
    return step("clay_to_wedge")(**inputs("clay_to_wedge", job, {"pieces": pieces, "schedule": schedule}))


def thrown(batch: str, pieces: int, **more: Any) -> Cells:
    """A row of a schedule: cups of order A thrown on the plan's first day, unless it says otherwise."""
    first = {"date": START, "stage": "throw", "task": "work", "order": "A", "form": "cup", "minutes": 0.0}
    return first | {"batch": batch, "pieces": pieces} | more


def order(name: str, form: str, quantity: int) -> Cells:
    return {"order": name, "form": form, "quantity": quantity}


THROW: list[Cells] = [{"stage": "throw"}, {"stage": "turn"}]


def test_balls_handles_and_spare_clay_of_a_day() -> None:
    # 20 balls of 380 g: 7.600 kg; 60 g each for handles: 1.200; 5 % spare of 8.800: 0.440; together 9.240 kg.
    job = make_job(
        orders=[order("A", "cup", 20)],
        forms=[{"form": "cup", "ball_g": 380.0, "added_clay_g": 60.0}],
        stages=THROW,
        settings={"spare_clay_pct": 5.0},
    )
    found = wedged(job, frame("schedule", [thrown("B1", 20), thrown("B1", 20, stage="turn", date=SECOND)]))
    names = ("date", "clay", "form", "balls", "ball_g", "added_kg", "spare_kg", "total_kg", "minutes", "parts")
    assert found.select(names).rows() == [(START, "buff", "cup", 20, 380.0, 1.2, 0.44, 9.24, 0.0, None)]


def test_days_and_forms_are_rows_of_their_own_and_lines_are_not() -> None:
    # A's and B's cups are thrown on one day: 6 + 4 balls. B's other 2 follow a day later, with 3 bowls.
    job = make_job(orders=[order("A", "cup", 6), order("B", "cup", 6), order("B", "bowl", 3)], stages=THROW)
    found = wedged(
        job,
        frame(
            "schedule",
            [
                thrown("B1", 6),
                thrown("B2", 4, order="B"),
                thrown("B3", 2, order="B", date=SECOND),
                thrown("B4", 3, order="B", form="bowl", date=SECOND),
            ],
        ),
    )
    # Balls of 400 g: 10 are 4 kg, 3 are 1.2 kg, 2 are 0.8 kg.
    assert found.select("date", "form", "balls", "total_kg").rows() == [
        (START, "cup", 10, 4.0),
        (SECOND, "bowl", 3, 1.2),
        (SECOND, "cup", 2, 0.8),
    ]


def test_a_batch_that_two_throw_is_wedged_once() -> None:
    job = make_job(orders=[order("A", "cup", 10)], stages=THROW)
    found = wedged(job, frame("schedule", [thrown("B1", 6, worker="Ada"), thrown("B1", 4, worker="Ben")]))
    assert found.select("balls", "total_kg").rows() == [(10, 4.0)]


def test_batches_of_a_line_add_up_to_the_line() -> None:
    # 3 cups of 100.5 g: 301.5 g, so the line is 302 g. Thrown one a day: running totals 101 (100.67), 201 (201.33) and
    # 302 give 101, 100 and 101 g.
    job = make_job(orders=[order("A", "cup", 3)], forms=[{"form": "cup", "ball_g": 100.5}], stages=THROW)
    days = [START + dt.timedelta(days=later) for later in range(3)]
    found = wedged(job, frame("schedule", [thrown(f"B{place}", 1, date=day) for place, day in enumerate(days, 1)]))
    assert found["total_kg"].to_list() == [0.101, 0.1, 0.101]


def test_pieces_in_progress_need_no_ball() -> None:
    job = make_job(
        orders=[order("A", "cup", 10)],
        stages=THROW,
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 4}],
    )
    rows = [thrown("P1", 4, stage="turn"), thrown("B1", 6), thrown("B1", 6, stage="turn", date=SECOND)]
    assert wedged(job, frame("schedule", rows))["balls"].to_list() == [6]


def test_the_minutes_are_those_of_the_stages_that_go_by_weight() -> None:
    # Wedging at 2 minutes a kilogram, throwing at 3 minutes each. 10 balls of 400 g: 4 kg, 8 minutes; the throwing on
    # the same day is none of the wedging's.
    job = make_job(
        orders=[order("A", "cup", 10)],
        stages=[{"stage": "wedge", "minutes_per_kg": 2.0}, {"stage": "throw", "minutes_each": 3.0}],
    )
    found = worked(job)["clay_to_wedge"]
    assert found.select("balls", "total_kg", "minutes").rows() == [(10, 4.0, 8.0)]


def test_a_blend_is_wedged_as_one_clay_and_says_what_it_is_mixed_from() -> None:
    job = make_job(
        orders=[order("A", "cup", 10), order("A", "bowl", 10)],
        forms=[{"form": "cup", "clay": "rose"}, {"form": "bowl"}],
        clay_stock=[{"clay": clay} for clay in ("red", "white", "buff")],
        clay_blends=[
            {"clay": "rose", "part": "red", "share_pct": 62.5},
            {"clay": "rose", "part": "white", "share_pct": 37.5},
        ],
        stages=THROW,
    )
    found = worked(job)["clay_to_wedge"]
    assert found.select("clay", "form", "total_kg", "parts").rows() == [
        ("buff", "bowl", 4.0, None),
        ("rose", "cup", 4.0, "62.5 % red + 37.5 % white"),
    ]


def test_spare_clay_is_what_is_over_balls_and_handles() -> None:
    # 5 % spare: 7 balls of 333 g and 7 handles of 21 g are 2.331 + 0.147 = 2.478 kg; x 1.05 = 2.6019, so 2.602 kg, of
    # which 0.124 are spare.
    job = make_job(
        orders=[order("A", "cup", 7)],
        forms=[{"form": "cup", "ball_g": 333.0, "added_clay_g": 21.0}],
        settings={"spare_clay_pct": 5.0},
    )
    found = worked(job)["clay_to_wedge"]
    assert found.select("added_kg", "spare_kg", "total_kg").rows() == [(0.147, 0.124, 2.602)]
