"""Columns of money from whole numbers of the smallest coin."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pipeline.coins import MONEY, of_coins


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
