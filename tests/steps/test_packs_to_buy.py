"""The packs of clay to buy: a textbook's price breaks, and small sums on paper."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import START, make_job
from tests.steps.worked import bought, unscheduled, worked

THROW: list[Cells] = [{"stage": "throw"}]


def money(*amounts: str) -> list[Decimal]:
    return [Decimal(amount) for amount in amounts]


def price(pack_kg: float, pack_price: str, from_packs: int = 1, supplier: str = "North Yard", **more: Any) -> Cells:
    return {
        "clay": "buff",
        "supplier": supplier,
        "pack_kg": pack_kg,
        "pack_price": Decimal(pack_price),
        "from_packs": from_packs,
        **more,
    }


def cups(kilograms: int, *prices: Cells, **more: Any) -> Job:
    """An order of cups of a kilogram each, thrown and done; the newest lot of buff came in bags of 12.5 kg at 13.80."""
    return make_job(
        **{
            "orders": [{"order": "A", "form": "cup", "quantity": kilograms, "due": dt.date(2027, 4, 30)}],
            "forms": [{"form": "cup", "ball_g": 1000.0}],
            "clay_stock": [{"clay": "buff", "supplier": "Old Pit", "bags": 0, "bag_price": Decimal("13.80")}],
            "clay_prices": list(prices),
            "stages": THROW,
        }
        | more
    )


def packs(job: Job) -> pl.DataFrame:
    return unscheduled("packs_to_buy", job)


# A price list


def test_the_price_breaks_of_a_textbook() -> None:
    """Price breaks of Render and Stair, Quantitative Analysis for Management, the toy race cars of Wohl's store: 5.00
    each below 1,000, 4.80 from 1,000 on, 4.75 from 2,000 on.

    The book asks how many to buy at a time; a plan buys once what its orders take (see ``pipeline.buying``), and its
    49.00 an order is carriage. What holds here, too, is what the book says of the break: that the cost has to be looked
    at there, also when fewer are needed. 980 at 5.00 are 4,900.00, and 1,000 at 4.80 are 4,800.00; 1,950 at 4.80 are
    9,360.00, 2,000 at 4.75 are 9,500.00; the year's 5,000 are 23,750.00.
    """
    toys = (price(1.0, "5.00"), price(1.0, "4.80", 1000), price(1.0, "4.75", 2000))
    toys = tuple(cells | {"carriage": Decimal(49)} for cells in toys)
    found = [packs(cups(needed, *toys)).row(0, named=True) for needed in (700, 980, 1000, 1950, 5000)]
    assert [row["packs"] for row in found] == [700, 1000, 1000, 1950, 5000]
    assert [row["cost"] for row in found] == money("3549", "4849", "4849", "9409", "23799")


@pytest.mark.parametrize(("needed", "count", "cost"), [(1000, 1000, "4000"), (1100, 1200, "4320"), (700, 700, "3080")])
def test_the_price_breaks_of_another(needed: int, count: int, cost: str) -> None:
    # 4.40 below 800, 4.00 from 800, 3.60 from 1,200 (an exercise in price breaks, 25,000 a year). 1,000 at 4.00 are
    # 4,000.00, and 1,200 at 3.60 are 4,320.00; 1,100 at 4.00 are 4,400.00, so 1,200 are bought; 700 at 4.40 are
    # 3,080.00, and 800 at 4.00 3,200.00.
    row = packs(cups(needed, price(1.0, "4.40"), price(1.0, "4.00", 800), price(1.0, "3.60", 1200))).row(0, named=True)
    assert (row["packs"], row["cost"]) == (count, Decimal(cost))


def test_without_a_price_list_bags_are_bought_as_the_newest_lot_was() -> None:
    # 230 kg in bags of 12.5 kg: 18.4, so 19 bags at 13.80: 262.20.
    (row,) = packs(cups(230)).iter_rows(named=True)
    assert (row["supplier"], row["lot"], row["packs"], row["cost"]) == ("Old Pit", "to buy", 19, Decimal("262.20"))
    assert (row["covers_kg"], row["bought_kg"], row["advice"], row["saves"]) == (230.0, 237.5, None, None)


def test_a_pallet_and_bags_stand_in_rows_of_their_own_and_in_one_of_the_list() -> None:
    # 530 kg: a pallet of 500 kg at 480.00 and, for the other 30, 3 bags at 13.80 = 41.40: 521.40.
    job = cups(530, price(12.5, "13.80"), price(500.0, "480.00", supplier="Pit Direct"))
    found = packs(job)
    assert found.select("supplier", "lot", "covers_kg", "packs", "bought_kg", "cost").rows() == [
        ("Pit Direct", "to buy 1", 500.0, 1, 500.0, Decimal("480.00")),
        ("North Yard", "to buy 2", 30.0, 3, 37.5, Decimal("41.40")),
    ]
    (clay,) = bought(job).iter_rows(named=True)
    assert (clay["supplier"], clay["bag_kg"], clay["bag_price"]) == ("Pit Direct; North Yard", None, None)
    assert (clay["bags_to_buy"], clay["bought_kg"], clay["left_kg"], clay["cost"]) == (4, 537.5, 7.5, Decimal("521.40"))


def test_clay_that_is_there_is_not_bought_however_cheap() -> None:
    job = cups(20, price(12.5, "1.00"), clay_stock=[{"clay": "buff", "loose_kg": 20.0}])
    assert packs(job).is_empty()
    assert bought(job)["bag_price"].to_list() == [job.clay_stock["bag_price"][0]]


def test_carriage_is_shared_by_weight_to_the_penny() -> None:
    # 25.00 for one van with 30 kg of buff and 60 kg of dark: 8.33 and 16.67 (a third is 8.333…, the odd penny goes to
    # the larger remainder, 16.666…).
    van: Cells = {"carriage": Decimal(25)}
    job = cups(
        30,
        price(10.0, "10.00", **van),
        price(20.0, "15.00", **van) | {"clay": "dark"},
        orders=[{"order": "A", "form": form, "quantity": count} for form, count in (("cup", 30), ("bowl", 60))],
        forms=[{"form": "cup", "ball_g": 1000.0}, {"form": "bowl", "ball_g": 1000.0, "clay": "dark"}],
        clay_stock=[{"clay": "buff", "bags": 0}, {"clay": "dark", "bags": 0}],
    )
    assert packs(job).select("carriage", "cost").rows() == [
        tuple(money("8.33", "38.33")),
        tuple(money("16.67", "61.67")),
    ]


CENSUS = {
    "Virginia": (630560, 11), "Massachusetts": (475327, 8), "Pennsylvania": (432879, 7), "North Carolina": (353523, 6),
    "New York": (331589, 6), "Maryland": (278514, 5), "Connecticut": (236841, 4), "South Carolina": (206236, 3),
    "New Jersey": (179570, 3), "New Hampshire": (141822, 2), "Vermont": (85533, 1), "Georgia": (70835, 1),
    "Kentucky": (68705, 1), "Rhode Island": (68446, 1), "Delaware": (55540, 1),
}  # fmt: skip
"""The people of each state in 1790, and its seats of 60 by Hamilton's method: a quota of 60,265.333, 8 left over.
Source: electowiki, "Hamilton method"."""


def test_carriage_is_shared_as_seats_were_after_the_census_of_1790() -> None:
    """A kilogram of clay for each of the people, a clay a state, and 60 yen of carriage for all of it."""
    offer = price(1.0, "1.00", carriage=Decimal(60))
    job = cups(
        1,
        *(offer | {"clay": state} for state in CENSUS),
        orders=[{"order": "A", "form": state, "quantity": people} for state, (people, _) in CENSUS.items()],
        forms=[{"form": state, "ball_g": 1000.0, "clay": state} for state in CENSUS],
        clay_stock=[{"clay": state, "bags": 0} for state in CENSUS],
        settings={"currency": "JPY"},
    )
    assert packs(job)["carriage"].to_list() == [seats for _, seats in CENSUS.values()]


# What price breaks save


def test_what_more_than_needed_has_saved() -> None:
    # 230 kg: 19 bags at 13.80 are 262.20, 20 at 12.60 are 252.00.
    (row,) = packs(cups(230, price(12.5, "13.80"), price(12.5, "12.60", 20))).iter_rows(named=True)
    assert row["advice"] == (
        "1 pack more than needed: from 20 on a pack costs 12.60, and 20 cost less than 19 at 13.80"
    )
    assert row["saves"] == Decimal("10.20")


def test_what_the_next_break_would_save() -> None:
    # 450 kg: 36 bags at 13.80 are 496.80, and 40 at 13.00 are 520.00: 23.20 more now; 4 bags later are 55.20.
    (row,) = packs(cups(450, price(12.5, "13.80"), price(12.5, "13.00", 40))).iter_rows(named=True)
    assert row["packs"] == 36
    assert row["advice"] == (
        "4 packs more would make 40, from which a pack costs 13.00: 23.20 more now, instead of 55.20 later"
    )
    assert row["saves"] == Decimal("32.00")


def test_carriage_that_a_break_saves_counts() -> None:
    # 450 kg: 36 bags at 13.80 and 30.00 of carriage are 526.80; 40 at the same price, carriage free, are 552.00.
    # 25.20 more now for 4 bags that would be 55.20 later.
    free = price(12.5, "13.80", 40)
    (row,) = packs(cups(450, price(12.5, "13.80", carriage=Decimal(30)), free)).iter_rows(named=True)
    assert (row["packs"], row["saves"]) == (36, Decimal("30.00"))


def test_a_break_that_saves_nothing_is_not_told() -> None:
    (row,) = packs(cups(450, price(12.5, "13.80"), price(12.5, "13.80", 40))).iter_rows(named=True)
    assert (row["advice"], row["saves"]) == (None, None)


# When


def test_each_pack_is_ordered_by_its_own_lead_days() -> None:
    # Due on the 30th of April and thrown in a day: begun by then. 14 days and 3 before it.
    pallet = price(500.0, "480.00", supplier="Pit Direct", lead_days=14)
    job = cups(530, price(12.5, "13.80", lead_days=3), pallet)
    found = packs(job)
    assert found["needed_by"].to_list() == [dt.date(2027, 4, 30)] * 2
    assert found["order_by"].to_list() == [dt.date(2027, 4, 16), dt.date(2027, 4, 27)]
    assert bought(job)["order_by"].to_list() == [dt.date(2027, 4, 16)]


def test_the_plan_waits_for_the_last_pack_and_not_for_what_is_not_bought() -> None:
    # The cheapest clay comes in 9 days; the newest lot took 30, and a dearer offer is there the same day.
    job = cups(
        40,
        price(12.5, "13.80", lead_days=9),
        price(12.5, "19.00", supplier="Corner Shop"),
        clay_stock=[{"clay": "buff", "bags": 0, "lead_days": 30}],
    )
    assert worked(job)["schedule"]["date"].min() == START + dt.timedelta(days=9)
