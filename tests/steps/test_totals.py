"""Totals that tie: what one sheet adds up to is what another says, in whole shops at random."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from random import Random

import polars as pl
import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from pipeline.job import Job
from pipeline.money import amount
from tests.shops import make_job, random_shop
from tests.steps.worked import Results, worked

LINE = ["order", "form", "glaze"]

RATES = {"Ada": ("18.35", True), "Ben": ("14.50", False), "Cleo": ("11.17", False)}
"""What an hour of each worker of a random shop costs, and whether it is the owner's own time."""


def priced(random: Random) -> Job:
    """A shop at random in which everything has a price, two clays are blended, and two glazes have recipes."""
    job = random_shop(random)
    stock = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 1}],
        clay_stock=[
            {"clay": "buff", "lot": "1", "bags": 1, "loose_kg": 0.7, "keep_kg": 2.5, "bag_price": Decimal("13.80")},
            {"clay": "buff", "lot": "2", "bags": 2, "bag_price": Decimal("14.35")},
            {"clay": "dark", "lot": "3", "bags": 0, "loose_kg": 3.333, "bag_kg": 11.34, "bag_price": Decimal("9.99")},
        ],
        clay_blends=[
            {"clay": "mixed", "part": "buff", "share_pct": 66.67},
            {"clay": "mixed", "part": "dark", "share_pct": 33.33},
        ],
        glazes=[
            {"glaze": "oat", "material": "feldspar", "percent": 70.0},
            {"glaze": "oat", "material": "quartz", "percent": 30.0},
            {"glaze": "oat", "material": "rutile", "percent": 3.0},
        ],
        clay_prices=[
            {
                "clay": "buff",
                "supplier": "N",
                "pack_kg": 12.5,
                "pack_price": Decimal("14.35"),
                "carriage": Decimal("17"),
            },
            {"clay": "buff", "supplier": "N", "pack_kg": 12.5, "pack_price": Decimal("12.15"), "from_packs": 9},
            {"clay": "dark", "supplier": "N", "pack_kg": 10.0, "pack_price": Decimal("13"), "carriage": 17},
            {
                "clay": "dark",
                "supplier": "F",
                "pack_kg": 11.34,
                "pack_price": Decimal("9.99"),
                "carriage": Decimal("9"),
            },
        ],
        materials=[
            {"material": "feldspar", "lot": "1", "pack_kg": 5.0, "loose_kg": 0.731, "pack_price": Decimal("9.60")},
            {
                "material": "feldspar",
                "lot": "2",
                "pack_kg": 5.0,
                "packs": 1,
                "pack_price": Decimal("9.95"),
                "keep_kg": 1.0,
            },
            {"material": "quartz", "pack_kg": 3.0, "pack_price": Decimal("7.10")},
            {"material": "rutile"},
            {"material": "wool", "lot": "1", "pack_kg": 2.0, "packs": 1, "pack_price": Decimal("4.45")},
        ],
        glaze_buckets=[
            {"glaze": "oat", "in_bucket_ml": 900.0, "keep_ml": 700.0, "batch_g": random.choice([None, 450.0])}
        ],
        form_materials=[{"form": "cup", "material": "wool", "each_g": 31.7}],
    )
    forms = pl.int_range(pl.len())
    return replace(
        job,
        orders=job.orders.with_columns(
            unit_price=pl.when(pl.int_range(pl.len()) % 3 > 0).then(pl.lit("12.345").cast(pl.Decimal(38, 6)))
        ),
        forms=job.forms.with_columns(
            clay=pl.when(forms % 2 == 1).then(pl.lit("mixed")).otherwise("clay"),
            trimmings_g=pl.col("ball_g") / 9,
            glaze_g=pl.lit(21.7),
            other_cost=pl.lit("0.355").cast(pl.Decimal(38, 6)),
            seconds_pct=pl.lit(35.0),
            second_price=pl.lit("5.555").cast(pl.Decimal(38, 6)),
        ),
        firings=job.firings.with_columns(kwh=pl.lit(47.3), other_cost=pl.lit("3.20").cast(pl.Decimal(38, 6))),
        labour_hours=job.labour_hours.with_columns(
            hourly_rate=pl.col("worker")
            .replace_strict({name: rate for name, (rate, _) in RATES.items()})
            .cast(pl.Decimal(38, 6)),
            own_time=pl.col("worker").replace_strict({name: own for name, (_, own) in RATES.items()}),
        ),
        clay_stock=stock.clay_stock,
        clay_blends=stock.clay_blends,
        glazes=stock.glazes,
        clay_prices=stock.clay_prices,
        materials=stock.materials,
        glaze_buckets=stock.glaze_buckets,
        form_materials=stock.form_materials,
        settings=replace(
            job.settings,
            reclaim_pct=40.0,
            currency=random.choice(["EUR", "JPY", "KWD"]),
            energy_price=Decimal("0.2817"),
            overhead_per_hour=Decimal("4.44"),
        ),
    )


