"""The cells of a sheet before any of them has a meaning: by row and column, as they stand in the spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import polars as pl

Rows = list[list[str]]
"""Cells by row: the place in the list is the spreadsheet's row number less one. A blank line is an empty list."""

WIDEST = 200
"""Columns of the widest sheet that is read quickly."""


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

    def column(self, place: int, start: int) -> pl.Series:
        """The cells of a column from the row at ``start`` on; null or empty where there is none."""
        if self.frame is None:
            return pl.Series([row[place] if place < len(row) else "" for row in self.rows[start:]], dtype=pl.String)
        if place >= self.frame.width:
            return pl.Series([None], dtype=pl.String).extend_constant(None, self.frame.height - start)[1:]
        return self.frame.to_series(place)[start:]

    def filled_outside(self, places: Sequence[int], start: int) -> Iterator[tuple[int, int, str]]:
        """The first cell of each row that is filled and stands in none of the columns: its row, column and text."""
        if self.frame is not None:
            beside = [place for place in range(self.frame.width) if place not in places]
            if not any((self.column(place, start).str.strip_chars() != "").any() for place in beside):
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


def _quickly(text: str, delimiter: str) -> pl.DataFrame | None:
    """The cells of a CSV in which there is nothing to think about, several times faster; None of any other.

    There are no quotation marks, lines end in one way, no row is very long, and no cell is huge.
    """
    if not text or '"' in text or text.count("\r") != text.count("\r\n"):
        return None
    ended = text.replace("\r\n", "\n").removesuffix("\n")
    lines = pl.Series([ended]).str.split("\n").explode(keep_nulls=True, empty_as_null=False)
    between = lines.str.count_matches(delimiter, literal=True).max()
    longest = lines.str.len_bytes().max()
    if not isinstance(between, int) or between >= WIDEST or not isinstance(longest, int):
        return None
    if longest >= csv.field_size_limit():
        return None
    return lines.str.split_exact(delimiter, between).struct.unnest()
