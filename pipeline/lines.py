"""Order lines: what names one, and which goes first."""

from __future__ import annotations

from decimal import Decimal

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


def with_total(lines: pl.DataFrame, name: str, frame: pl.DataFrame, column: str) -> pl.DataFrame:
    """The lines with the sum of a money column of another frame, as ``money.known_sum`` has it, as the column ``name``;
    nought for a line without a row there.
    """
    found = with_line(lines, frame.group_by(LINE).agg(known_total(column).alias(name), there=pl.lit(True)))
    return found.with_columns(pl.when("there").then(name).otherwise(Decimal(0)).alias(name)).drop("there")


def with_number(lines: pl.DataFrame, name: str, frame: pl.DataFrame, column: str) -> pl.DataFrame:
    """The lines with the exact sum of a column of numbers of another frame, in whole millionths, as ``name``."""
    return with_line(lines, line_millionths(frame, column).rename({column: name})).with_columns(
        pl.col(name).fill_null(0)
    )


def known_total(column: str) -> pl.Expr:
    """The sum of a money column, as ``money.known_sum`` has it."""
    total = pl.col(column).sum()
    return pl.when((total != 0) | (pl.col(column).null_count() == 0)).then(total).alias(column)


def known_across(*columns: str) -> pl.Expr:
    """The same of some money columns, row by row."""
    total = pl.sum_horizontal(columns)
    return pl.when((total != 0) | pl.all_horizontal(pl.col(columns).is_not_null())).then(total)


def line_millionths(frame: pl.DataFrame, column: str) -> pl.DataFrame:
    """The sum of a column of numbers by line, in whole millionths; a line without a row has none."""
    return frame.group_by(LINE, maintain_order=True).agg(millionths(column))


def millionths(column: str) -> pl.Expr:
    """The sum of a column of numbers in whole millionths, each rounded to one: floats would not add up."""
    return (pl.col(column) * MILLION).round().cast(pl.Int64).sum()
