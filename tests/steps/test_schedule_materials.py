"""What has to be bought before it can be used: glaze materials, wax and slip, the days counted by hand.

March 2027 begins on a Monday; Ada works from Monday to Friday, five hours a day. What is ordered on the first with ten
lead days is there on Thursday the 11th.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.checking.schedule_rules import broken_rules
from pipeline.job import Job
from tests.shops import Cells, fit_counts, make_job, random_shop
from tests.steps.planned import dated, march, on, planned, scheduled, thrown

DIPPED: list[Cells] = [
    {"stage": "throw", "minutes_each": 2.0},
    {"stage": "glaze", "minutes_each": 1.0},
    {"stage": "fire", "firing": "glaze"},
]
OAT: list[Cells] = [{"glaze": "oat", "material": "feldspar", "percent": 100.0}]


def cups(*lines: tuple[int, str], loose_kg: float = 0.0, **sheets: Any) -> Job:
    """Orders of so many cups in a glaze, 20 g of it on each, thrown and dipped; feldspar takes ten days to come."""
    return thrown(
        **{
            "orders": [
                {"order": chr(65 + at), "form": "cup", "quantity": quantity, "glaze": glaze}
                for at, (quantity, glaze) in enumerate(lines or [(10, "oat")])
            ],
            "forms": [{"form": "cup", "glaze_g": 20.0}],
            "stages": DIPPED,
            "glazes": OAT,
            "materials": [{"material": "feldspar", "loose_kg": loose_kg, "lead_days": 10}],
        }
        | sheets
    )


def test_a_glaze_waits_for_what_it_is_mixed_of() -> None:
    # 10 cups take 200 g of feldspar, and there is none: thrown on the 1st, dipped on the 11th.
    plan = planned(cups())
    assert plan.days("throw") == on({1: 10})
    assert plan.days("glaze") == on({11: 10})
    # So it is ordered on the first day, which can be done.
    bought = plan.results["materials_to_buy"].row(0, named=True)
    assert (bought["needed_by"], bought["order_by"]) == (march(11), march(1))


def test_what_there_is_enough_for_is_dipped_at_once() -> None:
    # 130 g are enough for 6 cups of 20 g (6.5).
    assert planned(cups(loose_kg=0.13)).days("glaze") == on({1: 6, 11: 4})


def test_glaze_in_the_bucket_is_dipped_in_less_what_has_to_be_left_there() -> None:
    # At 731.25 g dry a litre (1,450 g, density 2.6) 200 ml hold 146.3 g, of which 100 ml, 73.1 g, have to be left:
    # 73.2 g are enough for 3 cups.
    bucket: Cells = {"glaze": "oat", "in_bucket_ml": 200.0, "keep_ml": 100.0}
    plan = planned(cups(glaze_buckets=[bucket]))
    assert plan.days("glaze") == on({1: 3, 11: 7})
    assert plan.results["materials_to_buy"]["needed_by"].to_list() == [march(11)]
    # With 200 ml to be left in it too little is there to dip at all, and 73.1 g more have to be mixed than the 200 g.
    bare = planned(cups(glaze_buckets=[bucket | {"keep_ml": 300.0}], loose_kg=0.2))
    assert bare.days("glaze") == on({1: 6, 11: 4})


def test_the_lines_take_what_there_is_in_their_turn_and_another_glaze_does_not_wait() -> None:
    # 200 g are the first line's, so the second waits; the third's is of quartz, which is there.
    recipes = [*OAT, {"glaze": "ash", "material": "quartz", "percent": 100.0}]
    shelf = [
        {"material": "feldspar", "loose_kg": 0.2, "lead_days": 10},
        {"material": "quartz", "loose_kg": 1.0, "lead_days": 10},
    ]
    plan = planned(cups((10, "oat"), (10, "oat"), (10, "ash"), glazes=recipes, materials=shelf))
    (first, _), (second, _), (third, _) = (plan.days("glaze", order=order)[0] for order in "ABC")
    assert (first < march(11), second, third < march(11)) == (True, march(11), True)


@pytest.mark.parametrize("shelf", [{"lead_days": 0}, {"lead_days": 10, "packs": 1}, {"lead_days": 10, "loose_kg": 0.2}])
def test_what_is_there_or_comes_the_same_day_is_not_waited_for(shelf: Cells) -> None:
    assert scheduled(cups(materials=[{"material": "feldspar"} | shelf])).days("glaze") == on({1: 10})


def test_a_reserve_is_not_dipped_in() -> None:
    shelf: Cells = {"material": "feldspar", "lead_days": 10, "loose_kg": 0.2, "keep_kg": 0.1}
    assert scheduled(cups(materials=[shelf])).days("glaze") == on({1: 5, 11: 5})


def test_what_has_to_be_slipped_the_next_day_is_thrown_for_the_day_on_which_the_slip_is_there() -> None:
    # Slipped on the 11th at the earliest, the day after throwing: thrown on the 10th.
    stages: list[Cells] = [
        {"stage": "throw", "minutes_each": 2.0, "wait_days": 1, "wait_days_max": 1},
        {"stage": "slip", "minutes_each": 1.0},
    ]
    job = cups(
        stages=stages,
        materials=[{"material": "white slip", "lead_days": 10}],
        form_materials=[{"form": "cup", "material": "white slip", "each_g": 30.0, "stage": "slip"}],
    )
    plan = scheduled(job)
    assert (plan.days("throw"), plan.days("slip")) == (on({10: 10}), on({11: 10}))


def test_leather_hard_pieces_are_not_left_to_dry_for_want_of_slip() -> None:
    # They stand thrown since the day before and have to be slipped by the 3rd; nobody would let them crack.
    job = cups(
        stages=[{"stage": "throw", "wait_days_max": 4}, {"stage": "slip", "minutes_each": 1.0}],
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 10}],
        materials=[{"material": "white slip", "lead_days": 10}],
        form_materials=[{"form": "cup", "material": "white slip", "each_g": 30.0, "stage": "slip"}],
    )
    assert scheduled(job).days("slip") == on({1: 10})


def test_bisque_ware_waits_and_takes_what_there_is_before_what_is_begun() -> None:
    # Of 20 cups 8 stand thrown already: the 100 g are for 5 of them.
    job = cups((20, "oat"), in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 8}], loose_kg=0.1)
    plan = scheduled(job)
    assert plan.days("throw") == on({1: 12})
    assert plan.days("glaze") == on({1: 5, 11: 15})
    assert plan.days("glaze", batch="P1") == on({1: 5, 11: 3})


def test_packaging_holds_up_nothing() -> None:
    # Wood wool goes in when a cup is sold: the kiln does not wait for it. It is needed when the cups are finished.
    job = cups(
        materials=[{"material": "feldspar", "packs": 1}, {"material": "wood wool", "lead_days": 10}],
        form_materials=[{"form": "cup", "material": "wood wool", "each_g": 45.0}],
        firings=[{"firing": "glaze", "days": 2}],
    )
    plan = planned(job)
    assert plan.firings() == [("glaze", march(1), march(3), 10)]
    assert plan.results["materials_to_buy"]["needed_by"].to_list() == [None, march(3)]


def test_a_late_line_says_that_materials_hold_it_up() -> None:
    # Dipped and fired on the 11th, ready on the 12th, 2 days after the 10th; without waiting on the 2nd.
    job = cups(
        orders=[{"order": "A", "form": "cup", "quantity": 10, "glaze": "oat", "due": march(10)}],
        firings=[{"firing": "glaze", "days": 1}],
    )
    promise = planned(job).promise("A")
    assert promise["days_late"] == 2
    assert promise["held_up_by"] == "materials to be delivered; with them in the studio: then in time"
    # Two days less are enough, so it may be asked of the supplier.
    assert promise["mended_by"] == "`feldspar` delivered 2 days sooner; a due date 2 days later (2027-03-12)"


def test_the_checker_sees_what_is_used_before_it_has_come() -> None:
    # The plan of a job with all of it there, held against one with 100 g and ten days to wait for the rest.
    there = scheduled(cups(loose_kg=1.0))
    waits = cups(loose_kg=0.1)
    broken = broken_rules(waits, there.results["pieces"], there.schedule, there.loads, fit_counts(waits))
    assert [(rule.rule, rule.where, rule.what) for rule in broken] == [
        ("5h", "before 2027-03-11", "200 g of `feldspar` are used, and 100 g are free.")
    ]


def waiting_shop(random: Random) -> Job:
    """A shop at random whose glazes and wax are short, of materials that take their time to come."""
    job = random_shop(random)
    stages = [*job.stages["stage"].unique().sort()]
    extra = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 1}],
        glazes=[
            {"glaze": glaze, "material": material, "percent": percent}
            for glaze in ("oat", "moss")
            for material, percent in (("feldspar", 70.0), ("quartz", 33.0))
        ],
        glaze_buckets=[
            {"glaze": "oat", "in_bucket_ml": random.choice([0.0, 900.0]), "keep_ml": random.choice([0.0, 700.0])}
        ],
        materials=[
            {
                "material": name,
                "loose_kg": random.choice([0.0, 0.25, 1.5]),
                "keep_kg": random.choice([0.0, 0.1]),
                "lead_days": random.choice([0, 4, 16]),
            }
            for name in ("feldspar", "quartz", "wax")
        ],
        form_materials=[{"form": "cup", "material": "wax", "each_g": 3.0, "stage": random.choice(stages)}],
    )
    return replace(
        job,
        forms=job.forms.with_columns(glaze_g=pl.lit(21.7)),
        glazes=extra.glazes,
        glaze_buckets=extra.glaze_buckets,
        materials=extra.materials,
        form_materials=extra.form_materials,
    )


@settings(max_examples=6, deadline=None)
@given(st.randoms(use_true_random=False).map(waiting_shop))
def test_no_plan_uses_what_has_not_come_and_all_can_be_ordered_in_time(job: Job) -> None:
    plan = dated(job)  # which no rule may break
    windows = job.stages.filter(pl.col("wait_days_max").is_not_null())["stage"]
    if not job.in_progress["stage_done"].is_in(windows.implode()).any():
        assert plan.results["materials_to_buy"].filter(pl.col("order_by") < job.settings.start).is_empty()