def grams(kilograms: pl.Series) -> int:
    """A sum of kilograms, each of which is a whole number of grams, in grams."""
    whole = [round(number * 1000) for number in kilograms]
    assert kilograms.to_list() == [number / 1000 for number in whole]
    return sum(whole)


def total(amounts: pl.Series) -> Decimal:
    return sum(amounts, Decimal(0))


def check_clay(job: Job, results: Results) -> None:
    """Clay wedged, bought and paid for is one and the same clay, to the gram."""
    buy, wedge, cost = results["clay_to_buy"], results["clay_to_wedge"], results["materials_cost"]
    assert grams(wedge["total_kg"]) == grams(buy["needed_kg"])
    for clay, needed in buy.select("clay", "needed_kg").iter_rows():
        used = cost.filter(pl.col("material") == clay)
        assert grams(used["quantity"]) == round(needed * 1000)
    # Nothing is used that is not there: of a lot no more than it holds, of the reserve nothing.
    for clay, hand, keep, again, bought, left in buy.select(
        "clay", "on_hand_kg", "keep_kg", "reclaim_kg", "bought_kg", "left_kg"
    ).iter_rows():
        used = cost.filter(pl.col("material") == clay)
        fresh, reclaimed = (
            grams(used.filter(pl.col("lot").str.starts_with(lot))["quantity"]) for lot in ("to buy", "reclaim")
        )
        assert fresh <= round(bought * 1000)
        assert reclaimed <= round(again * 1000)
        assert grams(used["quantity"]) - fresh - reclaimed <= max(round((hand - keep) * 1000), 0)
        assert round(left * 1000) == round((hand + again + bought) * 1000) - grams(used["quantity"])
    # A ball for each piece begun.
    begun = results["job_costs"]["pieces_to_start"].sum()
    assert wedge["balls"].sum() == begun


def check_lots(job: Job, results: Results) -> None:
    """What the lines pay for a lot is its price for what they take, rounded once: a lot used up is paid in full."""
    lots = [
        *job.clay_stock.select("clay", "lot", "bag_price", "bag_kg").rows(),
        *job.materials.drop_nulls("lot").select("material", "lot", "pack_price", "pack_kg").rows(),
        *results["packs_to_buy"].select("clay", "lot", "cost", "bought_kg").rows(),
    ]
    for material, lot, price, kilograms in lots:
        taken = results["materials_cost"].filter(pl.col("material") == material, pl.col("lot") == lot)
        # In tenths of a gram, as glaze in a bucket is weighed to them.
        weight = Fraction(round(taken["quantity"].sum() * 10_000), 10_000)
        exact = Fraction(price) / Fraction(str(kilograms)) * weight
        assert total(taken["cost"]) == amount(exact, job.settings.minor_digits)


def check_ledger(results: Results) -> None:
    """What the ledger has bought and used is what is bought and used, to the penny and the milligram."""
    ledger = results["materials_ledger"]
    cost = results["materials_cost"].filter(pl.col("material").is_in(ledger["material"].implode()))
    bought = [results[name] for name in ("packs_to_buy", "materials_to_buy")]
    known = ledger.with_columns(pl.col("bought_value", "used_value").fill_null(0))
    assert total(known["bought_value"]) == sum(total(sheet["cost"].drop_nulls()) for sheet in bought)
    assert total(known["used_value"]) == total(cost["cost"])
    # What is in no lot, a cost each and a glaze without a recipe, is told apart: together they are all materials.
    other = results["costs_put_in"].filter(pl.col("what") == "other")
    assert total(known["used_value"]) + total(other["cost"]) == total(results["materials_cost"]["cost"])
    assert total(results["purchases"]["net"].drop_nulls()) == total(known["bought_value"])
    assert round(sum(ledger["used_kg"]), 6) == round(sum(cost["quantity"]), 6)
    for row in ledger.iter_rows(named=True):
        assert row["closing_kg"] >= 0
        if row["closing_kg"] == 0 and row["closing_value"] is not None:
            assert row["closing_value"] == 0


def check_sales(results: Results) -> None:
    """Sales are those of the costs, and every gross is its net and tax."""
    sales = results["sales"]
    assert sales["net"].equals(results["job_costs"]["sales"], check_names=False)
    assert sales.filter(pl.col("net") + pl.col("tax") != pl.col("gross")).is_empty()


