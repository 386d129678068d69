"""The tab of amounts that are shared over rows of another tab, so that the rounded shares add up to them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import islice
from math import fsum

import polars as pl

from pipeline.money import amount
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import BY_ROW, Head, Table, add_table, formula_of
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings

FINER = 8
"""Decimal places of a coin to which a share is worked out before it is rounded."""

PLACES = 10
"""Decimal places to which weights are added up."""

ROWS = 1_000_000
"""More than a spreadsheet has rows to share over: of equal remainders the upper one is the larger by its row."""

TOTAL, WEIGHT, CUT_OFF = "D", "E", "H"
"""The columns of an amount, of what it is spread over, and of the least remainder that gets a coin."""


LEAST = f'IF({{cut_off}}="","",INT({{cut_off}}/{ROWS})/1E{FINER})'
"""The formula of the part of a coin in such a number."""


@dataclass(frozen=True)
class Amount:
    """An amount to share out: in words, the number by which its rows find it, a formula for it and its value."""

    what: str
    of: str
    number: int
    formula: str
    value: Decimal | None


@dataclass(frozen=True)
class Spread:
    """A tab's table over which amounts are shared: its columns of numbers, weights and unrounded shares, by name."""

    table: Table
    frame: pl.DataFrame
    number: str
    weight: str
    unrounded: str


