"""The sheet of kiln loads: which batch is in which load, and how much of the kiln it takes."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction

import polars as pl
import pytest

from pipeline.steps.kiln_loads import kiln_loads
from tests.checking.small_plan import small_plan
from tests.shops import fit_counts, make_job
from tests.steps.planned import EVERY_DAY, march, planned, scheduled, scheduled_shop, thrown


def test_a_schedule_worked_out_by_hand() -> None:
    """7 of 14 cups and 5 of 10 plates are half the kiln each."""
    plan = small_plan()
    fit = [{"firing": f, "kiln": k, "form": form, "pieces": count} for (f, k, form), count in plan.counts.items()]
    job = make_job(**plan.sheets, kiln_fit=fit)
    _, schedule, expected = plan.frames()
    found = kiln_loads(schedule, job.forms, job.stages, job.firings, job.kilns, job.kiln_fit)
    assert found.equals(expected)


def test_no_load_no_row() -> None:
    stages = [{"stage": "throw", "minutes_each": 1.0}]
    plan = planned(thrown(orders=[{"order": "A", "form": "cup", "quantity": 2}], stages=stages))
    assert plan.loads.is_empty()
    assert plan.loads.columns[:3] == ["load", "firing", "kiln"]


def test_thirds_never_add_up_to_more_than_a_full_kiln() -> None:
    """Three lines of one piece each, three fill the kiln: 33.33 three times is 99.99, so one of them has 33.34."""
    plan = scheduled(
        thrown(
            orders=[{"order": name, "form": "cup", "quantity": 1} for name in "ABC"],
            stages=[{"stage": "fire", "firing": "glaze"}],
            kiln_fit=[{"firing": "glaze", "form": "cup", "pieces": 3}],
        )
    )
    shares = plan.loads["share_pct"].to_list()
    assert sorted(shares) == [33.33, 33.33, 33.34]
    assert sum(Decimal(str(share)) for share in shares) == 100


def test_a_part_of_a_kiln_is_rounded_down() -> None:
    """Two of three are 66.666 %: 66.66 together, so that the sheet never says more than is there."""
    plan = scheduled(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 2}],
            stages=[{"stage": "fire", "firing": "glaze"}],
            kiln_fit=[{"firing": "glaze", "form": "cup", "pieces": 3}],
        )
    )
    assert plan.loads["share_pct"].to_list() == [66.66]


def test_loads_are_named_in_the_order_of_their_days_past_the_ninth() -> None:
    """12 pieces one by one: L1 to L12, not L1, L10, L11."""
    plan = scheduled(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 12}],
            stages=[{"stage": "fire", "firing": "glaze"}],
            firings=[{"firing": "glaze", "days": 1}],
            kiln_fit=[{"firing": "glaze", "form": "cup", "pieces": 1}],
            labour_hours=EVERY_DAY,
        )
    )
    assert plan.loads["load"].to_list() == [f"L{number}" for number in range(1, 13)]
    assert plan.loads["load_on"].to_list() == [march(day) for day in range(1, 13)]


def test_two_who_load_a_batch_are_one_row() -> None:
    """Ada has half an hour, Ben the rest; the batch stands once in the load, with all its pieces."""
    plan = scheduled(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 8}],
            stages=[{"stage": "fire", "firing": "glaze", "minutes_each": 5.0}],
            labour_hours=[{"worker": "Ada", "hours": 0.5}, {"worker": "Ben", "hours": 0.5}],
        )
    )
    assert plan.days("fire", "load", worker="Ada") == [(march(1), 6)]
    assert plan.loads.select("batch", "pieces", "share_pct").rows() == [("B1", 8, 80.0)]


@pytest.mark.parametrize("seed", [0, 3, 8, 14, 21, 33, 47, 52])
def test_shares_at_random(seed: int) -> None:
    """Each share is the pieces over the count, to 0.01; a load's add up to what it is filled, rounded down."""
    plan = scheduled_shop(seed)
    counts = fit_counts(plan.job)
    told: dict[str, Decimal] = defaultdict(Decimal)
    filled: dict[str, Fraction] = defaultdict(Fraction)
    rows = plan.loads.select("load", "firing", "kiln", "form", "pieces", "share_pct").iter_rows()
    for load, firing, kiln, form, pieces, share in rows:
        exact = Fraction(100 * pieces, counts[firing, kiln, form])
        assert abs(Fraction(str(share)) - exact) <= Fraction(1, 100)
        told[load] += Decimal(str(share))
        filled[load] += exact
    for load, total in told.items():
        assert total <= 100
        assert 0 <= filled[load] - Fraction(total) < Fraction(1, 100)


def test_a_batch_stands_once_in_a_load() -> None:
    loads = scheduled_shop(14).loads
    assert loads.select(pl.struct("load", "batch").is_unique().all()).item()
