"""From a text frame to a typed one, and a problem for each cell that is not understood."""

from __future__ import annotations

from collections.abc import Collection

import polars as pl

from pipeline.reading.cells import value_of, why_not
from pipeline.reading.headings import ROW
from pipeline.reading.plain import plain_value
from schemas.problem import Problem, closest
from schemas.sheet import Column, Sheet, columns


def typed(
    sheet: str, model: type[Sheet], text: pl.DataFrame, as_typed: pl.DataFrame, plain: Collection[str]
) -> tuple[pl.DataFrame, list[Problem]]:
    """Every column of the sheet with its type, in the sheet's order, then ``row``.

    ``text`` holds the cells plainly, ``as_typed`` the same cells as they were typed, for the problems; ``plain`` names
    columns in which every cell is plain. A column that is not there is blank throughout. A cell that is not understood
    is blank, too, and a problem.
    """
    known = columns(model)
    values = [_values(sheet, column, text, plain).alias(column.name) for column in known]
    frame = text.select(*values, ROW)
    there = [column for column in known if column.name in text.columns]
    lossy = [column for column in there if frame[column.name].null_count() > text[column.name].null_count()]
    return frame, [problem for column in lossy for problem in _not_understood(sheet, column, text, frame, as_typed)]


def _values(sheet: str, column: Column, text: pl.DataFrame, plain: Collection[str]) -> pl.Expr:
    """The values of a column."""
    if column.name not in text.columns:
        return pl.lit(None, column.type)
    return plain_value(sheet, column) if column.name in plain else value_of(sheet, column)


def _not_understood(
    sheet: str, column: Column, text: pl.DataFrame, frame: pl.DataFrame, as_typed: pl.DataFrame
) -> list[Problem]:
    """The problems of the cells of a column that hold text and gave no value."""
    lost = text[column.name].is_not_null() & frame[column.name].is_null()
    cells = zip(*(named[column.name].filter(lost) for named in (text, as_typed)), text[ROW].filter(lost), strict=True)
    words = {"example": column.example, "options": column.options}
    return [
        why_not(column.kind, plain).at(sheet, row, column.name, cell, closest(plain, column.options), **words)
        for plain, cell, row in cells
    ]
