"""The sheet for counting stock by hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.money import amount
from schemas import accounts
from schemas.fields import MONEY_DIGITS
from schemas.sheet import shaped, types
from schemas.sheets_out.stock_count import FINISHED, PACKING, PART_MADE, RAW, StockCount

TYPE = {
    accounts.RAW: RAW,
    accounts.PACKING: PACKING,
    accounts.PART_MADE: PART_MADE,
    accounts.FINISHED: FINISHED,
}
"""What the count calls the balances that can be counted."""


def stock_count(closing_balances: pl.DataFrame) -> pl.DataFrame:
    """What to count on the evening on which the books close, with what they expect; the blank columns are filled in by
    hand.

    A unit costs value / quantity, to six places: 25.97 for 23.52 kg is 1.104167 a kilogram.
    """
    words = pl.concat_str(
        "order", "glaze", pl.concat_str(pl.lit("after "), "stage"), "lot", separator=", ", ignore_nulls=True
    )
    asked = closing_balances.filter(pl.col("what").is_in(list(TYPE)), pl.col("quantity") != 0).select(
        pl.col("what").replace_strict(TYPE, return_dtype=pl.String),
        "item",
        pl.when(words != "").then(words).alias("description"),
        "unit",
        "quantity",
        "value",
    )
    rows = [
        (*what, quantity, None, None, None, _each(value, quantity), value)
        for *what, quantity, value in asked.iter_rows()
    ]
    return shaped(StockCount, pl.DataFrame(rows, schema=types(StockCount), orient="row"))


def _each(value: Decimal | None, quantity: float) -> Decimal | None:
    return None if value is None else amount(Fraction(value) / Fraction(str(quantity)), MONEY_DIGITS)
