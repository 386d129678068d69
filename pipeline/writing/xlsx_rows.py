"""The rows of a workbook's sheets, as they stand in its file, written straight from the columns of a tab.

The drawing library would keep each cell as an object until the end, and look at each for all that it could be: for a
plan of thousands of lines that takes several times as long, and all the memory of a usual computer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from decimal import Decimal
from functools import cache, partial
from html import escape
from itertools import chain, groupby
from math import isfinite
from typing import Protocol

import polars as pl

from pipeline.alike import once_each
from pipeline.writing.book.cells import ROW, Block, Cells, Look, Shown, Tab
from pipeline.writing.book.grid import letter
from pipeline.writing.formats import Formats

DAY_NOUGHT = date(1899, 12, 30)
"""The day that spreadsheets number 0."""

LONGEST_TEXT = 32_767
"""Characters that a cell can hold; the CSV has all of a longer text."""

ROWS_AT_ONCE = 4_096
"""So many rows are put together at once: all cells of a long table side by side would fill the memory."""

MANY = 256
"""From so many rows on, it is quicker to have columns written by polars than cell by cell."""

OWN_ROW = "<>"
"""What stands for the number of a row until all of it is written; nothing else in a cell can be this."""

NUMBER_OF_TEXT = ' t="s">'
"""What a cell says that holds the number of a text; nothing else in a cell can be this, either."""

USUAL_HEIGHT = 20
"""Pixels of a row of which nothing is said."""

Piece = str | pl.Series
"""A piece of each row of a table: the same words in all of them, or to each its own."""


class Texts(Protocol):
    """The texts of a workbook, each once; ``count`` is how many cells hold one."""

    count: int

    def number(self, text: str) -> int:
        """The number of a text, its own or a new one."""


class Rows:
    """The rows of a tab, some at a time: as one text, or to each its own."""

    def __init__(self, tab: Tab, formats: Formats, texts: Texts) -> None:
        self._tab, self._texts = tab, texts
        self._cell_opened = cache(partial(_cell_opened, formats))

    def __iter__(self) -> Iterator[str | pl.Series]:
        for block in self._tab.blocks:
            if block.height < MANY:
                yield self._few(block)
            else:
                yield from self._many(block)

    def _few(self, block: Block) -> str:
        """The rows of a block, cell by cell."""
        columns = [self._each(cells, place) for place, cells in block.columns.items()]
        written = "".join(
            f"{self._opened(row)}{''.join(cells)}</row>".replace(OWN_ROW, str(row + 1))
            for row, cells in enumerate(zip(*columns, strict=True), block.first)
        )
        self._texts.count += written.count(NUMBER_OF_TEXT)
        return written

    def _each(self, cells: Cells, place: int) -> list[str]:
        """The cells of a column."""
        opened, formulas = self._cell_opened(cells.look, place), cells.formulas
        values = cells.values.to_list() if isinstance(cells.values, pl.Series) else cells.values
        if not formulas:
            return [opened + self._plain(value) for value in values]
        if isinstance(formulas, str):
            formula = _formula(formulas)
            return [f"{opened}{_kind(True, value)}{formula}{_live(value)}" for value in values]
        return [
            f"{opened}{_kind(True, value)}{_formula(formula)}{_live(value)}" if formula else opened + self._plain(value)
            for value, formula in zip(values, formulas, strict=True)
        ]

    def _many(self, block: Block) -> Iterator[pl.Series]:
        """The rows of a block, column by column."""
        ends = self._ends_by_text(block)
        numbers = pl.int_range(block.first + 1, block.first + block.height + 1, eager=True).cast(pl.String)
        columns = [self._column(cells, place, numbers, ends) for place, cells in block.columns.items()]
        pieces = list(_numbered([*self._all_opened(block), *chain.from_iterable(columns), "</row>"], numbers))
        for start in range(0, block.height, ROWS_AT_ONCE):
            part = [piece if isinstance(piece, str) else piece[start : start + ROWS_AT_ONCE] for piece in pieces]
            yield pl.select(pl.concat_str(map(pl.lit, part))).to_series()

    def _ends_by_text(self, block: Block) -> pl.DataFrame:
        """The plain texts of a block, each with what ends its cells. They have their numbers in the order of the rows
        that are put together at once, and by column in these."""
        columns = [pl.Series("text", cells.values) for cells in block.columns.values() if not cells.formulas]
        firsts = [
            column.to_frame().with_row_index("row").unique("text", keep="first", maintain_order=True)
            for column in columns
            if column.dtype == pl.String
        ]
        if not firsts:
            return pl.DataFrame(schema={"text": pl.String, "end": pl.String})
        in_order = pl.concat(firsts).sort(pl.col("row") // ROWS_AT_ONCE, maintain_order=True)
        texts = in_order["text"].unique(maintain_order=True)
        return pl.DataFrame([texts, pl.Series("end", map(self._plain, texts.to_list()))])

    def _column(self, cells: Cells, place: int, numbers: pl.Series, ends: pl.DataFrame) -> list[Piece]:
        """The cells of a column: what is alike in them is written once."""
        values = pl.Series("value", cells.values)
        rest = self._formulas(values, cells.formulas, numbers) if cells.formulas else self._values(values, ends)
        return [self._cell_opened(cells.look, place), *rest]

    def _values(self, values: pl.Series, ends: pl.DataFrame) -> list[Piece]:
        """What ends cells without formulas."""
        if values.dtype == pl.String:
            self._texts.count += values.count()
            texts = values.to_frame("text")
            return [texts.join(ends, on="text", how="left", nulls_equal=True, maintain_order="left")["end"]]
        if values.dtype.is_integer() and not values.has_nulls():
            return ["><v>", values.cast(pl.String), "</v></c>"]
        return [once_each(values.to_frame(), self._plain, pl.String)]

    def _formulas(self, values: pl.Series, formulas: str | Sequence[str], numbers: pl.Series) -> list[Piece]:
        """What ends cells of which all, or some, have formulas."""
        formula: Piece
        if isinstance(formulas, str):
            rows, known, formula = values.to_frame(), [True], _formula(formulas)
        else:
            each = pl.Series("formula", formulas)
            rows, known = pl.DataFrame([(each != "").alias("live"), values]), []
            made = pl.lit(once_each(each.to_frame(), _formula, pl.String))
            formula = pl.select(made.str.replace_all(OWN_ROW, pl.lit(numbers), literal=True)).to_series()
        end = once_each(rows, partial(self._end, *known), pl.String)
        if values.dtype != pl.String:
            return [formula, end]
        self._texts.count += int(end.str.starts_with(NUMBER_OF_TEXT).sum())
        return [once_each(rows, partial(_kind, *known), pl.String), formula, end]

    def _opened(self, row: int) -> str:
        return f'<row r="{OWN_ROW}"{_height(self._tab.heights.get(row))}>'

    def _all_opened(self, block: Block) -> list[Piece]:
        """What opens the rows of a block."""
        rows, heights = range(block.first, block.first + block.height), self._tab.heights
        if heights.keys().isdisjoint(rows):
            return [f'<row r="{OWN_ROW}"{_height(None)}>']
        return [f'<row r="{OWN_ROW}"', pl.Series([_height(heights.get(row)) for row in rows]), ">"]

    def _end(self, live: bool, value: Shown | None) -> str:
        """What ends a cell, after its formula if it has one and is ``live``."""
        return _live(value) if live else self._plain(value)

    def _plain(self, value: Shown | None) -> str:
        if isinstance(value, str):
            return f"{NUMBER_OF_TEXT}<v>{self._texts.number(value)}</v></c>"
        if value is None:
            return "/>"
        exact = number(value)
        return f"><v>{exact}</v></c>" if isinstance(exact, int) else f"><v>{exact:.16G}</v></c>"


def _cell_opened(formats: Formats, look: Look, place: int) -> str:
    return f'<c r="{letter(place)}{OWN_ROW}" s="{formats.of(look)._get_xf_index()}"'


def _numbered(pieces: Iterable[Piece], numbers: pl.Series) -> Iterator[Piece]:
    """The pieces of rows with the number of each in all its places."""
    for are_words, some in groupby(pieces, lambda piece: isinstance(piece, str)):
        if not are_words:
            yield from some
            continue
        words, *more = "".join(map(str, some)).split(OWN_ROW)
        yield words
        for words in more:
            yield from (numbers, words)


def _kind(live: bool, value: Shown | None) -> str:
    """What a cell says of its formula's value before the formula."""
    return ' t="str"' if live and value and isinstance(value, str) else ""


