"""Columns of money as whole numbers of the smallest coin and back: sums, shares and quotients of those are exact, and
much quicker than of decimals row by row.
"""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from schemas.fields import MONEY_DIGITS

MONEY = pl.Decimal(38, MONEY_DIGITS)
"""The type of a column of money."""


def coins(column: str, digits: int) -> pl.Expr:
    """A column of amounts, which have no more than ``digits`` decimal places, in units of the last of them."""
    return pl.col(column).mul(10**digits).cast(pl.Int128)


def money(units: pl.Expr, digits: int) -> pl.Expr:
    """Units of the last of ``digits`` decimal places as money."""
    return units.cast(MONEY).truediv(10**digits)


def nearest(top: pl.Expr, bottom: pl.Expr | int) -> pl.Expr:
    """The whole number nearest to a quotient of whole numbers, halves away from nought, as ``money.amount`` rounds;
    blank where there is nothing to divide by. In 128 bits, which hold the products of such numbers.
    """
    wide = top.cast(pl.Int128)
    return (wide.abs() * 2 + bottom) // (2 * bottom) * wide.sign()


def of_coins(coins: Sequence[int | None], digits: int) -> pl.Series:
    """A column of money from so many units of the last of ``digits`` decimal places; None is blank."""
    return pl.select(money(pl.lit(pl.Series(coins, dtype=pl.Int128)), digits)).to_series()
