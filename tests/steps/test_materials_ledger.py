"""The materials ledger, on paper."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import make_job
from tests.steps.worked import unscheduled

WEIGHTS = ("lot", "opening_kg", "bought_kg", "reclaimed_kg", "used_kg", "closing_kg")
MONEY = ("opening_value", "bought_value", "used_value", "closing_value")

OLD: Cells = {"clay": "buff", "lot": "1", "bag_kg": 10.0, "bags": 10, "bag_price": Decimal(100)}
NEW: Cells = {"clay": "buff", "lot": "2", "bag_kg": 10.0, "bags": 5, "bag_price": Decimal(130)}


def cups(kilograms: int, **sheets: Any) -> Job:
    """An order of cups of a kilogram each, thrown and done: 100 kg at 10.00 and 50 kg at 13.00 are there."""
    return make_job(
        **{
            "orders": [{"order": "A", "form": "cup", "quantity": kilograms}],
            "forms": [{"form": "cup", "ball_g": 1000.0}],
            "clay_stock": [OLD, NEW],
            "stages": [{"stage": "throw"}],
        }
        | sheets
    )


def ledger(job: Job, *columns: str) -> list[tuple[Any, ...]]:
    return unscheduled("materials_ledger", job).select(columns).rows()


def money(*amounts: str) -> tuple[Decimal, ...]:
    return tuple(Decimal(amount) for amount in amounts)


def test_the_oldest_lot_goes_first() -> None:
    # Of 120 kg the old lot gives 100, worth 1,000.00, the new one 20 at 13.00, worth 260.00; 30 kg, 390.00, are left.
    job = cups(120)
    assert ledger(job, *WEIGHTS) == [("1", 100, 0, 0, 100, 0), ("2", 50, 0, 0, 20, 30)]
    assert ledger(job, *MONEY) == [money("1000", "0", "1000", "0"), money("650", "0", "260", "390")]


def test_on_average_all_lots_are_one() -> None:
    # 150 kg for 1,650.00 are 11.00 a kg; 120 kg are 1,320.00; 330.00 are left.
    job = cups(120, settings={"stock_value": "average"})
    assert ledger(job, *WEIGHTS) == [("average", 150, 0, 0, 120, 30)]
    assert ledger(job, *MONEY) == [money("1650", "0", "1320", "330")]


def test_what_is_bought_comes_in_with_its_carriage() -> None:
    # 165 kg are 15 more than there are: 2 packs of 10 kg at 14.00 and a van at 9.00 are 37.00, of which 15 of 20 kg
    # are 27.75.
    price: Cells = {"clay": "buff", "pack_kg": 10.0, "pack_price": Decimal(14), "carriage": Decimal(9)}
    job = cups(165, clay_prices=[price])
    assert ledger(job, *WEIGHTS)[2] == ("to buy", 0, 20, 0, 15, 5)
    assert ledger(job, *MONEY)[2] == money("0", "37", "27.75", "9.25")


def test_a_reserve_is_left_and_keeps_its_worth() -> None:
    # All but 20 kg of the new lot: 30 at 13.00 are 390.00 of 650.00.
    job = cups(130, clay_stock=[OLD, NEW | {"keep_kg": 20.0}])
    assert ledger(job, *WEIGHTS)[1] == ("2", 50, 0, 0, 30, 20)
    assert ledger(job, *MONEY)[1] == money("650", "0", "390", "260")


def test_reclaim_comes_in_at_no_cost() -> None:
    # Of 100 cups 100 g each are trimmed, and all of that is counted on: 10 kg come and, as 150 kg do for 100, stay.
    job = cups(100, forms=[{"form": "cup", "ball_g": 1000.0, "trimmings_g": 100.0}], settings={"reclaim_pct": 100.0})
    assert ledger(job, *WEIGHTS)[2] == ("reclaim", 0, 0, 10, 0, 10)
    assert ledger(job, *MONEY)[2] == money("0", "0", "0", "0")


def test_money_of_a_lot_without_a_price_is_not_known() -> None:
    # 50 cups take 10 g of wool each: 0.5 kg of a pack of 1 kg to buy, at a price that nobody gave.
    job = cups(
        50, materials=[{"material": "wool"}], form_materials=[{"form": "cup", "material": "wool", "each_g": 10.0}]
    )
    (wool,) = (row for row in ledger(job, "material", *WEIGHTS, *MONEY) if row[0] == "wool")
    assert wool[1:] == ("to buy", 0, 1, 0, 0.5, 0.5, None, None, None, None)
