"""The tab of what the last books closed with, which the user's sheet says, to be typed over."""

from __future__ import annotations

from collections.abc import Iterable

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import INPUTS, Head, Table, changed, exact, heads, table_tab
from schemas.accounts import DEPOSITS
from schemas.settings import Settings
from schemas.sheets_in.opening_balances import OpeningBalances

NUMBER = Head("number", "no.", "plain", "The number by which the rows of other tabs find the row.")


def balance_heads(settings: Settings) -> list[Head]:
    """The columns that tell goods and what is owed apart, each with a total of its own."""
    money = f" {settings.currency}".rstrip()
    return [
        Head("of_stock", f"of stock{money}", "amount", "The value, if it is goods.",
             f'IF({{what}}="{DEPOSITS}",0,N({{value}}))', "SUM"),
        Head("owed", f"owed to customers{money}", "amount", "The value, if it is a deposit.",
             f'IF({{what}}="{DEPOSITS}",N({{value}}),0)', "SUM"),
    ]  # fmt: skip


def with_owed(frame: pl.DataFrame) -> pl.DataFrame:
    """A frame of balances with those columns."""
    value, deposit = pl.col("value").fill_null(0), pl.col("what") == DEPOSITS
    nothing = pl.lit(0, frame.schema["value"])
    return frame.with_columns(
        of_stock=pl.when(deposit).then(nothing).otherwise(value),
        owed=pl.when(deposit).then(value).otherwise(nothing),
    )


def opening_tab(opening_balances: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What was carried over, as the sheet says; the opening figures of goods rest on it."""
    grid = Grid("opening balances")
    grid.head(
        "Opening balances",
        "One row is something that the last books closed with, as the sheet opening_balances says. Part-made and "
        f"finished goods open with it; what is there more or less is a stock difference. {INPUTS}",
    )
    head = heads(OpeningBalances, settings, typed=("materials", "value"))
    head = changed(head, "quantity", kind="quantity")
    frame = with_owed(exact(OpeningBalances, opening_balances, settings)).with_columns(
        number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64)
    )
    return table_tab(grid, [NUMBER, *head, *balance_heads(settings)], frame, settings, frozen=3, typed=True)


def sum_of_numbers(table: Table, column: str, numbers: Iterable[int], key: str = "number") -> str:
    """The formula of a column's sum over the rows with these numbers; it holds when the rows are sorted."""
    cells, keys = table.place.cells(column), table.place.cells(key)
    return "+".join(f"SUMIFS({cells},{keys},{number})" for number in numbers) or "0"
