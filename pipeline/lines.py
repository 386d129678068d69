"""Order lines: what names one, and which goes first."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.money import known_sum

LINE = ("order", "form", "glaze")
"""The columns that name an order line. Glaze may be blank, so joins on them count blanks as equal."""

Line = tuple[str, str, str | None]
"""What names an order line: order, form, glaze."""


def in_turn(orders: pl.DataFrame) -> pl.DataFrame:
    """The orders, earliest due line first, then by priority, then as the sheet has them; blanks last."""
    return orders.sort("due", "priority", nulls_last=True, maintain_order=True)


def with_line(frame: pl.DataFrame, other: pl.DataFrame) -> pl.DataFrame:
    """The rows of ``frame`` with the columns of ``other``, which has one row a line."""
    return frame.join(other, on=LINE, how="left", nulls_equal=True, validate="m:1", maintain_order="left")


def line_sums(frame: pl.DataFrame, column: str) -> dict[Line, Decimal | None]:
    """The sum of a money column by line, as ``known_sum`` has it; a line without a row has no entry."""
    amounts: dict[Line, list[Decimal | None]] = defaultdict(list)
    for order, form, glaze, value in frame.select(*LINE, column).iter_rows():
        amounts[order, form, glaze].append(value)
    return {line: known_sum(values) for line, values in amounts.items()}


def line_numbers(frame: pl.DataFrame, column: str) -> dict[Line, Fraction]:
    """The exact sum of a column of numbers by line, each as its decimals have it; 0 for a line without a row."""
    sums: dict[Line, Fraction] = defaultdict(Fraction)
    for order, form, glaze, value in frame.select(*LINE, column).iter_rows():
        sums[order, form, glaze] += Fraction(str(value))
    return sums
