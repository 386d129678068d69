"""A sheet as a table on a tab: headings in words, formulas with their values, a row of totals."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, fsum
from typing import Any, Literal, cast

import polars as pl

from pipeline.remembered import remembered
from pipeline.writing.book.cells import ROW, Area, Cell, Cells, Kind, Look, Paint, Plain, Print, Shown, Tab, live
from pipeline.writing.book.fit import FILLED, LINE_HEIGHT, extremes, lines_of, row_heights, shown_width
from pipeline.writing.book.grid import Grid, Place, letter
from pipeline.writing.csvs import decimals
from pipeline.writing.shown import shown, shown_columns
from schemas.settings import Settings
from schemas.sheet import Column, Sheet, columns

KIND_BY_UNIT: dict[str, Kind] = {"kg": "kg", "lb": "lb", "oz": "oz", "in": "in", "%": "pct", "h": "hours"}
KIND: dict[str, Kind] = {"whole": "whole", "month": "plain", "day": "day", "amount": "amount", "price": "price"}

WIDEST_TEXT = 44.0
"""Characters of a text column beyond which its cells run over several lines."""

LONG_WORDS = 56.0
"""The same of a column that says in a few words what a row is: most rows then stay one line high."""

FILTER_MARK = 3.0
"""Room in a heading for the mark of the filter."""

NOTHING = "nothing to show"
"""What stands in place of an empty table."""

BY_ROW = "by row"
"""In place of a formula: each row has its own, in the frame's column ``formula_of`` names; none is a plain value."""

ABOVE = "{above}"
"""What stands for the number of the row above in a formula."""

TYPE_HERE = "type here"
"""What the heading of a column of inputs says, for people who see no frames, too."""

INPUTS = (
    f"Cells in a thick frame, below a heading that says `{TYPE_HERE}`, are there to be typed over: all that rests on "
    "them follows."
)
"""What a tab with inputs says of them."""


def formula_of(column: str) -> str:
    """The frame's column that holds the formula of each row."""
    return f"{column}, its formula"


@dataclass(frozen=True)
class Head:
    """A column of a table: its name, heading, kind, note, and what stands in its cells.

    ``formula`` is the formula of every cell, without ``=``, with ``{name}`` for the row's cell of another column and
    ``{name_above}`` for the one above that; empty for a column of plain values, ``BY_ROW`` where rows differ. ``total``
    is what stands below them all. Text that is longer than ``widest`` characters runs over several lines. ``typed`` are
    cells to be typed over.
    """

    name: str
    heading: str
    kind: Kind
    note: str
    formula: str = ""
    total: Literal["", "SUM", "MAX"] = ""
    widest: float = WIDEST_TEXT
    typed: bool = False


def heads(
    model: type[Sheet],
    settings: Settings,
    *,
    formulas: Mapping[str, str] | None = None,
    totals: Iterable[str] = (),
    without: Iterable[str] = (),
    typed: Iterable[str] = (),
) -> list[Head]:
    """The columns of a sheet as columns of a table, in the units that people are shown; ``totals`` are added up, and
    ``typed`` are inputs."""
    summed, left_out, inputs = frozenset(totals), frozenset(without), frozenset(typed)
    return [
        Head(
            column.name,
            heading(read_as, settings.currency) + (f" ({TYPE_HERE})" if column.name in inputs else ""),
            kind_of(read_as),
            _sentence(column.title),
            (formulas or {}).get(column.name, ""),
            "SUM" if column.name in summed else "",
            typed=column.name in inputs,
        )
        for column, read_as in zip(columns(model), shown_columns(model, settings.units), strict=True)
        if column.name not in left_out
    ]


def kind_of(column: Column) -> Kind:
    """The number format of a column."""
    if column.kind == "number":
        return KIND_BY_UNIT.get(column.unit, "number")
    return KIND.get(column.kind, "text")


def heading(column: Column, currency: str) -> str:
    """A column's name in words, its unit or currency with it."""
    words = column.name.replace("_pct", " %").replace("_", " ")
    money = column.kind in ("amount", "price") and currency
    return f"{words} {currency}" if money else words


