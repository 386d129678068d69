"""What a piece has cost by each stage, and what is lost beyond the normal: published accounts of processes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import frame, make_job
from tests.steps.worked import inputs, step

D = Decimal


def job_of(losses: list[float], work_log: list[Cells] | None = None, **form: Any) -> Job:
    return make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 10}],
        forms=[{"form": "cup", "clay": "buff", **form}],
        stages=[{"stage": f"s{at}", "loss_pct": loss} for at, loss in enumerate(losses, 1)],
        work_log=[{"form": "cup"} | row for row in work_log or []],
    )


def piece_costs(job: Job, pieces: list[int], labour: list[str], materials: list[Cells] | None = None) -> pl.DataFrame:
    """By hand: pieces that go through each stage, paid labour of each stage, materials of the line."""
    line = {"order": "A", "form": "cup"}
    stages = [f"s{at}" for at in range(1, len(pieces) + 1)]
    results = {
        "pieces": frame(
            "pieces",
            [line | {"step": at, "stage": stage, "pieces_in": count, "already_done": 0}
             for at, (stage, count) in enumerate(zip(stages, pieces, strict=True), 1)],
        ),
        "labour": frame(
            "labour",
            [line | {"worker": "Tam", "stage": stage, "paid_labour": D(cost), "own_labour": D(0)}
             for stage, cost in zip(stages, labour, strict=True)],
        ),
        "materials_cost": frame("materials_cost", [line | row for row in materials or []]),
    }  # fmt: skip
    for name in ("stage_hours", "firing_costs", "overhead"):
        results[name] = frame(name, [])
    return step("piece_costs")(**inputs("piece_costs", job, results))


def losses(job: Job, costs: pl.DataFrame) -> dict[str, Any]:
    return step("losses")(**inputs("losses", job, {"piece_costs": costs})).row(0, named=True)


@pytest.mark.parametrize(
    ("rates", "scrapped"),
    [
        # 1,000 good at losses of 3, 5 and 7 %: 1,166.87, 1,131.86 and 1,075.27 enter, each costs 5.00 at each stage:
        # 16,869.99, of which 15,000 would do if nothing were lost. Losses the other way round come early and cost less.
        ((3.0, 5.0, 7.0), "1869.99"),
        ((7.0, 5.0, 3.0), "1414.91"),
    ],
)
def test_good_pieces_bear_what_is_normally_lost(rates: tuple[float, ...], scrapped: str) -> None:
    found = piece_costs(job_of(list(rates)), [1_000] * 3, ["5000"] * 3)
    each = found["book_cost_each"][-1]
    # A cost each has six places, so a thousand of them are out by half a thousandth at most.
    assert 1_000 * each - 15_000 == pytest.approx(D(scrapped), abs=D("0.0055"))


def test_a_process_with_normal_and_abnormal_loss() -> None:
    # A published process account: 100 units in at 1,000 of material, 600 of wages; a normal loss of 10 %, sold at 7.00
    # a unit; 75 come out. (1,600 - 70) / 90 = 17.00 each; abnormal 15 at 17.00 = 255; output 75 x 17.00 = 1,275; and
    # 1,275 + 255 + 70 = 1,600.
    log = [{"stage": "s1", "pieces_in": 100, "pieces_out": 75, "seconds": 10}]
    job = job_of([10.0], log, seconds_pct=100.0, second_price=D("7.00"))
    costs = piece_costs(job, [100], ["600"], [{"material": "buff", "cost": D(1_000)}])
    assert costs.select("materials", "paid_labour", "seconds_value", "book_cost_each").rows() == [
        (D("10.00"), D("6.00"), D("0.70"), D("17.00"))
    ]
    found = losses(job, costs)
    assert (found["normal_loss"], found["abnormal_loss"], found["lost"]) == (10.0, 15.0, 15)
    assert (found["abnormal_cost"], found["seconds_value"]) == (255, 70)
    assert 75 * costs["book_cost_each"][0] + found["abnormal_cost"] + found["seconds_value"] == 1_600
    # All the seconds are of the normal loss, so nothing goes against the abnormal one.
    assert (found["abnormal_seconds"], found["net_loss"]) == (0, 255)


def test_a_process_whose_abnormal_loss_is_sold_too() -> None:
    # Another: 10,000 in at 80,000; a normal loss of 10 % sold for 2,000; 8,800 come out, and all that is lost is sold.
    # 78,000 / 9,000 = 8.6667; abnormal 200 = 1,733.33, less 400 of scrap: 1,333.33.
    log = [{"stage": "s1", "pieces_in": 10_000, "pieces_out": 8_800, "seconds": 1_200}]
    job = job_of([10.0], log, seconds_pct=100.0, second_price=D("2.00"))
    costs = piece_costs(job, [10_000], ["80000"])
    found = losses(job, costs)
    assert found["cost_each"] == D("8.666667")
    assert (found["abnormal_loss"], found["abnormal_cost"]) == (200.0, D("1733.33"))
    assert (found["seconds_value"], found["abnormal_seconds"], found["net_loss"]) == (2_400, 400, D("1333.33"))


def test_an_abnormal_loss_at_a_cost_that_is_given() -> None:
    # A workbook on management accounting: 100 kg of abnormal loss costed at 22.80, scrap at 1.80: 2,280, 180 of it got
    # back: 2,100 to the profit and loss account. 1,000 go in, 10 % normal: (20,700 - 180) / 900 = 22.80.
    log = [{"stage": "s1", "pieces_in": 1_000, "pieces_out": 800, "seconds": 200}]
    job = job_of([10.0], log, seconds_pct=100.0, second_price=D("1.80"))
    found = losses(job, piece_costs(job, [1_000], ["20700"]))
    assert found["cost_each"] == D("22.80")
    assert (found["abnormal_cost"], found["seconds_value"], found["net_loss"]) == (2_280, 360, 2_100)


def test_materials_go_in_where_they_are_used() -> None:
    # 40.00 of clay at the first stage over 20 pieces, 9.00 of glaze at glazing over 18, 8.50 of boxes at the end over
    # 17: 2.00, 0.50 and 0.50.
    job = make_job(
        orders=[{"order": "A", "form": "cup", "glaze": "oat", "quantity": 10}],
        stages=[{"stage": "s1"}, {"stage": "glaze"}, {"stage": "s3"}],
    )
    line = {"order": "A", "form": "cup", "glaze": "oat"}
    counts = (("s1", 20), ("glaze", 18), ("s3", 17))
    results = {
        "pieces": frame(
            "pieces", [line | {"step": at, "stage": stage, "pieces_in": count, "already_done": 0}
                       for at, (stage, count) in enumerate(counts, 1)],
        ),
        "materials_cost": frame(
            "materials_cost",
            [
                line | {"material": "buff", "cost": D("40.00")},
                line | {"material": "feldspar", "cost": D("9.00")},
                line | {"material": "packaging and the like", "unit": "piece", "cost": D("8.50")},
            ],
        ),
    }  # fmt: skip
    for name in ("labour", "stage_hours", "firing_costs", "overhead"):
        results[name] = frame(name, [])
    found = step("piece_costs")(**inputs("piece_costs", job, results))
    assert found["materials"].to_list() == [D("2.00"), D("0.50"), D("0.50")]
    assert found["book_cost_each"].to_list() == [D("2.00"), D("2.50"), D("3.00")]


def test_what_no_piece_of_the_plan_goes_through_has_no_cost() -> None:
    found = piece_costs(job_of([0.0, 0.0]), [0, 10], ["0", "20.00"])
    assert found.select("paid_labour", "book_cost_each").rows() == [(None, None), (D("2.00"), None)]


def test_fewer_lost_than_is_normal_is_a_gain() -> None:
    # 100 in, 98 out, 10 % normal: 8 fewer lost than is normal.
    job = job_of([10.0], [{"stage": "s1", "pieces_in": 100, "pieces_out": 98}])
    found = losses(job, piece_costs(job, [100], ["900.00"]))
    # 900.00 / 90 = 10.00 each: -80.00.
    assert (found["abnormal_loss"], found["abnormal_cost"], found["net_loss"]) == (-8.0, -80, -80)


def test_counts_of_a_form_and_stage_are_added_up() -> None:
    log = [
        {"stage": "s1", "pieces_in": 20, "pieces_out": 19, "seconds": 1},
        {"stage": "s1", "pieces_in": 30, "pieces_out": 27},
    ]
    found = losses(job_of([4.0], log), frame("piece_costs", []))
    # 50 in, 46 out, one a second, three lost; 4 % of 50 are normal, so two are not.
    assert (found["pieces_in"], found["pieces_out"], found["seconds"], found["lost"]) == (50, 46, 1, 3)
    assert (found["normal_loss"], found["abnormal_loss"], found["abnormal_cost"]) == (2.0, 2.0, None)
    assert found["seconds_value"] is None
