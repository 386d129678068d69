"""What a workbook is made of, as plain data. Rows and columns count from 0, as the drawing library has them."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal, NamedTuple

import polars as pl

Shown = str | int | float | Decimal | date
"""What a cell shows."""

Kind = Literal[
    "text",
    "wrap",
    "whole",
    "plain",
    "number",
    "quantity",
    "kg",
    "lb",
    "oz",
    "in",
    "hours",
    "pct",
    "day",
    "amount",
    "price",
    "rate",
]
"""What a cell holds: it decides its number format. ``plain`` is a whole number without thousands marks."""

Paper = Literal["A4", "Letter"]
"""The paper that a workbook is set up for."""

Role = Literal["body", "heading", "total", "title", "note", "strong", "figure", "batch", "work", "date_head", "input"]
"""What a cell is for: it decides weight, lines and alignment. An ``input`` is there to be typed over."""


class Look(NamedTuple):
    """A cell's format by meaning. ``mark`` is ``stage 0``, ``stage 1`` …, or the name of another mark, or empty."""

    kind: Kind = "text"
    role: Role = "body"
    mark: str = ""


class Plain(NamedTuple):
    """A cell with a value of its own; None is a blank cell that has a format."""

    value: Shown | None
    look: Look = Look()


class Live(NamedTuple):
    """A cell with a formula and, always, the value that the formula has.

    Readers that do not compute show the value: previews, phones, and spreadsheets that trust the file.
    """

    formula: str
    value: Shown
    look: Look


Cell = Plain | Live


def live(formula: str, value: Shown | None, look: Look) -> Live:
    """A formula with its value, None meaning that it gives ``""``. The one maker of such cells."""
    return Live(f"={formula}", "" if value is None else value, look)


ROW = "{row}"
"""What stands for the number of a cell's own row in the formulas of a column."""


class Cells(NamedTuple):
    """Cells of one look, one below another: their values, and the formula of all of them or one for each, without
    ``=``; an empty one for a plain value.

    A large plan has millions of cells: they are written from here, and never all there as cells of their own.
    """

    values: Sequence[Shown | None] | pl.Series
    look: Look
    formulas: str | Sequence[str] = ""

    def cell(self, at: int, row: int) -> Cell:
        """One of the cells, which stands in the row of this number, as a spreadsheet counts."""
        formula = self.formulas if isinstance(self.formulas, str) else self.formulas[at]
        if formula:
            return live(formula.replace(ROW, str(row)), self.values[at], self.look)
        return Plain(self.values[at], self.look)


def cells_of(cell: Cell) -> Cells:
    """A single cell as a column."""
    return Cells((cell.value,), cell.look, cell.formula.removeprefix("=") if isinstance(cell, Live) else "")


class Block(NamedTuple):
    """Rows of a tab, from ``first`` on: the columns that have cells in them, by their place and in its order."""

    first: int
    height: int
    columns: Mapping[int, Cells]


class Area(NamedTuple):
    """A block of cells, both ends included."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int


class Paint(NamedTuple):
    """A mark on those cells of an area for which a formula, written for its first cell, holds."""

    area: Area
    formula: str
    mark: str


class Series(NamedTuple):
    """A row of a chart: formulas for the cell that names it, for its categories and for its values.

    The name is never the words themselves: the drawing library would take a name that begins with ``=`` for a formula.
    """

    name: str
    categories: str
    values: str
    mark: str


@dataclass(frozen=True)
class Chart:
    """A native chart: ``columns`` stacked or side by side, ``dashes`` over them; ``top`` ends its axis, if given."""

    title: str
    row: int
    column: int
    columns: tuple[Series, ...]
    dashes: tuple[Series, ...]
    axis: str
    stacked: bool = True
    top: float | None = None


@dataclass(frozen=True)
class Print:
    """How a tab is printed: on so many pages across and down; 0 down is as many as it takes.

    ``new_pages`` are rows that begin a page. Spreadsheets pass such rows over when they fit a tab to pages, so then it
    is printed at full size, or as much smaller as its width asks for.
    """

    repeat_rows: tuple[int, int] | None = None
    repeat_columns: tuple[int, int] | None = None
    pages_across: int = 1
    pages_down: int = 0
    new_pages: tuple[int, ...] = ()


@dataclass(frozen=True)
class Tab:
    """A tab: blocks of cells, one below another, widths in characters, and what goes with them.

    ``heights`` are in points, ``notes`` appear when the mouse rests on a cell, ``typed`` says that people typed it.
    """

    name: str
    blocks: tuple[Block, ...]
    widths: tuple[float, ...]
    heights: Mapping[int, float]
    notes: Mapping[tuple[int, int], str]
    freeze: tuple[int, int]
    filter: Area | None
    paints: tuple[Paint, ...]
    charts: tuple[Chart, ...]
    print: Print
    typed: bool = False

    def cell(self, row: int, place: int) -> Cell | None:
        """The cell of a row and a column, if there is one."""
        block = self.blocks[bisect(self.blocks, row, key=lambda block: block.first) - 1]
        at = row - block.first
        column = block.columns.get(place)
        return column.cell(at, row + 1) if column is not None and at < block.height else None

    @property
    def last_cell(self) -> tuple[int, int]:
        """The last row and the last place that have cells."""
        last = self.blocks[-1]
        return last.first + last.height - 1, max(max(block.columns) for block in self.blocks)

    @property
    def rows(self) -> list[list[Cell | None]]:
        """All rows, to be looked at: each as long as the place of its last cell, None where there is no cell."""
        rows: list[list[Cell | None]] = []
        for block in self.blocks:
            rows += [[] for _ in range(len(rows), block.first)]
            places = range(max(block.columns) + 1)
            rows += [[self.cell(block.first + at, place) for place in places] for at in range(block.height)]
        return rows


@dataclass(frozen=True)
class Book:
    """A workbook: its tabs in order, names for some of its cells, its paper, and what money and dates rest on."""

    title: str
    made: date
    minor_digits: int
    paper: Paper
    tabs: tuple[Tab, ...]
    names: Mapping[str, str]