def exact(model: type[Sheet], frame: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """A sheet with its numbers as the CSV writes them, without the noise of binary fractions, in the units that people
    are shown."""
    numbers = [column for column in columns(model) if column.kind == "number"]
    as_written = frame.with_columns(pl.col(column.name).round(decimals(column)) for column in numbers)
    return shown(model, as_written, settings.units)


@dataclass(frozen=True)
class Table:
    """A table as it stands on a grid, and the sums of its totals."""

    place: Place
    area: Area
    totals: Mapping[str, Shown]
    total_row: int | None
    is_empty: bool

    def total(self, column: str) -> str:
        """The cell of a column's total, for a formula on any tab; that of an empty table is blank."""
        row = self.place.first if self.total_row is None else self.total_row + 1
        return f"'{self.place.tab}'!${self.place.letters[column]}${row}"

    def cell(self, column: str, row: int) -> str:
        """The cell of a column in a row, counted from 0, for a formula on any tab."""
        return f"'{self.place.tab}'!${self.place.letters[column]}${self.place.first + row}"


def add_table(grid: Grid, head: Sequence[Head], frame: pl.DataFrame, settings: Settings) -> Table:
    """Put a table below all that stands on a grid.

    ``frame`` has a column for each of ``head``, formulas included: their values. Raises polars' own error if it has
    not. An empty frame gives the headings and the words "nothing to show".
    """
    letters = {column.name: letter(at) for at, column in enumerate(head)}
    heading_row = _headings(grid, head)
    first = grid.next_row
    values = [frame[column.name] for column in head]
    shown = [extremes(cells) for cells in values]
    looks = [_look(column, cells) for column, cells in zip(head, shown, strict=True)]
    columns = {
        at: Cells(cells, look, _formulas(column, frame, letters, first))
        for at, (column, cells, look) in enumerate(zip(head, values, looks, strict=True))
    }
    wrapped = {column.name: column.widest for column, look in zip(head, looks, strict=True) if look.kind == "wrap"}
    grid.heights |= row_heights(first, frame, wrapped)
    grid.stack(frame.height, columns)
    if not frame.height:
        grid.add(Plain(NOTHING, Look("text", "note")))
    last = grid.next_row - 1
    place = Place(grid.name, letters, first + 1, last + 1)
    sums = _totals(grid, head, place, frame) if frame.height else {}
    for at, (column, look) in enumerate(zip(head, looks, strict=True)):
        grid.widen(at, _width(column, look, {*shown[at], sums.get(column.name)}, settings))
    lines = (lines_of(column.heading, int(grid.widths[at] - 1)) for at, column in enumerate(head))
    grid.heights[heading_row] = LINE_HEIGHT * max(2, *lines) + 2
    area = Area(heading_row, 0, last, len(head) - 1)
    return Table(place, area, sums, grid.next_row - 1 if sums else None, not frame.height)


def table_tab(
    grid: Grid,
    head: Sequence[Head],
    frame: pl.DataFrame,
    settings: Settings,
    *,
    frozen: int = 1,
    paints: Iterable[tuple[str, str]] = (),
    typed: bool = False,
    on_each_page: int = 0,
) -> tuple[Tab, Table]:
    """A tab that is one table: headings and the first ``frozen`` columns stay in sight, every column can be filtered.

    It prints one page wide, or two with so many columns ``on_each_page``.
    ``paints`` are a formula, with ``{name}`` for cells of the first row (column letter fixed), and the mark it gives.
    """
    table = add_table(grid, head, frame, settings)
    place, area = table.place, table.area
    body = Area(place.first - 1, 0, place.last - 1, len(head) - 1)
    fixed = {name: f"${at}{place.first}" for name, at in place.letters.items()}
    before = {f"{name}_above": f"${at}{place.first - 1}" for name, at in place.letters.items()}
    painted = [Paint(body, formula.format_map(fixed | before), mark) for formula, mark in paints if frame.height]
    tab = grid.tab(
        freeze=(area.first_row + 1, frozen),
        filtered=area if frame.height else None,
        paints=painted,
        typed=typed,
        printed=Print((area.first_row, area.first_row), (0, on_each_page - 1), pages_across=2)
        if on_each_page
        else None,
    )
    return tab, table


def with_line(frame: pl.DataFrame, orders: pl.DataFrame) -> pl.DataFrame:
    """A frame of lines with their ``line`` first: their number in the order sheet, counted from 1.

    Formulas look lines up by it: looked up by their words, a blank glaze, a ``*`` or ``007`` would find the wrong ones.
    """
    keys = ["order", "form", "glaze"]
    joined = frame.join(_numbered(orders), on=keys, how="left", nulls_equal=True, validate="m:1", maintain_order="left")
    return joined.select("line", pl.exclude("line"))


@remembered
def _numbered(orders: pl.DataFrame) -> pl.DataFrame:
    return orders.select(pl.int_range(1, pl.len() + 1).alias("line"), "order", "form", "glaze")


LINE = Head("line", "line", "plain", "The line of the order sheet, counted from 1.")
"""The column that ``with_line`` makes."""


def placed(head: Sequence[Head], new: Head, after: str) -> list[Head]:
    """The columns with one more, behind the one named."""
    at = [column.name for column in head].index(after) + 1
    return [*head[:at], new, *head[at:]]


def changed(head: Sequence[Head], name: str, **changes: Any) -> list[Head]:
    """The columns with one of them changed."""
    return [replace(column, **changes) if column.name == name else column for column in head]


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _look(column: Head, shown: Iterable[Any]) -> Look:
    if column.kind == "text" and max((len(text) for text in shown if text), default=0) > column.widest * FILLED:
        return Look("wrap")
    return Look(column.kind, "input" if column.typed else "body")


def _formulas(column: Head, frame: pl.DataFrame, letters: Mapping[str, str], first: int) -> str | Sequence[str]:
    """The formula of all rows from ``first`` on or, where they differ, of each: its own row's number left open."""
    cells = {name: f"{at}{ROW}" for name, at in letters.items()}
    cells |= {f"{name}_above": f"{at}{ABOVE}" for name, at in letters.items()}
    if column.formula == BY_ROW:
        own = [formula or "" for formula in frame[formula_of(column.name)].to_list()]
    elif ABOVE in (formula := column.formula.format_map(cells)):
        own = [column.formula] * frame.height
    else:
        return formula
    made = {formula: formula.format_map(cells) for formula in dict.fromkeys(own)}
    if any(ABOVE in formula for formula in made.values()):
        return [made[formula].replace(ABOVE, str(above)) for above, formula in enumerate(own, first)]
    return [made[formula] for formula in own]


def _headings(grid: Grid, head: Sequence[Head]) -> int:
    row = grid.add(*(Plain(column.heading, Look(column.kind, "heading")) for column in head))
    for at, column in enumerate(head):
        if column.note:
            grid.notes[row, at] = column.note
        grid.widen(at, max(*map(len, column.heading.split()), ceil(len(column.heading) / 3)) + FILTER_MARK)
    return row


def _width(column: Head, look: Look, shown: Iterable[Any], settings: Settings) -> float:
    """Characters that the widest of the cells takes."""
    if look.kind == "wrap":
        return column.widest
    digits = settings.minor_digits
    return max(shown_width(cell, look, digits) for cell in shown)


def _totals(grid: Grid, head: Sequence[Head], place: Place, frame: pl.DataFrame) -> dict[str, Shown]:
    found: dict[str, Shown] = {}
    row: list[Cell | None] = []
    for column in head:
        at = place.letters[column.name]
        if column.total:
            found[column.name] = _total(column, frame[column.name])
            formula = f"{column.total}({at}{place.first}:{at}{place.last})"
            row.append(live(formula, found[column.name], Look(column.kind, "total")))
        else:
            row.append(Plain(None, Look("text", "total")))
    if found:
        row[0] = Plain("total" if any(column.total == "SUM" for column in head) else "most", Look("text", "total"))
        grid.add(*row)
    return found


def _total(column: Head, cells: pl.Series) -> Shown:
    """The sum or the most of numbers, blanks left out: exact for money and whole numbers, rounded once for others."""
    known = cells.drop_nulls() if cells.has_nulls() else cells
    if known.is_empty():
        return 0
    if column.total == "SUM" and known.dtype == pl.Float64:
        return round(fsum(known), 9)
    return cast(Shown, known.sum() if column.total == "SUM" else known.max())
