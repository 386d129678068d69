"""Running totals within groups whose rows stand together.

In plain columns: of thousands of groups of a few rows each, a window of polars takes many times as long.
"""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl


def first_of(names: Sequence[str]) -> pl.Expr:
    """Whether a row is the first of its group, which has the same in the columns ``names``."""
    other = (pl.col(name).ne_missing(pl.col(name).shift()) for name in names)
    return (pl.int_range(pl.len()) == 0) | pl.any_horizontal(*other)


def running(column: str, first: pl.Expr) -> pl.Expr:
    """The total of a column up to each row of a group, where ``first`` tells the rows with which groups begin."""
    total = pl.col(column).cum_sum()
    return total - pl.when(first).then(total - pl.col(column)).forward_fill()


def increase(column: str, first: pl.Expr) -> pl.Expr:
    """By how much a column is more than in the row before, in the first row of a group than nought."""
    return pl.col(column) - pl.when(first).then(0).otherwise(pl.col(column).shift())
