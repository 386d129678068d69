"""From a text frame to a typed one, and a problem for each cell that is not understood."""

from __future__ import annotations

import polars as pl

from pipeline.reading.cells import value_of, why_not
from pipeline.reading.headings import ROW
from schemas.problem import Problem
from schemas.sheet import Column, Sheet, columns


def typed(sheet: str, model: type[Sheet], text: pl.DataFrame) -> tuple[pl.DataFrame, list[Problem]]:
    """Every column of the sheet with its type, in the sheet's order, then ``row``.

    A column that is not there is blank throughout. A cell that is not understood is blank, too, and a problem.
    """
    known = columns(model)
    values = [
        value_of(sheet, column).alias(column.name)
        if column.name in text.columns
        else pl.lit(None, column.type).alias(column.name)
        for column in known
    ]
    frame = text.select(*values, ROW)
    counts = zip(known, frame.drop(ROW).null_count().row(0), strict=True)
    blanks = text.null_count().row(0, named=True)
    lossy = [column for column, nulls in counts if nulls > blanks.get(column.name, len(text))]
    return frame, [problem for column in lossy for problem in not_understood(sheet, column, text, frame)]


def not_understood(sheet: str, column: Column, text: pl.DataFrame, frame: pl.DataFrame) -> list[Problem]:
    """The problems of the cells of a column that hold text and gave no value."""
    lost = text.filter(text[column.name].is_not_null() & frame[column.name].is_null()).select(ROW, column.name)
    words = {"example": column.example, "options": " or ".join(f"`{option}`" for option in column.options)}
    return [why_not(column.kind, cell).at(sheet, row, column.name, cell, **words) for row, cell in lost.iter_rows()]
