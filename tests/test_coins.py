"""Columns of money from whole numbers of the smallest coin."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.coins import MONEY, coins, money, nearest, of_coins
from pipeline.money import product_units


@pytest.mark.parametrize(
    ("digits", "expected"),
    [
        (0, ["1234", None, "-5"]),  # yen have no smaller coin
        (2, ["12.34", None, "-0.05"]),  # 1,234 pence are 12.34
        (3, ["1.234", None, "-0.005"]),  # 1,234 fils are 1.234 dinars
    ],
)
def test_coins_are_money(digits: int, expected: list[str | None]) -> None:
    found = of_coins([1234, None, -5], digits)
    assert found.dtype == MONEY
    assert found.to_list() == [None if each is None else Decimal(each) for each in expected]


def test_a_sum_beyond_what_floats_hold_stays_exact() -> None:
    # 2^53 + 1 = 9,007,199,254,740,993 coins, which no float has; and more than 64 bits.
    assert of_coins([9_007_199_254_740_993, 10**25 + 1], 2).to_list() == [
        Decimal("90071992547409.93"),
        Decimal("100000000000000000000000.01"),
    ]


def test_money_is_coins_and_coins_are_money() -> None:
    # 12.34 are 1,234 pence, -0.05 are -5.
    amounts = [Decimal("12.34"), None, Decimal("-0.05")]
    frame = pl.DataFrame({"cost": amounts}, schema={"cost": MONEY})
    pence = frame.select(coins("cost", 2))
    assert pence["cost"].to_list() == [1234, None, -5]
    assert pence.select(money(pl.col("cost"), 2))["cost"].to_list() == amounts


def test_quotients_are_rounded_halves_away_from_nought() -> None:
    # 5 / 2 = 2.5, so 3; -5 / 2 = -2.5, so -3; 7 / 3 = 2.33, so 2; of nothing divided by nothing nothing is known.
    frame = pl.DataFrame({"top": [5, -5, 7, 0], "bottom": [2, 2, 3, 0]})
    assert frame.select(nearest(pl.col("top"), pl.col("bottom")))["top"].to_list() == [3, -3, 2, None]


@given(st.integers(-(10**15), 10**15), st.integers(1, 10**15))
def test_quotients_are_rounded_as_amounts_are(top: int, bottom: int) -> None:
    found = pl.DataFrame({"top": [top]}).select(nearest(pl.col("top"), bottom))
    assert found.item() == product_units(Fraction(top, bottom), digits=0)
