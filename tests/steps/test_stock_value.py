"""What is taken of a stock and what stays, oldest first and on average, against published stock cards.

The cards are of goods bought and issued in turn; here the goods are clay, a unit is a kilogram, and an issue is a line
of an order, through the step that values materials.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

import pytest

from pipeline.job import Job
from schemas.settings import AVERAGE, OLDEST_FIRST
from tests.random_sheets import Cells
from tests.shops import make_job
from tests.steps.worked import unscheduled


def issued(receipts: Sequence[tuple[int, str]], issues: Sequence[int], method: str) -> list[Decimal]:
    """What each issue comes to, of receipts of so many kilograms at a price each, the first the oldest."""
    job = stocked([(float(kg), Decimal(price)) for kg, price in receipts], issues, method)
    cost = unscheduled("materials_cost", job).group_by("order", maintain_order=True).agg("cost")
    return [sum(costs, Decimal(0)) for costs in cost["cost"]]


def closing(receipts: Sequence[tuple[int, str]], issues: Sequence[int], method: str) -> Decimal:
    """What the ledger says is left of receipts after issues."""
    job = stocked([(float(kg), Decimal(price)) for kg, price in receipts], issues, method)
    return sum(unscheduled("materials_ledger", job)["closing_value"], Decimal(0))


def moving(movements: Sequence[tuple[Sequence[tuple[int, str]], int]]) -> tuple[list[Decimal], Decimal]:
    """What each issue comes to at a moving average, and what is left; receipts come before the issue that they are
    given with.

    A plan knows one average, of what there is and what is bought for it, so each issue is a plan of its own, on the
    stock that the one before has left.
    """
    left, value = 0, Decimal(0)
    costs = []
    for receipts, issue in movements:
        stock = [(float(left), value / left)] if left else []
        stock += [(float(kg), Decimal(price)) for kg, price in receipts]
        job = stocked([(kg, round(price, 6)) for kg, price in stock], [issue], AVERAGE)
        (cost,) = {sum(unscheduled("materials_cost", job)["cost"], Decimal(0))}
        costs.append(cost)
        left += sum(kg for kg, _ in receipts) - issue
        value += sum(kg * Decimal(price) for kg, price in receipts) - cost
    return costs, value


def stocked(receipts: Sequence[tuple[float, Decimal]], issues: Sequence[int], method: str, **more: list[Cells]) -> Job:
    days = [dt.date(2026, 1, 1) + dt.timedelta(days=at) for at in range(len(receipts))]
    lots: list[Cells] = [
        {"clay": "buff", "lot": f"L{at}", "bag_kg": 1.0, "bags": int(kg), "bag_price": price, "received": day}
        for at, ((kg, price), day) in enumerate(zip(receipts, days, strict=True), 1)
    ]
    return make_job(
        **{
            "orders": [{"order": str(at), "form": "cup", "quantity": kg} for at, kg in enumerate(issues, 1)],
            "forms": [{"form": "cup", "ball_g": 1000.0}],
            "clay_stock": lots,
            "stages": [{"stage": "throw"}],
        }
        | more,
        settings={"stock_value": method},
    )


CARD = [(1000, "10"), (260, "10.50"), (400, "11.50"), (300, "12.50"), (500, "11")]


def test_a_stock_card_oldest_first() -> None:
    """A published FIFO card: 1,000 at 10, 260 at 10.50, 400 at 11.50, 300 at 12.50 and 500 at 11 come in, and 700, 620,
    240 and 380 go out: 7,000; 6,420 (300 at 10, 260 at 10.50, 60 at 11.50); 2,760; 4,650 (100 at 11.50, 280 at
    12.50). Together 20,830 of 26,580, which leaves 5,750: 20 at 12.50 and 500 at 11.
    """
    costs = issued(CARD, (700, 620, 240, 380), OLDEST_FIRST)
    assert costs == [Decimal(cost) for cost in (7000, 6420, 2760, 4650)]
    assert closing(CARD, (700, 620, 240, 380), OLDEST_FIRST) == 5750


@pytest.mark.parametrize(
    ("receipts", "issues", "balance"),
    [
        (2, (700,), 5_730),  # 300 at 10 and 260 at 10.50 have gone up to 12,730; 7,000 go
        (3, (700,), 10_330),  # 400 at 11.50 are 4,600
        (4, (700,), 14_080),  # 300 at 12.50 are 3,750
        (4, (700, 620), 7_660),
        (4, (700, 620, 240), 4_900),
        (5, (700, 620, 240), 10_400),  # 500 at 11 are 5,500
        (5, (700, 620, 240, 380), 5_750),
    ],
)
def test_the_balances_of_that_card(receipts: int, issues: tuple[int, ...], balance: int) -> None:
    """What the card says is left after each movement is what the ledger closes at, planned up to there."""
    assert closing(CARD[:receipts], issues, OLDEST_FIRST) == balance


def test_the_same_card_at_a_moving_average() -> None:
    """Each receipt makes a new average: issues of 7,072.22, 6,892.72, 2,668.15 and 4,199.81, and 5,747.11 at the end
    (worked out from the card).
    """
    costs, left = moving([(CARD[:2], 700), (CARD[2:4], 620), ((), 240), (CARD[4:], 380)])
    expected = [7_072.22, 6_892.72, 2_668.15, 4_199.81]
    assert [float(cost) for cost in costs] == pytest.approx(expected, abs=0.01)
    assert float(left) == pytest.approx(5_747.11, abs=0.02)


def test_another_card_at_a_moving_average() -> None:
    """203 at 141, 116 go; 232 at 161, 145 go; 174 at 176, 87 and 116 go. Published averages: 141; 155.545; 165.773.
    (87 at 141 and 232 at 161 are 49,619 for 319; 174 at 155.545 and 174 at 176 57,689 for 348.) 145 are left:
    24,037.05.
    """
    costs, left = moving([([(203, "141")], 116), ([(232, "161")], 145), ([(174, "176")], 87), ((), 116)])
    averages = [float(cost) / kg for cost, kg in zip(costs, (116, 145, 87, 116), strict=True)]
    assert averages == pytest.approx([141, 155.545, 165.773, 165.773], abs=5e-4)
    assert float(left) == pytest.approx(24_037.05, abs=0.02)


def test_a_card_at_one_average_of_the_whole_period() -> None:
    """203 at 141, 232 at 161 and 174 at 176 come in: 96,599 for 609. 116, 145, 87 and 116 go out, 145 stay: at the one
    average of the period they are 22,999.76, oldest first 25,520 (145 at 176). Published stock card; the latter two
    figures worked out from it.
    """
    receipts = [(203, "141"), (232, "161"), (174, "176")]
    assert closing(receipts, (116, 145, 87, 116), AVERAGE) == Decimal("22999.76")
    assert closing(receipts, (116, 145, 87, 116), OLDEST_FIRST) == 25520


@pytest.mark.parametrize(("method", "cost", "left"), [(OLDEST_FIRST, 4_200, 10_900), (AVERAGE, 4_500, 10_600)])
def test_goods_sold_before_the_next_receipt(method: str, cost: int, left: int) -> None:
    """300 at 5 and 500 at 9, 600 sold: 300 at 5 and 300 at 9 are 4,200; at 6,000 / 800 = 7.50 they are 4,500. 910 at 10
    come in then: 15,100 less what is sold are 10,900 or 10,600. Inputs from a published exercise.
    """
    before = [(300, "5"), (500, "9")]
    assert issued(before, [600], method) == [cost]
    # Nothing is taken of the receipt that comes after, so it can only add to what is left.
    assert closing(before, [600], method) + 9_100 == left
    assert closing([*before, (910, "10")], [600], OLDEST_FIRST) == 10_900


def test_what_is_bought_for_the_plan_is_in_its_average() -> None:
    # 100 kg at 1.00 and, of 150 needed, 50 bought in packs of 25 at 37.50 with 10.00 of carriage: 85.00, 1.70 a kg. All
    # together 185.00 for 150 kg.
    job = stocked(
        [(100.0, Decimal(1))],
        [150],
        AVERAGE,
        clay_prices=[
            {"clay": "buff", "supplier": "S", "pack_kg": 25.0, "pack_price": Decimal("37.50"), "carriage": Decimal(10)}
        ],
    )
    found = unscheduled("materials_cost", job)
    assert found["unit_cost"].unique().to_list() == [Decimal("1.233333")]
    assert found["cost"].sum() == Decimal("185.00")


@pytest.mark.parametrize("method", [OLDEST_FIRST, AVERAGE])
def test_the_odd_penny_of_a_lot_is_told_and_the_lot_adds_up(method: str) -> None:
    # A bag of 3 kg at 10.00 shared by three lines of 1 kg: 3.33 each would leave a penny, so one of them is 3.34, of
    # which 0.01 is rounding.
    bag: list[Cells] = [{"clay": "buff", "bag_kg": 3.0, "bags": 1, "bag_price": Decimal(10)}]
    job = stocked([], [1, 1, 1], method, clay_stock=bag)
    found = unscheduled("materials_cost", job)
    assert found["unit_cost"].to_list() == [Decimal("3.333333")] * 3
    assert found["cost"].to_list() == [Decimal("3.34"), Decimal("3.33"), Decimal("3.33")]
    assert found["rounding"].to_list() == [Decimal("0.01"), 0, 0]


def test_lots_without_a_number_that_cost_the_same_are_rounded_as_one() -> None:
    # Two bags of 1 kg at 1.005 each: 2.01 together, 1.01 and 1.00, not 1.01 each.
    bag: Cells = {"clay": "buff", "bag_kg": 1.0, "bags": 1, "bag_price": Decimal("1.005")}
    job = stocked([], [1, 1], OLDEST_FIRST, clay_stock=[bag, bag])
    assert unscheduled("materials_cost", job)["cost"].to_list() == [Decimal("1.01"), Decimal("1.00")]
