"""The cells of a sheet before any of them has a meaning: by row and column, as they stand in the spreadsheet."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import polars as pl
from polars.exceptions import PolarsError


class Counted(str):
    """The text of a workbook's cell that holds a number, not letters like one: its point stands before decimals."""


Rows = list[list[str]]
"""Cells by row: the place in the list is the spreadsheet's row number less one. A blank line is an empty list."""

WIDEST = 200
"""Columns of the widest sheet that is read quickly."""

SHORT = 20_000
"""Letters of a sheet that Python has gone through before polars has begun."""

FIRST = 10
"""Rows at the top by which it is told how many columns there are."""

OPEN_POINT = re.compile(r"^[+-]?[1-9][0-9]{0,2}\.[0-9]{3}(?=%?$)")
"""A plain number whose point may also stand between thousands."""

LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
"""A line with what ends it."""

SEPARATORS = "\x1c\x1d\x1e\x1f"
"""Characters that are spaces to Python and not to polars."""


@dataclass(frozen=True)
class Table:
    """The cells of a sheet. ``frame`` holds them where that is quicker, null where a row has none; else ``rows`` do."""

    rows: Rows
    frame: pl.DataFrame | None = None

    def __len__(self) -> int:
        return len(self.rows) if self.frame is None else self.frame.height

    def first(self, count: int) -> Rows:
        """The first rows, as many as there are."""
        if self.frame is None:
            return self.rows[:count]
        return [[cell or "" for cell in row] for row in self.frame.head(count).iter_rows()]

    def row(self, place: int) -> list[str]:
        """One row."""
        return self.rows[place] if self.frame is None else [cell or "" for cell in self.frame.row(place)]

    def columns(self, places: Sequence[int], start: int, numbers: Collection[int] = ()) -> pl.DataFrame:
        """The columns at ``places`` from the row at ``start`` on, each named by its place: text without the spaces
        around it, null where there is none.

        In those of ``numbers`` a number of a workbook has a nought more behind its point where text that looks like it
        could be meant as thousands: ``1.2340`` is no number of thousands.
        """
        if self.frame is None:
            rows = self.rows[start:]
            cells = {
                str(place): [row[place].strip() or None if place < len(row) else None for row in rows]
                for place in places
            }
            for place in numbers:
                for at, row in enumerate(rows):
                    if place < len(row) and isinstance(row[place], Counted):
                        cells[str(place)][at] = OPEN_POINT.sub(r"\g<0>0", row[place])
            return pl.DataFrame([pl.Series(name, column, dtype=pl.String) for name, column in cells.items()])
        text = [self.frame.columns[place] if place < self.frame.width else None for place in places]
        stripped = (pl.lit(None, pl.String) if name is None else pl.col(name).str.strip_chars() for name in text)
        return self.frame[start:].select(
            pl.when(cell != "").then(cell).alias(str(place)) for place, cell in zip(places, stripped, strict=True)
        )

    def filled_outside(self, places: Sequence[int], start: int) -> Iterator[tuple[int, int, str]]:
        """The first cell of each row that is filled and stands in none of the columns: its row, column and text."""
        if self.frame is not None:
            below = self.frame[start:]
            beside = [column for place, column in enumerate(below) if place not in places]
            if all(column.null_count() == len(below) for column in beside):
                return
        inside = set(places)
        width = len(places) if max(places) + 1 == len(places) else 0
        for at in range(start, len(self)):
            row = self.row(at)
            if len(row) <= width:
                continue
            for place, cell in enumerate(row):
                if place not in inside and (text := cell.strip()):
                    yield at, place, text
                    break


def table_of(text: str, delimiter: str) -> Table:
    """The cells of a CSV. Raises csv.Error where it cannot be read."""
    frame = _quickly(text, delimiter)
    return Table([], frame) if frame is not None else Table(list(cells(text, delimiter)))


def cells(text: str, delimiter: str) -> Iterator[list[str]]:
    """The rows of a CSV, one after the other; a line may end in any of the three ways."""
    return csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)


def first_cells(text: str, delimiter: str) -> Iterator[list[str]]:
    """The same, line by line, for whoever wants only the first of many."""
    return csv.reader((line[0] for line in LINE.finditer(text)), delimiter=delimiter, strict=True)


def _quickly(text: str, delimiter: str) -> pl.DataFrame | None:
    """The cells of a long CSV in which there is nothing to think about, many times faster; None of any other.

    There are no quotation marks, lines end in one way, no row is longer than the longest of the first, and
    no cell is huge.
    """
    if len(text) < SHORT or '"' in text or any(sign in text for sign in SEPARATORS):
        return None
    if "\r" in text:
        text = text.replace("\r\n", "\n")
        if "\r" in text:
            return None
    ended = text.removesuffix("\n")
    width = max(line.count(delimiter) for line in ended.split("\n", FIRST)[:FIRST]) + 1
    if width > WIDEST:
        return None
    schema = {str(place): pl.String for place in range(width)}
    try:
        frame = pl.read_csv(
            io.BytesIO(ended.encode()), has_header=False, schema=schema, separator=delimiter, quote_char=None
        )
    except PolarsError:  # a row is longer, or all are blank: read with more thought
        return None
    if frame.height != ended.count("\n") + 1:
        return None
    longest = max(frame.select(pl.all().str.len_bytes().max()).row(0), key=lambda length: length or 0)
    return frame if (longest or 0) < csv.field_size_limit() else None
