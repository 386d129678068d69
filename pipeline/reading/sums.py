"""Rows that sum up others: people put them below a group of rows, and a plan must not count them."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from pipeline.reading.cells import NUMBERS
from pipeline.reading.headings import ROW
from schemas import written_kinds
from schemas.problem import Problem
from schemas.sheet import Column

SUM = r"(?i)^(?:(?:grand|sub)[\s-]*)?total\b.*|^(?:sum|gesamt|summe|zwischensumme|sous-total)\s*:?$"
"""How the only text of such a row begins."""


def without_sums(sheet: str, known: Sequence[Column], text: pl.DataFrame) -> tuple[pl.DataFrame, list[Problem]]:
    """The rows that sum up no others, and a problem for each that does.

    Such a row has one text, which says so, a number at least, and nothing else.
    """
    there = [column for column in known if column.name in text.columns]
    words = [column.name for column in there if column.kind not in NUMBERS]
    numbers = [column.name for column in there if column.kind in NUMBERS]
    if not words or not numbers or not _may_have_any(there, text):
        return text, []
    one_text = pl.sum_horizontal(pl.col(words).is_not_null()) == 1
    said = pl.coalesce(words).str.contains(SUM)
    counted = pl.any_horizontal(pl.col(numbers).is_not_null())
    marked = text.with_columns((one_text & said & counted).fill_null(False).alias("sum"))
    if not marked["sum"].any():
        return text, []
    rows = marked.filter("sum").select(ROW, *words, cell=pl.coalesce(words)).iter_rows(named=True)
    problems = [
        written_kinds.SUBTOTAL_ROW.at(
            sheet, row[ROW], next(name for name in words if row[name] is not None), row["cell"]
        )
        for row in rows
    ]
    return marked.filter(~pl.col("sum")).drop("sum"), problems


def _may_have_any(there: Sequence[Column], text: pl.DataFrame) -> bool:
    """Whether a row may hold one text only: not if two columns of words are filled in throughout."""
    full = [column for column in there if column.kind not in NUMBERS and not text[column.name].has_nulls()]
    return len(full) < 2