def check_supplies(results: Results) -> None:
    """Glaze mixed and left in the bucket is what was in it and in the packs, less what is on the pieces."""
    mix, buy, cost = results["glaze_batches"], results["materials_to_buy"], results["materials_cost"]
    for glaze, of_it in mix.filter(pl.col("material") != "water").group_by("glaze", maintain_order=True):
        sums = of_it.select(pl.col("needed_g", "keep_g", "in_bucket_g", "mixed_g", "left_g").sum()).row(0, named=True)
        poured = sums["in_bucket_g"] + sums["mixed_g"] - sums["needed_g"]
        assert sums["left_g"] == pytest.approx(poured, abs=1e-6), glaze
        assert sums["needed_g"] == 0 or sums["left_g"] >= sums["keep_g"] - 1e-6
    for material, needed, hand, keep, bought, left in buy.select(
        "material", "needed_kg", "on_hand_kg", "keep_kg", "bought_kg", "left_kg"
    ).iter_rows():
        assert left == pytest.approx(hand + bought - needed, abs=1e-6)
        assert left >= keep - 1e-6
        used = cost.filter(pl.col("material") == material, pl.col("lot").is_null() | (pl.col("lot") != "in the bucket"))
        assert used["quantity"].sum() <= hand + bought + 1e-6


def check_hours(results: Results) -> None:
    """Hours are the minutes of the schedule, and pieces those that are scheduled."""
    schedule, hours = results["schedule"], results["stage_hours"]
    # Each row is rounded to 0.0001 of an hour.
    assert hours["hours"].sum() == pytest.approx(schedule["minutes"].sum() / 60, abs=0.00005 * hours.height + 1e-9)
    counted = schedule.filter(pl.col("task") != "unload").group_by(*LINE, "stage").agg(done=pl.col("pieces").sum())
    both = hours.join(counted, on=[*LINE, "stage"], how="left", nulls_equal=True)
    assert both.filter(pl.col("pieces") != pl.col("done").fill_null(0)).is_empty()


def check_money(job: Job, results: Results) -> None:
    """Every total is the sum of its rows, and every firing is paid for to the last penny."""
    costs, places = results["job_costs"], Decimal(10) ** -job.settings.minor_digits
    hours, materials = results["stage_hours"], results["materials_cost"]
    assert total(costs["materials"]) == total(materials["cost"])
    assert total(costs["own_labour"]) == total(hours["own_labour"])
    assert total(costs["paid_labour"]) + total(costs["own_labour"]) == total(hours["labour_cost"])
    labour, firing = results["labour"], results["firing_costs"]
    assert total(labour["paid_labour"]) == total(costs["paid_labour"])
    assert total(labour["own_labour"]) == total(costs["own_labour"])
    assert total(firing["cost"]) == total(costs["firing"])
    assert results["overhead"]["absorbed"].to_list() in ([total(costs["overhead"])], [])
    # 47.3 kWh at 0.2817 are 13.32441, and 3.20 of wear: by currency 13 + 3, 13.32 + 3.20 or 13.324 + 3.200 a load.
    load = {"JPY": Decimal(16), "EUR": Decimal("16.52"), "KWD": Decimal("16.524")}[job.settings.currency]
    assert total(costs["firing"]) == load * results["kiln_loads"]["load"].n_unique()
    for row in costs.iter_rows(named=True):
        assert row["book_cost"] == row["materials"] + row["firing"] + row["paid_labour"] - row["seconds_value"]
        assert row["full_cost"] == row["book_cost"] + row["own_labour"] + row["overhead"]
        if row["unit_price"] is None:
            assert row["sales"] is row["margin"] is row["margin_pct"] is None
        else:
            assert abs(row["sales"] - row["unit_price"] * row["quantity"]) <= places / 2
            assert row["margin"] == (None if row["already_begun"] else row["sales"] - row["full_cost"])
        for whole in ("book_cost", "full_cost"):
            if row["already_begun"]:
                assert row[f"{whole}_each"] is None
            else:
                assert abs(row[f"{whole}_each"] * row["quantity"] - row[whole]) <= places / 2 * row["quantity"]
    for sheet, column in (("materials_cost", "cost"), ("stage_hours", "labour_cost"), ("job_costs", "firing")):
        assert results[sheet].filter(pl.col(column) != pl.col(column).round(job.settings.minor_digits)).is_empty()


@limits(max_examples=8)
@given(st.randoms(use_true_random=False).map(priced))
def test_clay_hours_and_money_tie(job: Job) -> None:
    results = worked(job)
    assert results["job_costs"].select(LINE).equals(job.orders.select(LINE))
    check_clay(job, results)
    check_lots(job, results)
    check_supplies(results)
    check_ledger(results)
    check_sales(results)
    check_hours(results)
    check_money(job, results)
