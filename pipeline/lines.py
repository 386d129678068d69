"""Order lines: what names one, and which goes first."""

from __future__ import annotations

import polars as pl

LINE = ("order", "form", "glaze")
"""The columns that name an order line. Glaze may be blank, so joins on them count blanks as equal."""


def in_turn(orders: pl.DataFrame) -> pl.DataFrame:
    """The orders, earliest due line first, then by priority, then as the sheet has them; blanks last."""
    return orders.sort("due", "priority", nulls_last=True, maintain_order=True)


def with_line(frame: pl.DataFrame, other: pl.DataFrame) -> pl.DataFrame:
    """The rows of ``frame`` with the columns of ``other``, which has one row a line."""
    return frame.join(other, on=LINE, how="left", nulls_equal=True, validate="m:1", maintain_order="left")
