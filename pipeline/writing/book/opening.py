"""The tab of what the last books closed with, which the user's sheet says, to be typed over."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import INPUTS, Head, Table, changed, exact, heads, table_tab
from schemas.accounts import DEPOSITS, FINISHED, PART_MADE
from schemas.settings import Settings
from schemas.sheets_in.opening_balances import OpeningBalances

NUMBER = Head("number", "no.", "plain", "The number by which the rows of other tabs find the row.")
ALIKE = Head(
    "alike", "alike no.", "plain", "Rows of the same material, form and stage, or deposits of an order, have the same."
)

FEW = 4
"""Fewer numbers than these are looked for one by one, which people read more easily."""

LONG_RUN = 30
"""So many numbers one after another are told shorter by the first and the last."""


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
        number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64),
        alike=pl.Series(alike_numbers(opening_balances), dtype=pl.Int64),
    )
    return table_tab(grid, [NUMBER, *head, *balance_heads(settings), ALIKE], frame, settings, frozen=3, typed=True)


def alike_numbers(opening_balances: pl.DataFrame) -> list[int]:
    """The number that each row shares with all that are of the same: a material; part-made pieces of a form and stage,
    those of unknown value apart; finished ones of a form and lot; deposits of an order."""
    seen: dict[tuple[object, ...], int] = {}
    found = []
    names = ("what", "item", "order", "stage", "lot", "value")
    for what, item, order, stage, lot, value in opening_balances.select(names).iter_rows():
        key: tuple[object, ...] = {
            PART_MADE: (what, item, stage, value is None),
            FINISHED: (what, item, lot),
            DEPOSITS: (what, order),
        }.get(what, (item,))
        found.append(seen.setdefault(key, len(seen) + 1))
    return found


def sum_alike(table: Table, column: str, groups: Sequence[int], numbers: Iterable[int]) -> str:
    """The formula of a column's sum over the rows of these numbers, which are all that are alike; ``groups`` as
    ``alike_numbers`` gives them."""
    return sum_of_numbers(table, column, {groups[number - 1] for number in numbers}, "alike")


def sum_of_numbers(table: Table, column: str, numbers: Iterable[int], key: str = "number") -> str:
    """The formula of a column's sum over the rows with these numbers; it holds when the rows are sorted.

    Short for hundreds of numbers, too: some spreadsheets call a file damaged where a formula has over 8,192 letters.
    """
    cells, keys = table.place.cells(column), table.place.cells(key)
    runs, alone = _runs(sorted(numbers))
    parts = [f'SUMIFS({cells},{keys},">={first}",{keys},"<={last}")' for first, last in runs]
    if len(alone) < FEW:
        parts += [f"SUMIFS({cells},{keys},{number})" for number in alone]
    else:
        parts.append(f"SUMPRODUCT(SUMIFS({cells},{keys},{{{{{','.join(map(str, alone))}}}}}))")
    return "+".join(parts) or "0"


def _runs(numbers: Iterable[int]) -> tuple[list[tuple[int, int]], list[int]]:
    """The first and last of each long run of numbers that follow upon each other, and the other numbers."""
    runs: list[tuple[int, int]] = []
    alone: list[int] = []
    # Numbers of a run are all as far from their place among the numbers.
    for _, group in groupby(enumerate(numbers), key=lambda placed: placed[1] - placed[0]):
        run = [number for _, number in group]
        if len(run) < LONG_RUN:
            alone += run
        else:
            runs.append((run[0], run[-1]))
    return runs, alone