def _formula(formula: str) -> str:
    return f"><f>{escape(formula, quote=False).replace(ROW, OWN_ROW)}</f><v>" if formula else ""


def _live(value: Shown | None) -> str:
    """A formula's value: numbers in full, unlike plain ones."""
    if isinstance(value, str):
        return f"{escape(fitting(value), quote=False)}</v></c>"
    return "</v></c>" if value is None else f"{number(value)}</v></c>"


def number(value: float | Decimal | date) -> int | float:
    """A number as a spreadsheet keeps it: dates are days since day 0, money is a binary number, nought has no sign.

    Raises ``ValueError`` if it is infinite or no number.
    """
    if isinstance(value, date):
        return (value - DAY_NOUGHT).days
    number = float(value) if isinstance(value, Decimal) else value
    if not isfinite(number):
        raise ValueError(f"no cell can hold the number {number}")
    return number + 0


def fitting(text: str) -> str:
    """As much of a text as a cell holds, which counts characters beyond 16 bits as two."""
    if len(text) <= LONGEST_TEXT // 2:
        return text
    return text.encode("utf-16-le")[: 2 * LONGEST_TEXT].decode("utf-16-le", "ignore")


@cache
def _height(points: float | None) -> str:
    """What a row's tag says of its height, in the steps of a screen; nothing of the usual one."""
    pixels = USUAL_HEIGHT if points is None else int(points * 4 / 3 + 0.5)
    return "" if pixels == USUAL_HEIGHT else f' ht="{pixels * 0.75:.16g}" customHeight="1"'
