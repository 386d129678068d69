"""Materials and what they cost: small sums on paper."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import make_job
from tests.steps.worked import unscheduled

OLD, NEW = dt.date(2026, 11, 9), dt.date(2027, 2, 8)

THROW: list[Cells] = [{"stage": "throw"}]


def euros(amount: str) -> Decimal:
    return Decimal(amount)


def materials(job: Job) -> pl.DataFrame:
    """The materials of a job; no schedule is needed for them."""
    return unscheduled("materials_cost", job)


def cups(quantity: int, *stock: Cells, **more: Any) -> Job:
    """An order of cups of a kilogram each; the stock is clay called buff, in bags of 12.5 kg, all of it loose."""
    form: Cells = {"form": "cup", "ball_g": 1000.0}
    order: Cells = {"order": "A", "form": "cup", "quantity": quantity}
    lots = [{"clay": "buff", "bag_kg": 12.5, "bags": 0} | lot for lot in stock]
    return make_job(**{"orders": [order], "forms": [form], "clay_stock": lots, "stages": THROW} | more)


def rows(job: Job, *names: str) -> list[tuple[Any, ...]]:
    return materials(job).select(names).rows()


# Clay


def test_clay_at_the_price_of_its_bag() -> None:
    # 42 cups of (380 + 60) g: 18.480 kg; 13.80 a bag of 12.5 kg: 1.104 a kilogram; 20.40192, so 20.40.
    job = cups(
        42,
        {"bags": 2, "bag_price": euros("13.80"), "lot": "L1"},
        forms=[{"form": "cup", "ball_g": 380.0, "added_clay_g": 60.0}],
    )
    names = ("material", "lot", "quantity", "unit", "unit_cost", "cost")
    assert rows(job, *names) == [("buff", "L1", 18.48, "kg", euros("1.104"), euros("20.40"))]


def test_the_oldest_lot_goes_first_the_reserve_stays_and_the_rest_is_bought() -> None:
    # 10 kg of the old lot at 12.00 / 12.5 = 0.96: 9.60. Of the 25 kg of the new one 5 are kept: 20 at 13.75 / 12.5 =
    # 1.10: 22.00. 10 of the 40 kg are short: a bag is bought, at the newest price: 11.00.
    job = cups(
        40,
        {"lot": "L2", "bags": 2, "received": NEW, "bag_price": euros("13.75"), "keep_kg": 5.0},
        {"lot": "L1", "loose_kg": 10.0, "received": OLD, "bag_price": euros("12.00")},
    )
    assert rows(job, "lot", "quantity", "unit_cost", "cost") == [
        ("L1", 10.0, euros("0.96"), euros("9.60")),
        ("L2", 20.0, euros("1.10"), euros("22.00")),
        ("to buy", 10.0, euros("1.10"), euros("11.00")),
    ]


def test_a_reserve_greater_than_the_newest_lot_is_kept_of_older_ones_too() -> None:
    # 12 kg are kept: all 8 of the new lot and 4 of the old. So 6 kg of the old are there for 6 cups.
    job = cups(
        7,
        {"lot": "L1", "loose_kg": 10.0, "received": OLD, "keep_kg": 12.0},
        {"lot": "L2", "loose_kg": 8.0, "received": NEW},
    )
    assert rows(job, "lot", "quantity") == [("L1", 6.0), ("to buy", 1.0)]


def test_a_reserve_that_is_not_there_yet_is_bought_and_left_alone() -> None:
    # 3 kg there, 10 to be kept: nothing of the 3 is free. 5 + 10 - 3 = 12 kg short: one bag, of which 5 kg are used.
    assert rows(cups(5, {"lot": "L1", "loose_kg": 3.0, "keep_kg": 10.0}), "lot", "quantity") == [("to buy", 5.0)]


def test_reclaim_is_used_before_clay_is_bought_and_costs_nothing() -> None:
    # 40 cups; 100 g is turned off each, half of it counted on: 2 kg. 30 from the stock, 2 reclaim, 8 bought at 1.10.
    job = cups(
        40,
        {"lot": "L1", "loose_kg": 30.0, "bag_price": euros("13.75")},
        forms=[{"form": "cup", "ball_g": 1000.0, "trimmings_g": 100.0}],
        settings={"reclaim_pct": 50.0},
    )
    assert rows(job, "lot", "quantity", "cost") == [
        ("L1", 30.0, euros("33.00")),
        ("reclaim", 2.0, 0),
        ("to buy", 8.0, euros("8.80")),
    ]


def test_lines_take_clay_in_their_turn_and_are_listed_as_ordered() -> None:
    # B is due first and takes the 10 kg of the old lot; A's 10 are of the new one.
    job = cups(
        0,
        {"lot": "L1", "loose_kg": 10.0, "received": OLD, "bag_price": euros("12.50")},
        {"lot": "L2", "loose_kg": 10.0, "received": NEW, "bag_price": euros("25.00")},
        orders=[
            {"order": "A", "form": "cup", "quantity": 10, "due": dt.date(2027, 5, 1)},
            {"order": "B", "form": "cup", "quantity": 10, "due": dt.date(2027, 4, 1)},
        ],
    )
    assert rows(job, "order", "lot", "cost") == [("A", "L2", euros("20.00")), ("B", "L1", euros("10.00"))]


def test_each_part_of_a_blend_costs_what_it_costs() -> None:
    # 20 kg, 75 % red at 1.00 and 25 % white at 2.00: 15.00 and 10.00.
    job = cups(
        20,
        {"clay": "red", "bags": 2, "lot": "R", "bag_price": euros("12.50")},
        {"clay": "white", "bags": 2, "lot": "W", "bag_price": euros("25.00")},
        forms=[{"form": "cup", "ball_g": 1000.0, "clay": "rose"}],
        clay_blends=[
            {"clay": "rose", "part": "red", "share_pct": 75.0},
            {"clay": "rose", "part": "white", "share_pct": 25.0},
        ],
    )
    found = rows(job, "material", "lot", "quantity", "cost")
    assert found == [("red", "R", 15.0, euros("15.00")), ("white", "W", 5.0, euros("10.00"))]


def test_spare_clay_and_clay_of_lost_pieces_is_paid_for_and_that_of_pieces_in_progress_is_not() -> None:
    # 18 wanted, 10 % lost later. 9 are thrown: 8.1, so 8 good; 10 to come: 11.1, so 12 begun; 5 % spare: 12.6 kg.
    job = cups(
        18,
        {"bags": 9, "lot": "L1", "bag_price": euros("12.50")},
        stages=[{"stage": "throw"}, {"stage": "turn", "loss_pct": 10.0}],
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 9}],
        settings={"spare_clay_pct": 5.0},
    )
    assert rows(job, "quantity", "cost") == [(12.6, euros("12.60"))]


def test_a_unit_cost_keeps_six_places() -> None:
    # 10.00 a bag of 11.34 kg: 0.881834 a kilogram (0.88183421...); 1,000 kg are 881.83 (at 0.88 they would be 880.00).
    job = cups(1000, {"bag_kg": 11.34, "bags": 100, "bag_price": euros("10.00")})
    assert rows(job, "unit_cost", "cost") == [(euros("0.881834"), euros("881.83"))]


@pytest.mark.parametrize(("currency", "cost"), [("JPY", "14"), ("EUR", "13.81"), ("KWD", "13.806")])
def test_costs_are_rounded_to_the_currency(currency: str, cost: str) -> None:
    # A bag of 12.5 kg at 13.8055: 1.10444 a kilogram, and 25 cups of 500 g take the bag. Yen have no smaller coin, the
    # dinar of Kuwait has three places, and its half goes up. Source: ISO 4217, from memory.
    job = cups(
        25,
        {"bags": 1, "bag_price": euros("13.8055")},
        forms=[{"form": "cup", "ball_g": 500.0}],
        settings={"currency": currency},
    )
    assert rows(job, "cost") == [(euros(cost),)]


# Glaze

GLAZED: list[Cells] = [
    {"stage": "throw"},
    {"stage": "bisque", "firing": "bisque", "loss_pct": 20.0},
    {"stage": "glaze"},
    {"stage": "glaze firing", "firing": "glaze"},
]

RECIPE: list[Cells] = [
    {"glaze": "oat", "material": "feldspar", "percent": 60.0},
    {"glaze": "oat", "material": "quartz", "percent": 40.0},
    {"glaze": "oat", "material": "rutile", "percent": 4.0},
]

SHELF: list[Cells] = [
    {"material": "feldspar", "pack_kg": 5.0, "pack_price": euros("9.60")},
    {"material": "quartz", "pack_kg": 5.0, "pack_price": euros("6.20")},
    {"material": "rutile", "pack_kg": 0.5, "pack_price": euros("8.90")},
]


def glazed(quantity: int, **more: Any) -> Job:
    """Cups in oat, 26 g of dry glaze on each; clay costs nothing, so that only glaze counts."""
    return cups(
        quantity,
        {"bag_price": euros("0")},
        **{
            "orders": [{"order": "A", "form": "cup", "quantity": quantity, "glaze": "oat"}],
            "forms": [{"form": "cup", "ball_g": 1000.0, "glaze_g": 26.0}],
            "stages": GLAZED,
            "glazes": RECIPE,
            "materials": SHELF,
        }
        | more,
    )


def of_glaze(job: Job, *names: str) -> list[tuple[Any, ...]]:
    return materials(job).filter(pl.col("material") != "buff").select(names).rows()


def test_glaze_by_its_recipe_additions_over_a_hundred() -> None:
    # Additions over 100 parts: common practice, no source. 100 cups x 26 g = 2,600 g of 104 parts: 25 g a part, so
    # 60 x 25 = 1.5 kg feldspar at 1.92, 40 x 25 = 1 kg quartz at 1.24, 4 x 25 = 0.1 kg rutile at 17.80.
    # 20 % are lost in the bisque firing, before glazing: 100 wanted are 125 bisqued and 100 glazed.
    assert of_glaze(glazed(100), "material", "lot", "quantity", "unit", "unit_cost", "cost") == [
        ("feldspar", "to buy", 1.5, "kg", euros("1.92"), euros("2.88")),
        ("quartz", "to buy", 1.0, "kg", euros("1.24"), euros("1.24")),
        ("rutile", "to buy", 0.1, "kg", euros("17.80"), euros("1.78")),
    ]


def test_two_parts_of_a_colour_on_a_hundred() -> None:
    # Common practice, no source: 100 parts and 2 % of colour are 102; a base of 5,000 g takes 100 g of it.
    job = glazed(
        100,
        forms=[{"form": "cup", "ball_g": 1000.0, "glaze_g": 51.0}],
        glazes=[
            {"glaze": "oat", "material": "feldspar", "percent": 100.0},
            {"glaze": "oat", "material": "rutile", "percent": 2.0},
        ],
    )
    assert of_glaze(job, "material", "quantity") == [("feldspar", 5.0), ("rutile", 0.1)]


def test_glaze_goes_on_pieces_that_enter_glazing_and_are_not_glazed() -> None:
    # 120 wanted, 16 of them glazed already (nothing is lost after): 104 to glaze, 2,704 g, 26 g a part:
    # 60 x 26 = 1.56 kg feldspar. That 130 pieces go into the bisque firing for them does not count.
    job = glazed(120, in_progress=[{"form": "cup", "glaze": "oat", "stage_done": "glaze", "pieces": 16}])
    assert of_glaze(job, "material", "quantity")[0] == ("feldspar", 1.56)


def test_a_stage_that_is_not_called_glaze_is_the_last_by_hand_before_the_last_firing() -> None:
    stages: list[Cells] = [
        {"stage": "throw"},
        {"stage": "bisque", "firing": "bisque", "loss_pct": 20.0},
        {"stage": "wax", "loss_pct": 50.0},
        {"stage": "dip"},
        {"stage": "glaze firing", "firing": "glaze", "loss_pct": 50.0},
        {"stage": "grind feet"},
    ]
    # 100 wanted are 200 dipped, of which half are lost in the firing (and 400 waxed): 5.2 kg of glaze, 3 kg feldspar.
    assert of_glaze(glazed(100, stages=stages), "material", "quantity")[0] == ("feldspar", 3.0)


def test_a_glaze_without_a_recipe_is_weighed_and_costs_nothing() -> None:
    found = of_glaze(glazed(100, glazes=[]), "material", "quantity", "unit_cost", "cost")
    assert found == [("glaze oat", 2.6, 0, 0)]


def test_a_material_without_a_price_costs_nothing() -> None:
    shelf = [row | {"pack_price": None} if row["material"] == "quartz" else row for row in SHELF]
    assert of_glaze(glazed(100, materials=shelf), "material", "quantity", "cost")[1] == ("quartz", 1.0, 0)


def test_a_line_without_a_glaze_takes_none() -> None:
    job = glazed(100, orders=[{"order": "A", "form": "cup", "quantity": 100}])
    assert of_glaze(job, "material") == []


# Packaging


def test_packaging_is_for_the_good_pieces() -> None:
    # 40 wanted at 0.35: 14.00, however many are begun or stand finished.
    job = cups(
        40,
        {"bag_price": euros("0")},
        forms=[{"form": "cup", "ball_g": 1000.0, "other_cost": euros("0.35")}],
        stages=[{"stage": "throw", "loss_pct": 20.0}],
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 10}],
    )
    found = materials(job).filter(pl.col("unit") == "piece").select("material", "quantity", "unit_cost", "cost")
    assert found.rows() == [("packaging and the like", 40.0, euros("0.35"), euros("14.00"))]


def test_a_line_that_needs_nothing_has_no_row() -> None:
    job = cups(10, {}, in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 10}])
    assert materials(job).is_empty()
