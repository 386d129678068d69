"""How many of the pieces begun enter each later stage."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

import polars as pl

from pipeline.losses import NOISE, good_expected, whole_up


def entering(pieces: int, chances: Sequence[float]) -> list[int]:
    """Pieces that enter each of the stages with these chances to come through, then the pieces that leave the last.

    All are rounded up but the last, the good pieces to be expected, which is rounded down. 100 pieces at 0.98 and 0.9:
    100 enter the first, 98 the second, and 88 (88.2) come out.
    """
    found, through = [], 1.0
    for chance in chances:
        found.append(ceil(pieces * through * (1 - NOISE)))
        through *= chance
    return [*found, good_expected(pieces, through)]


def entering_expr(pieces: pl.Expr, through: pl.Expr) -> pl.Expr:
    """The same for a column: pieces begun, and the chance to come through all stages before."""
    return whole_up(pieces * through)


def leaving_expr(pieces: pl.Expr, through: pl.Expr) -> pl.Expr:
    """The good pieces to be expected of ``pieces`` begun, rounded down."""
    return (pieces * through * (1 + NOISE)).floor().cast(pl.Int64)