class Shares:
    """Amounts of which the cells are known before the tab is made: rows that share them name these cells."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._grid = Grid("shares")
        self._grid.head(
            "Amounts that are shared out",
            "One row is an amount that several rows of another tab share by weight or room: a lot's money by those who "
            "take of it, a firing by the lines in the load, carriage by the clays that it brings. Each share is "
            "rounded down to the smallest coin; the coins left over go, one each, to the rows with the largest "
            "remainders, of equal ones to the upper. So the shares add up to the amount.",
        )
        self._first = self._grid.next_row + 2
        self._amounts: list[Amount] = []
        self._kinds: list[int] = []

    def add(self, amounts: Sequence[Amount]) -> dict[int, int]:
        """Put amounts of one kind below those that there are; gives the row of each by its number."""
        at = self._first + len(self._amounts)
        self._amounts += amounts
        self._kinds.append(len(amounts))
        return {each.number: at + place for place, each in enumerate(amounts)}

    def unrounded(self, row: int, weight: str) -> str:
        """The formula of a share that is not rounded yet, of the amount in a row."""
        total, spread = self._cell(TOTAL, row), self._cell(WEIGHT, row)
        return f'IF({total}="","",ROUND({total}*{weight}/{spread},{self._settings.minor_digits + FINER}))'

    def rounded(self, row: int, unrounded: str) -> str:
        """The formula of the share itself."""
        digits = self._settings.minor_digits
        coin = f"{Decimal(1).scaleb(-digits):f}"
        gets = f"IF({_key(unrounded, digits)}>={self._cell(CUT_OFF, row)},{coin},0)"
        return f'IF({unrounded}="","",ROUND(ROUNDDOWN({unrounded},{digits})+{gets},{digits}))'

    def tab(self, spreads: Sequence[Spread]) -> Tab:
        """The finished tab; ``spreads`` are where each kind of amounts is shared, in the order in which they came."""
        rows: list[tuple[object, ...]] = []
        amounts = iter(self._amounts)
        for count, spread in zip(self._kinds, spreads, strict=True):
            shared = _shared(spread, self._settings.minor_digits)
            for each in islice(amounts, count):
                row = self._first + len(rows)
                rows.append(_row(each, row, spread, *shared[each.number], self._settings.minor_digits))
        names = ("what", "of", "number", "total", "weight", "left", "cut_off")
        frame = pl.DataFrame(
            rows,
            schema=[
                *((name, pl.String) for name in names[:2]),
                ("number", pl.Int64),
                ("total", pl.Decimal(38, MONEY_DIGITS)),
                *((name, pl.Float64) for name in names[4:]),
                *((formula_of(name), pl.String) for name in names[3:]),
            ],
            orient="row",
        )
        money = f" {self._settings.currency}".rstrip()
        head = [
            Head("what", "what", "text", "The amount."),
            Head("of", "of", "text", "The material and lot, the kiln load, or the supplier."),
            Head("number", "no.", "plain", "The number by which the rows that share it find it."),
            Head("total", f"amount{money}", "amount", "What is shared out.", BY_ROW),
            Head("weight", "spread over", "quantity", "The weight or room of all rows that share it.", BY_ROW),
            Head("left", "coins left over", "whole", "Coins that the rounded-down shares leave.", BY_ROW),
            Head(
                "least", "least part of a coin to get one", "quantity", "The least remainder that gets a coin.", LEAST
            ),
            Head("cut_off", "the same and its row", "plain", "As one number, so that no two are equal.", BY_ROW),
        ]
        least = [None if cut_off is None else cut_off // ROWS / 10**FINER for cut_off in frame["cut_off"]]
        frame = frame.with_columns(pl.Series("least", least, dtype=pl.Float64))
        table = add_table(self._grid, head, frame, self._settings)
        # Not to be sorted or filtered: formulas name these cells one by one.
        return self._grid.tab(freeze=(table.area.first_row + 1, 3))

    def _cell(self, column: str, row: int) -> str:
        return f"'{self._grid.name}'!${column}${row}"


def unrounded_share(total: Decimal | None, weight: float, spread: float, digits: int) -> float | None:
    """The value of ``Shares.unrounded``."""
    if total is None:
        return None
    # Whole numbers over whole numbers: of fractions each would first be cut, which takes most of the time.
    top, bottom = total.as_integer_ratio()
    weighs, unit = Decimal(str(weight)).as_integer_ratio()
    all_weigh, of_all = Decimal(str(spread)).as_integer_ratio()
    return float(amount(Fraction(top * weighs * of_all, bottom * unit * all_weigh), digits + FINER))


def _key(unrounded: str, digits: int) -> str:
    """The remainder of a share as a whole number, and its row, so that no two are equal."""
    rest = f"{unrounded}-ROUNDDOWN({unrounded},{digits})"
    return f"ROUND(({rest})*1E{digits + FINER},0)*{ROWS}+{ROWS}-ROW({unrounded})"


def _shared(spread: Spread, digits: int) -> dict[int, tuple[float, list[int]]]:
    """By number what an amount is spread over, and the remainders of its shares, as ``_key`` has them."""
    weights: dict[int, list[float]] = defaultdict(list)
    keys: dict[int, list[int]] = defaultdict(list)
    scale = 10 ** (digits + FINER)
    columns = (spread.number, spread.weight, spread.unrounded)
    for row, (number, weight, share) in enumerate(spread.frame.select(columns).iter_rows(), spread.table.place.first):
        if number is not None:
            weights[number].append(weight)
            rest = 0 if share is None else round(share * scale) % 10**FINER
            keys[number].append(rest * ROWS + ROWS - row)
    return {number: (round(fsum(own), PLACES), keys[number]) for number, own in weights.items()}


def _row(each: Amount, row: int, spread: Spread, weight: float, keys: Sequence[int], digits: int) -> tuple[object, ...]:
    """An amount's cells, and the formulas of those from ``total`` on."""
    place = spread.table.place
    number, weights, shares = (place.cells(name) for name in (spread.number, spread.weight, spread.unrounded))
    own = f"({number}=$C${row})"
    left_over = round(sum(key // ROWS for key in keys) / 10**FINER) if each.value is not None else 0
    cut_off = sorted(keys, reverse=True)[left_over - 1] if left_over else None
    down = f"SUMPRODUCT({own}*ROUNDDOWN({shares},{digits}))"
    return (
        each.what,
        each.of,
        each.number,
        each.value,
        weight,
        float(left_over),
        None if cut_off is None else float(cut_off),
        each.formula,
        f"ROUND(SUMIFS({weights},{number},$C${row}),{PLACES})",
        f'IF($D${row}="",0,ROUND(($D${row}-{down})*1E{digits},0))',
        f'IF($F${row}=0,"",SUMPRODUCT(LARGE({own}*({_key(shares, digits)}),$F${row})))',
    )
