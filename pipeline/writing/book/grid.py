"""A tab while it is being filled, and where a table stands on it."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from pipeline.writing.book.cells import Area, Block, Cell, Cells, Chart, Look, Paint, Plain, Print, Tab, cells_of

TITLE = Look("text", "title")
NOTE = Look("text", "note")

NOTE_WIDTH = 110
"""Characters in a line of explanation, so that it stays on the printed page."""

NARROW_NOTE_WIDTH = 72
"""The same beside columns that are on every page."""


@cache
def letter(column: int) -> str:
    """The letters of a column that counts from 0: A, B … Z, AA …"""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


@dataclass(frozen=True)
class Place:
    """Where a table stands: its tab, its columns' letters, and its rows as a spreadsheet numbers them.

    An empty table has one row, which holds no number, so formulas that read it find nought.
    """

    tab: str
    letters: Mapping[str, str]
    first: int
    last: int

    def cells(self, column: str) -> str:
        """All cells of a column, for a formula on any tab."""
        at = self.letters[column]
        return f"'{self.tab}'!${at}${self.first}:${at}${self.last}"

    def heading(self, column: str) -> str:
        """The cell of a column's heading."""
        return f"'{self.tab}'!${self.letters[column]}${self.first - 1}"

    def look_up(self, column: str, key: str, value: str) -> str:
        """A column's cell in the first row whose ``key`` is ``value``, for a formula: it holds when rows are sorted."""
        return f"INDEX({self.cells(column)},MATCH({value},{self.cells(key)},0))"


@dataclass
class Grid:
    """A tab in the making. ``next_row`` is the first below all that is there, counting from 0."""

    name: str
    blocks: list[Block] = field(default_factory=list)
    next_row: int = 0
    widths: list[float] = field(default_factory=list)
    heights: dict[int, float] = field(default_factory=dict)
    notes: dict[tuple[int, int], str] = field(default_factory=dict)

    def add(self, *cells: Cell | None) -> int:
        """Put a row below all that is there, and tell which it is."""
        return self.stack(1, {place: cells_of(cell) for place, cell in enumerate(cells) if cell is not None})

    def stack(self, height: int, columns: Mapping[int, Cells]) -> int:
        """Put so many rows below all that is there, their columns in the order of their places; tell the first."""
        first = self.next_row
        if height and columns:
            self.blocks.append(Block(first, height, columns))
        self.next_row += height
        return first

    def head(self, title: str, *notes: str) -> None:
        """The tab's title, lines that say what one row is and how it is reckoned, and a blank row."""
        self.add(Plain(title, TITLE))
        for note in notes:
            for line in textwrap.wrap(note, NOTE_WIDTH, break_on_hyphens=False):
                self.add(Plain(line, NOTE))
        self.add()

    def head_beside(self, title: str, row_is: str, column: int, *notes: str) -> None:
        """The same for a tab that prints on several pages across: its columns up to ``column`` are on each page, and
        would cut the notes off on all but the first, so they stand to their right."""
        self.add(Plain(title, TITLE))
        before: list[Cell | None] = [Plain(row_is, NOTE), *[None] * (column - 1)]
        for note in notes:
            for line in textwrap.wrap(note, NARROW_NOTE_WIDTH, break_on_hyphens=False):
                self.add(*before, Plain(line, NOTE))
                before = [None] * column
        self.add()

    def widen(self, column: int, width: float) -> None:
        """Make a column at least so many characters wide."""
        self.widths += [0.0] * (column + 1 - len(self.widths))
        self.widths[column] = max(self.widths[column], width)

    def tab(
        self,
        *,
        freeze: tuple[int, int] = (0, 0),
        filtered: Area | None = None,
        paints: Sequence[Paint] = (),
        charts: Sequence[Chart] = (),
        printed: Print | None = None,
        typed: bool = False,
    ) -> Tab:
        """The finished tab. Unless told otherwise it prints one page wide, the frozen rows on every page."""
        heading = freeze[0] - 1
        return Tab(
            name=self.name,
            blocks=tuple(self.blocks),
            widths=tuple(self.widths),
            heights=self.heights,
            notes=self.notes,
            freeze=freeze,
            filter=filtered,
            paints=tuple(paints),
            charts=tuple(charts),
            print=printed or Print(repeat_rows=(heading, heading) if heading > 0 else None),
            typed=typed,
        )
