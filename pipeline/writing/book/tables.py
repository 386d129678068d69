"""A sheet as a table on a tab: headings in words, formulas with their values, a row of totals."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import ceil, fsum
from typing import Any, Literal

import polars as pl

from pipeline.writing.book.cells import Area, Cell, Kind, Live, Look, Paint, Plain, Print, Shown, Tab, live
from pipeline.writing.book.grid import Grid, Place, letter, shown_width
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

FILLED = 0.9
"""The part of a line that words surely fit in, as letters differ in width."""

FILTER_MARK = 3.0
"""Room in a heading for the mark of the filter."""

MOST_LINES = 25
"""Lines of the tallest row: no spreadsheet has rows much higher."""

LINE_HEIGHT = 14.0
"""Points of a line of a heading."""

NOTHING = "nothing to show"
"""What stands in place of an empty table."""

BY_ROW = "by row"
"""In place of a formula: each row has its own, in the frame's column ``formula_of`` names; none is a plain value."""

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
    values = [frame[column.name].to_list() for column in head]
    looks = [_look(column, cells) for column, cells in zip(head, values, strict=True)]
    drawn = [
        _column(column, look, cells, _formulas(column, frame, letters), first + 1)
        for column, look, cells in zip(head, looks, values, strict=True)
    ]
    wrapped = [at for at, look in enumerate(looks) if look.kind == "wrap"]
    for row in zip(*drawn, strict=True):
        if wrapped:
            grid.heights[grid.next_row] = LINE_HEIGHT * min(_lines(row, head, wrapped), MOST_LINES) + 2
        grid.rows.append(list(row))
    if not frame.height:
        grid.add(Plain(NOTHING, Look("text", "note")))
    last = grid.next_row - 1
    place = Place(grid.name, letters, first + 1, last + 1)
    sums = _totals(grid, head, place, values) if frame.height else {}
    below = {at: sums[column.name] for at, column in enumerate(head) if column.name in sums}
    _widths(grid, head, looks, values, below, settings)
    lines = (len(textwrap.wrap(column.heading, int(grid.widths[at] - 1))) for at, column in enumerate(head))
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
    numbers = orders.select("order", "form", "glaze").with_row_index("line", offset=1)
    keys = ["order", "form", "glaze"]
    joined = frame.join(numbers, on=keys, how="left", nulls_equal=True, validate="m:1", maintain_order="left")
    return joined.select(pl.col("line").cast(pl.Int64), pl.exclude("line"))


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


def _longest(cells: Sequence[object]) -> int:
    return max((len(cell) for cell in cells if isinstance(cell, str)), default=0)


def _look(column: Head, cells: Sequence[object]) -> Look:
    if column.kind == "text" and _longest(cells) > column.widest * FILLED:
        return Look("wrap")
    return Look(column.kind, "input" if column.typed else "body")


def _formulas(column: Head, frame: pl.DataFrame, letters: Mapping[str, str]) -> Sequence[str] | None:
    """The formula of each row with ``{row}`` and ``{above}`` for its number and the one before; None without any."""
    if not column.formula:
        return None
    cells = {name: f"{at}{{row}}" for name, at in letters.items()}
    cells |= {f"{name}_above": f"{at}{{above}}" for name, at in letters.items()}
    if column.formula != BY_ROW:
        return [column.formula.format_map(cells)] * frame.height
    own = frame[formula_of(column.name)].fill_null("")
    made = {formula: formula.format_map(cells) for formula in own.unique()}
    return [made[formula] for formula in own]


def _column(
    column: Head, look: Look, cells: Sequence[Any], formulas: Sequence[str] | None, first: int
) -> list[Plain | Live]:
    """The cells of a column from a row on, numbered as a spreadsheet does."""
    if formulas is None:
        return [Plain(value, look) for value in cells]
    return [
        live(formula.replace("{row}", str(row)).replace("{above}", str(row - 1)), value, look)
        if formula
        else Plain(value, look)
        for row, (formula, value) in enumerate(zip(formulas, cells, strict=True), first)
    ]


def _lines(row: Sequence[Plain | Live], head: Sequence[Head], wrapped: Sequence[int]) -> int:
    """Lines of the tallest of the cells that run over several. Not every spreadsheet finds that out itself."""
    return max(max(1, len(textwrap.wrap(str(row[at].value or ""), int(head[at].widest * FILLED)))) for at in wrapped)


def _headings(grid: Grid, head: Sequence[Head]) -> int:
    row = grid.add(*(Plain(column.heading, Look(column.kind, "heading")) for column in head))
    for at, column in enumerate(head):
        if column.note:
            grid.notes[row, at] = column.note
        grid.widen(at, max(*map(len, column.heading.split()), ceil(len(column.heading) / 3)) + FILTER_MARK)
    return row


def _widths(
    grid: Grid,
    head: Sequence[Head],
    looks: Sequence[Look],
    values: Sequence[Sequence[Any]],
    totals: Mapping[int, Shown],
    settings: Settings,
) -> None:
    for at, (look, cells) in enumerate(zip(looks, values, strict=True)):
        if look.kind == "wrap":
            grid.widen(at, head[at].widest)
        else:
            known = {cell for cell in cells if cell is not None} | ({totals[at]} if at in totals else set())
            grid.widen(at, max((shown_width(cell, look, settings.minor_digits) for cell in known), default=0))


def _totals(grid: Grid, head: Sequence[Head], place: Place, values: Sequence[Sequence[Any]]) -> dict[str, Shown]:
    found: dict[str, Shown] = {}
    row: list[Cell | None] = []
    for column, cells in zip(head, values, strict=True):
        at = place.letters[column.name]
        if column.total:
            found[column.name] = add_up(cells) if column.total == "SUM" else max(cells)
            formula = f"{column.total}({at}{place.first}:{at}{place.last})"
            row.append(live(formula, found[column.name], Look(column.kind, "total")))
        else:
            row.append(Plain(None, Look("text", "total")))
    if found:
        row[0] = Plain("total" if any(column.total == "SUM" for column in head) else "most", Look("text", "total"))
        grid.rows.append(row)
    return found


def add_up(cells: Iterable[Any]) -> Shown:
    """The sum of numbers, blanks left out: exact for money and whole numbers, rounded once for others."""
    known = [cell for cell in cells if cell is not None]
    if any(isinstance(cell, float) for cell in known):
        return round(fsum(known), 9)
    return sum(known, Decimal(0)) if known and isinstance(known[0], Decimal) else sum(known)
