"""What is short of each clay."""

from __future__ import annotations

import polars as pl

from pipeline.stock import on_hand


def clay_balance(lines: pl.DataFrame, clay_stock: pl.DataFrame) -> pl.DataFrame:
    """``on_hand`` of each clay, with what the lines (``line_clay``) need, get as reclaim, find free, and are short of.

    Adds ``need_mg``, ``again_mg``, ``free_mg`` (on hand and reclaim, less the reserve) and ``short_mg`` = needed +
    reserve - on hand - reclaim, never below nought.
    """
    needed = lines.group_by("part").agg(need_mg=pl.col("mg").sum(), again_mg=pl.col("reclaim_mg").sum())
    stock = on_hand(clay_stock, item="clay", pack="bag").join(
        needed, left_on="clay", right_on="part", how="left", maintain_order="left"
    )
    return (
        stock.with_columns(pl.col("need_mg", "again_mg").fill_null(0))
        .with_columns(free_mg=pl.col("hand_mg") + pl.col("again_mg") - pl.col("keep_mg"))
        .with_columns(short_mg=(pl.col("need_mg") - pl.col("free_mg")).clip(lower_bound=0))
    )
