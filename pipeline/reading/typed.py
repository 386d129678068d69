"""From a text frame to a typed one, and a problem for each cell that is not understood."""

from __future__ import annotations

import polars as pl

from pipeline.reading.cells import OWN_SPELLING, simple, value_of, why_not
from pipeline.reading.headings import ROW
from schemas.problem import Problem
from schemas.sheet import Column, Sheet, columns


def typed(
    sheet: str, model: type[Sheet], text: pl.DataFrame, as_typed: pl.DataFrame
) -> tuple[pl.DataFrame, list[Problem]]:
    """Every column of the sheet with its type, in the sheet's order, then ``row``.

    ``text`` holds the cells plainly, ``as_typed`` the same cells as they were typed, for the problems. A column that is
    not there is blank throughout. A cell that is not understood is blank, too, and a problem.
    """
    known = columns(model)
    values = [_values(sheet, column, text).alias(column.name) for column in known]
    frame = text.select(*values, ROW)
    counts = zip(known, frame.drop(ROW).null_count().row(0), strict=True)
    blanks = text.null_count().row(0, named=True)
    lossy = [column for column, nulls in counts if nulls > blanks.get(column.name, len(text))]
    return frame, [problem for column in lossy for problem in _not_understood(sheet, column, text, frame, as_typed)]


def _values(sheet: str, column: Column, text: pl.DataFrame) -> pl.Expr:
    """The values of a column."""
    if column.name not in text.columns:
        return pl.lit(None, column.type)
    quick = simple(column, text[column.name]) if (sheet, column.name) not in OWN_SPELLING else None
    return value_of(sheet, column) if quick is None else pl.lit(quick)


def _not_understood(
    sheet: str, column: Column, text: pl.DataFrame, frame: pl.DataFrame, as_typed: pl.DataFrame
) -> list[Problem]:
    """The problems of the cells of a column that hold text and gave no value."""
    lost = text[column.name].is_not_null() & frame[column.name].is_null()
    cells = zip(*(named[column.name].filter(lost) for named in (text, as_typed)), text[ROW].filter(lost), strict=True)
    words = {"example": column.example, "options": " or ".join(f"`{option}`" for option in column.options)}
    return [why_not(column.kind, plain).at(sheet, row, column.name, cell, **words) for plain, cell, row in cells]
