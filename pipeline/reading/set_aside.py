"""Cells and rows of a sheet that hold no fact: errors of a spreadsheet, and the example row of a blank sheet."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from pipeline.reading.cell_text import ERROR
from pipeline.reading.headings import ROW
from schemas import workbook_kinds
from schemas.problem import Problem
from schemas.sheet import Sheet, columns

EXAMPLE = "example: "
"""How the first cell of an example row begins."""


def example_row(model: type[Sheet]) -> dict[str, str]:
    """The example row of a blank sheet, by column: the examples of the schema, the first marked as one."""
    first, *others = columns(model)
    return {first.name: EXAMPLE + first.example} | {column.name: column.example for column in others}


def without_example(sheet: str, model: type[Sheet], text: pl.DataFrame) -> tuple[pl.DataFrame, list[Problem]]:
    """The rows but for the example, and a problem for each row that was changed and still calls itself one.

    The example is known by its first cell and by every other being as the blank sheet has it, in the columns that are
    still there. With its first cell changed it is a row like any other.
    """
    example = example_row(model)
    first = next(iter(example))
    if first not in text.columns:
        return text, []
    marked = pl.col(first).str.to_lowercase().str.starts_with(EXAMPLE.strip()).fill_null(False)
    if not text.select(marked.any()).item():
        return text, []
    there = [name for name in example if name in text.columns]
    untouched = marked & pl.all_horizontal(pl.col(name).eq_missing(example[name] or None) for name in there)
    half = text.filter(marked & ~untouched).select(ROW, first)
    problems = [workbook_kinds.EXAMPLE_HALF_CHANGED.at(sheet, row, first, cell) for row, cell in half.iter_rows()]
    return text.filter(~marked), problems


def without_errors(sheet: str, text: pl.DataFrame, names: Sequence[str]) -> tuple[pl.DataFrame, list[Problem]]:
    """The cells but for errors of the spreadsheet, which are left blank, and a problem for each of them.

    ``names`` are the columns in which they are looked for.
    """
    failed = {name: pl.col(name).str.contains(ERROR).fill_null(False) for name in names}
    found = text.select(mark.any().alias(name) for name, mark in failed.items()).row(0)
    holding = [name for name, any_failed in zip(names, found, strict=True) if any_failed]
    if not holding:
        return text, []
    problems = [
        workbook_kinds.ERROR_CELL.at(sheet, row, name, cell)
        for name in holding
        for row, cell in text.filter(failed[name]).select(ROW, name).iter_rows()
    ]
    return text.with_columns(pl.when(~failed[name]).then(pl.col(name)).alias(name) for name in holding), problems
