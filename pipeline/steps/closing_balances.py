"""What the books close with, to be the next period's opening."""

from __future__ import annotations

import polars as pl

from pipeline.accounts import packing_materials
from pipeline.books.period import closes, unsold
from schemas.accounts import DEPOSITS, FINISHED, PACKING, PART_MADE, RAW
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.closing_balances import ClosingBalances
from schemas.sheets_out.part_made import CLOSING


def closing_balances(
    materials_ledger: pl.DataFrame,
    part_made: pl.DataFrame,
    finished_goods: pl.DataFrame,
    sales: pl.DataFrame,
    schedule: pl.DataFrame,
    form_materials: pl.DataFrame,
    glazes: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """Materials by lot, part-made goods by line and stage, finished goods, and the deposits of orders not delivered
    yet, on the evening on which the books close. Saved as the next period's ``opening_balances.csv`` they are what it
    opens with.
    """
    packing = pl.col("material").is_in(list(packing_materials(form_materials, glazes)))
    stock = materials_ledger.filter((pl.col("closing_kg") != 0) | (pl.col("closing_value") != 0)).select(
        "lot", what=pl.when(packing).then(pl.lit(PACKING)).otherwise(pl.lit(RAW)), item="material",
        quantity="closing_kg", unit=pl.lit("kg"), value="closing_value",
    )  # fmt: skip
    goods = part_made.filter(pl.col("at") == CLOSING).select(
        "order", "glaze", "stage", "materials", "value",
        what=pl.lit(PART_MADE), item="form", quantity="pieces", unit=pl.lit("piece"),
    )  # fmt: skip
    shelf = finished_goods.filter((pl.col("closing") != 0) | (pl.col("closing_value") != 0)).select(
        "order", "glaze", "lot",
        what=pl.lit(FINISHED), item="form", quantity="closing", unit=pl.lit("piece"), value="closing_value",
    )  # fmt: skip
    held = deposits(sales, schedule, settings).filter(pl.col("value") > 0)
    start = pl.DataFrame(schema=types(ClosingBalances))
    every = pl.concat([start, stock, goods, shelf, held], how="diagonal_relaxed")
    return shaped(ClosingBalances, every.with_columns(pl.col("quantity", "materials").fill_null(0)))


def deposits(sales: pl.DataFrame, schedule: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """The deposits of orders not delivered yet, a row an order, as balances; nought of those that paid none."""
    held = (
        sales.filter(unsold(closes(schedule, settings)))
        .group_by("order", item="customer", maintain_order=True)
        .agg(value=pl.col("deposit_held").sum())
    )
    start = pl.DataFrame(schema=types(ClosingBalances))
    every = pl.concat([start, held], how="diagonal_relaxed").with_columns(what=pl.lit(DEPOSITS))
    return shaped(ClosingBalances, every.with_columns(pl.col("quantity", "materials").fill_null(0)))
