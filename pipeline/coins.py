"""Columns of money as whole numbers of the smallest coin and back: sums, shares and quotients of those are exact, and
much quicker than of decimals row by row.
"""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from schemas.fields import MONEY_DIGITS

MONEY = pl.Decimal(38, MONEY_DIGITS)
"""The type of a column of money."""


def of_coins(coins: Sequence[int | None], digits: int) -> pl.Series:
    """A column of money from so many units of the last of ``digits`` decimal places; None is blank."""
    money: pl.Series = pl.Series(coins, dtype=pl.Int128).cast(MONEY) / 10**digits
    return money
