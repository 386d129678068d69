"""Every default and reading that a plan rests on is told by name."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.cheapest import with_covers
from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import frame, make_job
from tests.steps.worked import unscheduled

PRICED: Cells = {"order": "A", "form": "cup", "quantity": 10, "unit_price": Decimal("14.00")}

THROW: list[Cells] = [{"stage": "throw", "loss_pct": 0.0}, {"stage": "turn", "loss_pct": 20.0}]

BOOKS = "book cost"
ALWAYS = [BOOKS, "the books", "lines delivered"]
"""What is told of every plan."""


def told(job: Job) -> dict[str, tuple[str, str]]:
    """What was taken: as what, and why."""
    found = unscheduled("assumptions", job)
    assert found["what"].is_unique().all()
    return {what: (value, why) for what, value, why in found.iter_rows()}


def cups(*orders: Cells, **more: Any) -> Job:
    return make_job(**{"orders": list(orders) or [PRICED], "stages": THROW} | more)


def test_a_plain_job_rests_on_what_counts_as_a_cost_alone() -> None:
    value, why = told(cups())[BOOKS]
    assert list(told(cups())) == ALWAYS
    assert value == "materials, firing, paid labour, less what seconds fetch"
    assert "own time" in why
    assert "overhead" in why


def test_what_was_read_comes_first() -> None:
    readings = frame("assumptions", [{"what": "forms.method: cup", "value": "thrown", "why": "no method is given"}])
    found = told(replace(cups(), readings=readings))
    assert list(found) == ["forms.method: cup", *ALWAYS]
    assert found["forms.method: cup"] == ("thrown", "no method is given")


def test_spares_by_chance() -> None:
    value, why = told(cups(settings={"loss_cover": 0.9}))["spares by chance"]
    assert value.startswith("90 times in a hundred")
    # What it leaves out: losses that come by the kiln load.
    assert "kiln load" in why


@pytest.mark.parametrize(
    ("pieces", "left"),
    # 10 cups wanted of thrown ones, 20 % lost: 12.5, so 13 go on. Of 12 none is left over.
    [(12, None), (13, None), (30, "17 of the 30 pieces of cup at throw")],
)
def test_pieces_in_progress_that_no_order_needs(pieces: int, left: str | None) -> None:
    found = told(cups(in_progress=[{"form": "cup", "stage_done": "throw", "pieces": pieces}]))
    names = {what for what in found if " of the " in what}
    assert names == ({left} if left else set())
    if left:
        assert found[left] == ("left where they are", "no order needs them (in_progress row 2)")


def test_a_row_of_work_in_progress_of_which_no_piece_is_needed() -> None:
    # The 10 finished ones are enough; the thrown ones, in row 2, are not touched.
    standing: list[Cells] = [
        {"form": "cup", "stage_done": "throw", "pieces": 6},
        {"form": "cup", "stage_done": "turn", "pieces": 10},
    ]
    found = told(cups(in_progress=standing))
    assert found["6 of the 6 pieces of cup at throw"] == (
        "left where they are",
        "no order needs them (in_progress row 2)",
    )


def test_work_in_progress_has_cost_what_it_has() -> None:
    found = told(cups(in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 2}]))
    assert found["costs of work in progress"][0] == "only what is still to come"
    assert "costs of work in progress" not in told(cups())


def test_days_that_clay_takes_to_come() -> None:
    stock: list[Cells] = [{"clay": "buff", "lead_days": 7}]
    found = told(cups(clay_stock=stock))["clay to be bought"]
    assert "2027-03-01" in found[0]
    assert "buff" in found[1]
    listed: list[Cells] = [{"clay": "buff", "supplier": "North Yard", "lead_days": 7}]
    assert told(cups(clay_prices=listed))["clay to be bought"] == found


def test_reclaim() -> None:
    assert told(cups(settings={"reclaim_pct": 40.0}))["reclaim"][0] == "40 % of the trimmings, at no cost"


@pytest.mark.parametrize(
    ("chosen", "what_is_done"),
    [
        ("none", "comes on top of every price of the sheets"),
        ("sales", "taken out of the prices of sales, comes on top of those of purchases"),
        ("purchases", "comes on top of the prices of sales, taken out of those of purchases"),
        ("both", "taken out of the prices of sales and of purchases"),
    ],
)
def test_which_prices_hold_the_tax_is_told(chosen: str, what_is_done: str) -> None:
    found = told(cups(settings={"tax_pct": 20.0, "prices_with_tax": chosen}))
    assert found["tax of 20 %"][0] == what_is_done


def test_sales_without_a_price() -> None:
    unpriced = PRICED | {"unit_price": None}
    found = told(
        cups(PRICED, unpriced | {"order": "C"}, unpriced | {"order": "B"}, unpriced | {"order": "B", "form": "jug"})
    )
    assert found["sales without a price"] == ("left blank", "no unit_price in orders C, B")


# Glaze

FIRED: list[Cells] = [{"stage": "throw"}, {"stage": "dip"}, {"stage": "fire", "firing": "glaze"}]
OAT = PRICED | {"glaze": "oat"}
GLAZED: list[Cells] = [{"form": "cup", "glaze_g": 26.0}]
RECIPE: list[Cells] = [{"glaze": "oat", "material": "feldspar", "percent": 100.0}]
SHELF: list[Cells] = [{"material": "feldspar", "pack_price": Decimal("9.60")}]


def test_the_stage_of_glazing_where_none_is_called_so() -> None:
    found = told(cups(OAT, stages=FIRED))
    assert found["the stage at which cup is glazed"][0] == "dip"
    named = [row | {"stage": "Glaze"} if row["stage"] == "dip" else row for row in FIRED]
    assert not [what for what in told(cups(OAT, stages=named)) if "is glazed" in what]
    assert not [what for what in told(cups(PRICED, stages=FIRED)) if "is glazed" in what]


@pytest.mark.parametrize(
    ("forms", "glazes", "materials", "expected"),
    [
        (GLAZED, RECIPE, SHELF, set()),
        (GLAZED, RECIPE, [SHELF[0] | {"pack_price": None}], {"price of feldspar"}),
        (GLAZED, RECIPE, [], {"price of feldspar"}),  # nobody says what it costs, nor that there is any
        (GLAZED, [], [], {"cost of glaze oat"}),
        (GLAZED, [RECIPE[0] | {"glaze": "moss"}], SHELF, {"cost of glaze oat"}),
        ([{"form": "cup"}], [], [], set()),  # no glaze goes on it
    ],
)
def test_glaze_that_has_no_price(
    forms: list[Cells], glazes: list[Cells], materials: list[Cells], expected: set[str]
) -> None:
    found = told(cups(OAT, forms=forms, glazes=glazes, materials=materials))
    assert {what for what in found if what.startswith(("price of", "cost of glaze"))} == expected
    assert all(found[what][0] == "0" for what in expected)


def test_what_is_in_a_bucket_has_a_price_that_nobody_gave() -> None:
    buckets: list[Cells] = [{"glaze": "oat", "in_bucket_ml": 900.0}, {"glaze": "moss"}]
    found = told(cups(OAT, glazes=RECIPE, materials=SHELF, glaze_buckets=buckets))
    assert found["cost of what is in the bucket of oat"][0] == "the price of the oldest lot of each material"


# Room in the kiln


def test_the_count_that_fills_a_kiln_and_where_it_comes_from() -> None:
    # Two kilns, a count of one's own for the one. The other's round shelf of 110 mm holds one cup of 80 mm; cups of
    # 100 mm with 5 mm of gap and 15 mm of shelf stand in layers of 120 mm: 3 in 360 mm.
    job = cups(
        PRICED,
        forms=[{"form": "cup"}, {"form": "jug"}],
        stages=[{"stage": "throw"}, {"stage": "fire", "firing": "glaze"}],
        kilns=[{"kiln": "big"}, {"kiln": "small", "shelf_width_mm": 110.0, "inside_height_mm": 360.0}],
        kiln_fit=[{"firing": "glaze", "kiln": "big", "form": "cup", "pieces": 66}],
    )
    found = told(job)
    own = found["cup: pieces that fill big at glaze"]
    assert own[0] == "66"
    assert own[1].startswith("your own count")
    computed = found["cup: pieces that fill small at glaze"]
    assert computed[0] == "3"
    assert "3 layers of 1" in computed[1]
    assert "kiln_fit takes your own count" in computed[1]
    # Of forms that are not ordered nothing is told.
    assert not [what for what in found if "jug" in what]


def test_every_row_says_what_and_why() -> None:
    job = cups(OAT, stages=FIRED, settings={"loss_cover": 0.9, "reclaim_pct": 40.0, "tax_pct": 20.0})
    found = unscheduled("assumptions", job)
    assert found.null_count().sum_horizontal().item() == 0
    assert found.filter(pl.any_horizontal(pl.all().str.len_chars() == 0)).is_empty()


# What is not known of costs


def test_the_cheapest_spares_say_what_they_rest_on() -> None:
    # 0.4 kg of clay at 13.80 a bag of 12.5 kg is 0.44; nobody's time has a price here, so another run costs nothing.
    job = cups(
        PRICED,
        PRICED | {"order": "B", "unit_price": Decimal("16.50")},
        clay_stock=[{"clay": "buff", "bag_kg": 12.5, "bag_price": Decimal("13.80")}],
        settings={"loss_cover": "cheapest"},
    )
    value, why = told(with_covers(job))["spares of cup at the least cost"]
    assert value == (
        "a piece begun costs 0.44, another run 0.00 more, or a piece never made loses 14.00 to 16.50; a spare is worth "
        "0.00"
    )
    assert "set-ups" in why


def test_seconds_without_a_price() -> None:
    forms = [{"form": "cup", "seconds_pct": 50.0}]
    assert told(cups(forms=forms))["seconds of cup"][0] == "of no value"
    priced = [{"form": "cup", "seconds_pct": 50.0, "second_price": Decimal("7.00")}]
    assert "seconds of cup" not in told(cups(forms=priced))


def test_half_of_a_month_s_overhead_is_left_out_and_the_whole_is_told() -> None:
    half = {"overhead_per_month": Decimal(480)}
    assert told(cups(settings=half))["overhead of a month"][0] == "left out"
    found = told(cups(settings=half | {"normal_hours_per_month": 120.0}))
    assert "overhead of a month" not in found
    assert "IAS 2" in found["overhead of an hour"][1]


def test_a_work_log_changes_no_plan() -> None:
    log = [{"form": "cup", "stage": "turn", "pieces_in": 10, "pieces_out": 7}]
    assert "left out of the plan" in told(cups(work_log=log))["losses of the work log"][0]


def test_the_method_of_the_books() -> None:
    value, why = told(cups())["the books"]
    assert "oldest first" in value
    assert "no overhead" in value
    assert "accountant" in why
    value, _ = told(cups(settings={"stock_value": "average", "stock_overhead": "in"}))["the books"]
    assert "average price" in value
    assert "normal hours" in value


def test_what_is_in_goods_that_were_there_before() -> None:
    # Of 10 cups, 20 % lost, 13 (12.5) go on: with 6 thrown some are begun, with 13 none, so what one costs is unknown.
    some = told(cups(in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 6}]))
    assert some["what is in cup after throw when the books open"][0] == "what the plan's own pieces cost up to there"
    every: list[Cells] = [{"form": "cup", "stage_done": "throw", "pieces": 13}]
    value, why = told(cups(in_progress=every))["what is in cup after throw when the books open"]
    assert value == "not known, so counted as nought"
    assert "opening_balances" in why
    carried: Cells = {"what": "part-made goods", "item": "cup", "stage": "throw", "quantity": 13.0, "value": Decimal(9)}
    assert not [what for what in told(cups(in_progress=every, opening_balances=[carried])) if "books open" in what]
