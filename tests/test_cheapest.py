"""What spares and shortages of a line cost, by the sheets."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from time import perf_counter
from typing import Any

import pytest

from pipeline.cheapest import LARGEST, line_runs, with_covers
from pipeline.job import Job
from pipeline.reading.read import read_job
from schemas.settings import CHEAPEST
from tests.random_sheets import Cells
from tests.reading.folders import job_of as read_job_of
from tests.shops import make_job
from tests.steps.worked import inputs, step, worked

D = Decimal

SAMPLE = Path(__file__).resolve().parent.parent / "sample_data" / "studio"
CHEAPLY = b"name,value\nstart,2027-03-01\ncurrency,EUR\nloss_cover,cheapest\nenergy_price,0.28\n"

ADA: Cells = {"worker": "Ada", "day": "Mon-Fri", "hours": 6.0, "hourly_rate": D("18.00"), "own_time": True}


def cups(quantity: int = 12, **more: Any) -> Job:
    """Cups of 500 g of clay at 1.00 a kilogram, thrown in 2 minutes at 18.00 an hour, a tenth lost in a firing."""
    sheets: dict[str, Any] = {
        "orders": [{"order": "A", "form": "cup", "quantity": quantity, "unit_price": D("14.00")}],
        "forms": [{"form": "cup", "ball_g": 500.0}],
        "clay_stock": [{"clay": "buff", "bag_kg": 10.0, "bag_price": D("10.00")}],
        "stages": [
            {"stage": "throw", "minutes_each": 2.0, "setup_minutes": 20.0},
            {"stage": "fire", "firing": "glaze", "loss_pct": 10.0},
        ],
        "firings": [{"firing": "glaze", "kwh": 40.0, "other_cost": D("2.00"), "load_minutes": 30.0}],
        "kiln_fit": [{"firing": "glaze", "form": "cup", "pieces": 50}],
        "labour_hours": [ADA],
        "settings": {"loss_cover": CHEAPEST, "energy_price": D("0.25")},
    }
    return make_job(**sheets | more)


def test_what_a_piece_and_another_run_cost() -> None:
    # Clay 0.50; 2 minutes at 0.30 0.60; a fiftieth of a load of 10.00 + 2.00 + 30 x 0.30 = 21.00, 0.42: 1.52 a piece.
    # A set-up of 20 minutes: 6.00. A spare is worth nothing, a missing cup 14.00.
    (run,) = line_runs(cups())
    assert (run.chance, run.each, run.again) == pytest.approx((0.9, 1.52, 6.0))
    assert (run.spare, run.missed) == (0.0, 14.0)


def test_a_spare_is_worth_its_share_of_the_price_but_no_more_than_it_cost() -> None:
    choices = {"loss_cover": CHEAPEST, "energy_price": D("0.25")}
    # A tenth of 14.00 is 1.40; half of it, 7.00, is more than the 1.52 that the piece cost.
    assert line_runs(cups(settings=choices | {"spare_value_pct": 10.0}))[0].spare == pytest.approx(1.40)
    assert line_runs(cups(settings=choices | {"spare_value_pct": 50.0}))[0].spare == pytest.approx(1.52)


@pytest.mark.parametrize(
    ("kilograms", "each"),
    [
        # 12 cups, 14 begun (13.3), take 7 kg; 5 are there. 2 kg are bought, a pack of 5 kg at 3.00, 0.60 a kilogram;
        # the van at 9.00 comes anyhow. Half a kilogram is 0.30 instead of 0.50: 1.32 a piece.
        (5.0, 1.32),
        # 10 kg are enough, so what a cup more takes has cost 1.00 a kilogram.
        (10.0, 1.52),
    ],
)
def test_clay_costs_what_it_is_bought_at_or_has_cost(kilograms: float, each: float) -> None:
    job = cups(
        clay_stock=[{"clay": "buff", "bag_kg": 10.0, "bags": 0, "loose_kg": kilograms, "bag_price": D("10.00")}],
        clay_prices=[{"clay": "buff", "supplier": "Hill", "pack_kg": 5.0, "pack_price": D(3), "carriage": D(9)}],
    )
    assert line_runs(job)[0].each == pytest.approx(each)
    assert line_runs(with_covers(job))[0].each == pytest.approx(each)


def test_work_after_a_loss_is_done_on_fewer_pieces() -> None:
    # A fifth is lost at throwing; four in five come to 5 minutes of turning at 0.30: 0.50 + 0.60 + 0.8 x 1.50 = 2.30.
    job = cups(
        stages=[{"stage": "throw", "minutes_each": 2.0, "loss_pct": 20.0}, {"stage": "turn", "minutes_each": 5.0}]
    )
    assert line_runs(job)[0].each == pytest.approx(2.30)


def test_a_minute_costs_what_those_who_do_the_stage_cost_on_average() -> None:
    # Ada 30 hours a week at 18.00, Tam 10 at 14.00 who throws alone: (540 + 140) / 40 = 17.00 an hour.
    tam = {"worker": "Tam", "day": "Tue", "hours": 10.0, "hourly_rate": D("14.00"), "stages": "throw"}
    job = cups(labour_hours=[ADA, tam], stages=[{"stage": "throw", "minutes_each": 60.0}])
    assert line_runs(job)[0].each == pytest.approx(17.50)


def test_the_pieces_begun_are_those_that_cost_least() -> None:
    # One cup short: another run of one, 7.52, again and again until it is good: 7.52 / 0.9 = 8.36. Two short: 10.65.
    # Of 14 begun, 21.28, one is missing in 11.4 % of all cases, two in 3.5 %, more in 0.9 %: 22.72 all told. Of 13,
    # 19.76, in 24.5, 10.0 and 3.5 %: 23.32. Of 15, 22.80, in 4.3, 1.0 and 0.2 %: 23.30.
    job = with_covers(cups())
    assert job.orders["cover"].to_list() == pytest.approx([0.8416], abs=5e-5)  # P(12 or more of 14), binomial tables
    pieces = step("pieces")(**inputs("pieces", job, {}))
    assert pieces["pieces_in"].to_list() == [14, 14]


@pytest.mark.parametrize(("without", "begun"), [("1600", 3), ("800", 2), ("700", 2)])
def test_reject_allowances(without: str, begun: int) -> None:
    """Hillier & Lieberman, Introduction to Operations Research, Dynamic Programming, "Determining Reject Allowances":
    one good item is wanted, half of those made are good, a run costs 300 and an item 100, and there is time for three
    runs. With the last one left, and 1,600 lost without an item, 3 items are made (or 4, at the same cost), 800 with
    the run; with two left 2 (or 3), against those 800: 700; with three 2, against 700: 675 (from memory).

    An item takes a kilogram of clay at 100.00; the line's price stands for what is lost without it. The runs after are
    in that price, so another one here is too dear to be thought of: a set-up of 100 hours at 18.00.
    """
    job = cups(
        quantity=1,
        orders=[{"order": "A", "form": "cup", "quantity": 1, "unit_price": D(without)}],
        forms=[{"form": "cup", "ball_g": 1000.0}],
        clay_stock=[{"clay": "buff", "bag_kg": 1.0, "bag_price": D(100)}],
        stages=[{"stage": "cast", "setup_minutes": 6000.0, "loss_pct": 50.0}],
    )
    made = with_covers(job)
    assert step("pieces")(**inputs("pieces", made, {}))["pieces_in"].to_list() == [begun]


def test_a_line_that_loses_nothing_or_costs_nothing_needs_no_spare() -> None:
    sure = with_covers(cups(stages=[{"stage": "throw", "minutes_each": 2.0}]))
    unpriced: dict[str, Any] = {
        "clay_stock": [{"clay": "buff", "bag_price": D(0)}],
        "labour_hours": [ADA | {"hourly_rate": None}],
        "firings": [{"firing": "glaze"}],
        "settings": {"loss_cover": CHEAPEST},
    }
    free = with_covers(cups(**unpriced))
    assert step("pieces")(**inputs("pieces", sure, {}))["pieces_in"].to_list() == [12]
    # Nothing is known of what a cup costs: as many as are enough on average, 12 / 0.9 = 13.3.
    assert free.orders["cover"].to_list() == [None]
    assert step("pieces")(**inputs("pieces", free, {}))["pieces_in"].to_list() == [14, 14]


def test_a_line_of_many_is_as_sure_as_the_largest_that_is_worked_out() -> None:
    many = with_covers(cups(100_000)).orders["cover"].item()
    assert many == with_covers(cups(LARGEST)).orders["cover"].item()


@pytest.mark.parametrize("loss", [60.0, 90.0])
def test_dear_losses_are_quick_too(loss: float) -> None:
    stages = [{"stage": "throw", "minutes_each": 2.0, "setup_minutes": 20.0, "loss_pct": loss}]
    begun = perf_counter()
    assert 0 < with_covers(cups(300, stages=stages)).orders["cover"].item() < 1
    assert perf_counter() - begun < 5  # about 0.7 s


def test_losses_without_hope_are_left_to_be_told() -> None:
    job = cups(300, stages=[{"stage": "throw", "minutes_each": 2.0, "loss_pct": 99.9999}])
    assert with_covers(job).orders["cover"].to_list() == [None]


def test_a_plan_with_the_cheapest_spares_and_work_in_progress() -> None:
    job = cups(
        orders=[{"order": order, "form": "cup", "quantity": 12, "unit_price": D("14.00")} for order in "AB"],
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 9}],
    )
    results = worked(with_covers(job))
    first = results["pieces"].filter(step=1)
    # Nine stand for eight good ones (8.1). Four more of A are five begun: all but 8 % of the time four of those are
    # good, and 84 % of the time is enough. B begins fourteen.
    assert first.select("pieces_in", "already_done").rows() == [(14, 9), (14, 0)]
    what = results["assumptions"].filter(what="spares of cup at the least cost").rows()
    assert len(what) == 1
    assert "a piece begun costs 1.52, another run 6.00 more, or a piece never made loses 14.00" in what[0][1]


def test_cheapest_is_read_from_the_settings(tmp_path: Path) -> None:
    job = read_job_of(tmp_path, settings="name,value\nloss_cover,Cheapest\n")
    assert job.settings.loss_cover == CHEAPEST
    assert job.orders.columns[-1] == "cover"
    plain = replace(job, settings=replace(job.settings, loss_cover=None), orders=job.orders.drop("cover"))
    assert step("pieces")(**inputs("pieces", plain, {})).height == step("pieces")(**inputs("pieces", job, {})).height


def test_the_clay_to_buy_is_that_of_the_plan() -> None:
    """``buy`` leaves sheets unread that cannot change it; here they can."""
    reading = {
        unread: read_job(SAMPLE, today=date(2027, 3, 1), needed=(), unread=unread, instead={"settings": CHEAPLY})
        for unread in ((), ("labour_hours", "kilns", "kiln_fit", "closed_days", "glazes", "materials"))
    }
    whole, bare = (found.job for found in reading.values())
    assert whole is not None
    assert bare is not None
    assert whole.orders["cover"].to_list() == bare.orders["cover"].to_list()
    assert bare.closed_days.is_empty()
