"""Order lines: what names one, and which goes first."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

import polars as pl

LINE = ("order", "form", "glaze")
"""The columns that name an order line. Glaze may be blank, so joins on them count blanks as equal."""

MILLION = 1_000_000

Line = tuple[str, str, str | None]
"""What names an order line: order, form, glaze."""


def in_turn(orders: pl.DataFrame) -> pl.DataFrame:
    """The orders, earliest due line first, then by priority, then as the sheet has them; blanks last."""
    return orders.sort("due", "priority", nulls_last=True, maintain_order=True)


def with_line(frame: pl.DataFrame, other: pl.DataFrame) -> pl.DataFrame:
    """The rows of ``frame`` with the columns of ``other``, which has one row a line."""
    return frame.join(other, on=LINE, how="left", nulls_equal=True, validate="m:1", maintain_order="left")


def line_sums(frame: pl.DataFrame, column: str) -> dict[Line, Decimal | None]:
    """The sum of a money column by line, as ``money.known_sum`` has it; a line without a row has no entry."""
    return {(order, form, glaze): known for (order, form, glaze), known in known_sums(frame, LINE, column).items()}


def known_sums(frame: pl.DataFrame, names: Sequence[str], column: str) -> dict[tuple[Any, ...], Decimal | None]:
    """The same by other columns than those that name a line."""
    sums = frame.group_by(names, maintain_order=True).agg(known_total(column))
    return {tuple(of): known for *of, known in sums.iter_rows()}


def known_total(column: str) -> pl.Expr:
    """The sum of a money column, as ``money.known_sum`` has it."""
    total = pl.col(column).sum()
    return pl.when((total != 0) | (pl.col(column).null_count() == 0)).then(total).alias(column)


def known_across(*columns: str) -> pl.Expr:
    """The same of some money columns, row by row."""
    total = pl.sum_horizontal(columns)
    return pl.when((total != 0) | pl.all_horizontal(pl.col(columns).is_not_null())).then(total)


def line_numbers(frame: pl.DataFrame, column: str) -> dict[Line, Fraction]:
    """The exact sum of a column of numbers by line, each to its sixth decimal place; none for a line without a row."""
    sums = frame.group_by(LINE).agg(millionths(column)).iter_rows()
    return {(order, form, glaze): Fraction(number, MILLION) for order, form, glaze, number in sums}


def millionths(column: str) -> pl.Expr:
    """The sum of a column of numbers in whole millionths, each rounded to one: floats would not add up."""
    return (pl.col(column) * MILLION).round().cast(pl.Int64).sum()
