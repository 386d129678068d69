"""Glaze to mix and materials to buy: published recipes and slops, and small sums on paper."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import make_job
from tests.steps.worked import unscheduled, worked

ROUTE: list[Cells] = [{"stage": "throw"}, {"stage": "glaze"}, {"stage": "glaze firing", "firing": "glaze"}]


def recipe(**parts: float) -> list[Cells]:
    return [{"glaze": "oat", "material": name, "percent": percent} for name, percent in parts.items()]


def cups(quantity: int, grams: float, parts: list[Cells], **more: Any) -> Job:
    """An order of cups in oat, so many grams of dry glaze on each; nothing is lost."""
    return make_job(
        **{
            "orders": [{"order": "A", "form": "cup", "quantity": quantity, "glaze": "oat"}],
            "forms": [{"form": "cup", "glaze_g": grams, "ball_g": 100.0}],
            "stages": ROUTE,
            "glazes": parts,
        }
        | more
    )


def batches(job: Job, *names: str) -> list[tuple[Any, ...]]:
    return unscheduled("glaze_batches", job).select("material", *names).rows()


def bucket(**cells: Any) -> dict[str, list[Cells]]:
    return {"glaze_buckets": [{"glaze": "oat", **cells}]}


@pytest.mark.parametrize(("pieces", "weights"), [(1, [72, 14, 10, 4]), (100, [7203, 1356, 1017, 424])])
def test_a_published_recipe_that_does_not_add_up_to_a_hundred(pieces: int, weights: list[int]) -> None:
    """85, 16, 12 and 5 parts, 118 in all, are 72.03, 13.56, 10.17 and 4.24 %, and 72, 14, 10 and 4 in whole numbers: a
    potter's page on the arithmetic of glazes. A hundred grams on each piece, on one and on a hundred.
    """
    job = cups(pieces, 100.0, recipe(feldspar=85, quartz=16, whiting=12, clay=5))
    found = batches(job, "share_pct", "batch_g")
    assert [round(share, 2) for _, share, _ in found] == [72.03, 13.56, 10.17, 4.24]
    assert [grams for _, _, grams in found] == weights


def test_additions_come_on_top_of_the_hundred() -> None:
    # Common practice, no source: 100 parts and 2 % of colour are 102 parts; a base of 5,000 g takes 100 g of it.
    assert batches(cups(100, 51.0, recipe(base=100, rutile=2)), "batch_g") == [("base", 5000.0), ("rutile", 100.0)]


def test_ten_litres_of_slop() -> None:
    """10 litres at 1.45 and a dry density of 2.6: 7.3125 kg dry and 7.1875 kg of water, 14.5 kg together. Brongniart's
    formula, (1450 - 1000) x 2.6 / 1.6 = 731.25 g a litre, as the Handbook for Australian Potters tables it (731).

    A cup of 0 g would need no glaze, so one takes 1 g, and the bucket has 10 litres to keep.
    """
    job = cups(1, 1.0, recipe(base=100), **bucket(keep_ml=10_000.0, litre_g=1450.0, dry_density=2.6))
    assert batches(job, "keep_g", "to_mix_g") == [("base", 7312.5, 7313.5), ("water", 7187.5, 7188.5)]


@pytest.mark.parametrize(
    ("litre", "dry"), [(1050, 81), (1200, 325), (1300, 487), (1400, 650), (1500, 812), (1600, 975), (1700, 1137)]
)
def test_the_dry_glaze_in_a_litre_is_that_of_a_printed_table(litre: int, dry: int) -> None:
    """The Handbook for Australian Potters, in grams, for a dry density of 2.6; the table rounds halves down."""
    job = cups(1, 1.0, recipe(base=100), **bucket(in_bucket_ml=1000.0, litre_g=float(litre)))
    (_, in_bucket), _ = batches(job, "in_bucket_g")
    assert abs(in_bucket - dry) <= 0.5


def test_whole_batches_fill_the_bucket_up_to_what_dipping_needs() -> None:
    # 100 cups of 26 g: 2,600 g. 10 litres to be left are 7,312.5 g; 4 in the bucket are 2,925 g. 2,600 + 7,312.5 -
    # 2,925 = 6,987.5 g, so 2 batches of 5,000 g; 2,925 + 10,000 - 2,600 = 10,325 g are left.
    cells = {"keep_ml": 10_000.0, "in_bucket_ml": 4_000.0, "litre_g": 1450.0, "batch_g": 5000.0}
    found = unscheduled("glaze_batches", cups(100, 26.0, recipe(feldspar=60, quartz=40), **bucket(**cells)))
    dry = found.filter(pl.col("material") != "water")
    assert dry["batches"].to_list() == [2, 2]
    assert dry["batch_g"].to_list() == [3000.0, 2000.0]
    sums = dry.select("needed_g", "keep_g", "in_bucket_g", "to_mix_g", "mixed_g", "left_g").sum().row(0)
    assert sums == (2600.0, 7312.5, 2925.0, 6987.5, 10_000.0, 10_325.0)


def test_a_full_bucket_is_not_filled() -> None:
    cells = {"keep_ml": 1000.0, "in_bucket_ml": 20_000.0, "batch_g": 5000.0}
    assert batches(cups(10, 26.0, recipe(base=100), **bucket(**cells)), "batches", "to_mix_g")[0] == ("base", 0, 0.0)


def test_a_glaze_that_nobody_ordered_is_not_mixed() -> None:
    job = cups(10, 26.0, recipe(base=100), **bucket(keep_ml=5000.0))
    unglazed: list[Cells] = [{"order": "A", "form": "cup", "quantity": 1}]
    bare = make_job(orders=unglazed, glazes=recipe(base=100), **bucket(keep_ml=5000.0))
    assert batches(job, "batches")[0] == ("base", 1)
    assert batches(bare, "batches", "keep_g")[0] == ("base", 0, 0.0)


# Materials to buy

SHELF: list[Cells] = [
    {"material": "feldspar", "supplier": "S", "pack_kg": 5.0, "loose_kg": 0.2, "pack_price": Decimal("9.60"),
     "keep_kg": 1.0, "lead_days": 4},
    {"material": "quartz", "pack_kg": 5.0, "packs": 1, "pack_price": Decimal("6.20")},
]  # fmt: skip


def test_whole_packs_of_what_is_short() -> None:
    # 100 cups of 25 g: 2.5 kg, 60 % of it feldspar: 1.5 + 1 to keep - 0.2 there = 2.3 kg short, a pack of 5 at 9.60;
    # 0.2 + 5 - 1.5 = 3.7 left. Of quartz 1 of 5 kg is needed.
    job = cups(100, 25.0, recipe(feldspar=60, quartz=40), materials=SHELF)
    names = ("material", "needed_kg", "short_kg", "packs_to_buy", "bought_kg", "left_kg", "cost")
    assert unscheduled("materials_to_buy", job).select(names).rows() == [
        ("feldspar", 1.5, 2.3, 1, 5.0, 3.7, Decimal("9.60")),
        ("quartz", 1.0, 0.0, 0, 0.0, 4.0, Decimal(0)),
    ]


def test_what_the_bucket_needs_is_bought_too() -> None:
    # As above, and batches of 5,000 g: one takes 3 kg of feldspar and 2 of quartz. 3 + 1 - 0.2 = 3.8 kg short.
    job = cups(100, 25.0, recipe(feldspar=60, quartz=40), materials=SHELF, **bucket(keep_ml=2000.0, batch_g=5000.0))
    assert unscheduled("materials_to_buy", job)["needed_kg"].to_list() == [3.0, 2.0]
    # The lines pay for what is on the pieces alone: 1.5 kg at 1.92 a kg and 1 at 1.24.
    paid = unscheduled("materials_cost", job).filter(pl.col("material") != "buff")
    assert paid.select("material", "quantity", "cost").rows() == [
        ("feldspar", 1.5, Decimal("2.88")),
        ("quartz", 1.0, Decimal("1.24")),
    ]


def test_glaze_in_the_bucket_is_used_first_at_the_price_of_the_oldest_lot() -> None:
    # 1 litre of 1,450 g holds 731.25, so 731.3 g; 25 g on each of 40 cups are 1,000 g: 268.7 g of the lot.
    shelf: list[Cells] = [
        {"material": "base", "lot": "new", "packs": 1, "pack_price": Decimal(3), "received": dt.date(2027, 2, 1)},
        {"material": "base", "lot": "old", "packs": 1, "pack_price": Decimal(2), "received": dt.date(2026, 2, 1)},
    ]
    job = cups(40, 25.0, recipe(base=100), materials=shelf, **bucket(in_bucket_ml=1000.0))
    paid = unscheduled("materials_cost", job).filter(pl.col("material") == "base")
    assert paid.select("lot", "quantity", "unit_cost").rows() == [("in the bucket", 0.7313, 2), ("old", 0.2687, 2)]


def test_wax_at_its_stage_and_packaging_when_sold() -> None:
    # 9 of 10 survive the bisque firing, so 20 wanted are 23 thrown (22.2) and 20.7, so 21, glazed: 21 x 3 g of wax are
    # 63 g. Wood wool is for the 20: 20 x 45 g = 0.9 kg.
    stages: list[Cells] = [{"stage": "throw"}, {"stage": "bisque", "firing": "bisque", "loss_pct": 10.0}, *ROUTE[1:]]
    job = cups(
        20,
        0.0,
        [],
        stages=stages,
        form_materials=[
            {"form": "cup", "material": "wax", "each_g": 3.0, "stage": "glaze"},
            {"form": "cup", "material": "wood wool", "each_g": 45.0},
        ],
        materials=[{"material": name, "loose_kg": 2.0, "pack_price": Decimal(2)} for name in ("wax", "wood wool")],
    )
    pieces = unscheduled("pieces", job).filter(pl.col("stage") == "glaze")["pieces_in"].item()
    assert pieces == 21
    assert unscheduled("materials_to_buy", job)["needed_kg"].to_list() == [0.063, 0.9]
    paid = unscheduled("materials_cost", job).filter(pl.col("material") != "buff")
    assert paid.select("material", "quantity", "cost").rows() == [
        ("wax", 0.063, Decimal("0.13")),  # 0.126
        ("wood wool", 0.9, Decimal("1.80")),
    ]


def test_a_material_that_stands_in_a_recipe_alone_is_listed_without_a_price() -> None:
    # 2.5 kg: three packs of 1 kg, as where materials leave the pack blank.
    (row,) = unscheduled("materials_to_buy", cups(100, 25.0, recipe(base=100))).iter_rows(named=True)
    assert (row["needed_kg"], row["pack_kg"], row["packs_to_buy"]) == (2.5, 1.0, 3)
    assert (row["supplier"], row["pack_price"], row["cost"]) == (None, None, None)


def test_a_material_is_ordered_for_the_day_on_which_it_runs_out() -> None:
    # Nothing but 1.2 kg, 1 of it kept: 0.2 kg of feldspar are enough for 13 cups (15 g on each), dipped on the first
    # day, Monday. The other 87 wait for what is ordered on that day, and is there on Friday.
    job = cups(100, 25.0, recipe(feldspar=60, quartz=40), materials=[SHELF[0] | {"loose_kg": 1.2}, SHELF[1]])
    results = worked(job)
    dipped = results["schedule"].filter(pl.col("stage") == "glaze").group_by("date").agg(pl.col("pieces").sum())
    monday, friday = dt.date(2027, 3, 1), dt.date(2027, 3, 5)
    assert dipped.sort("date").rows() == [(monday, 13), (friday, 87)]
    found = results["materials_to_buy"].select("needed_by", "order_by").rows()
    assert found == [(friday, monday), (None, None)]
