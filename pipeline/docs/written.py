"""Rows of a sheet as people see them in its CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

import polars as pl

from pipeline.reading.defaults import stand_ins
from pipeline.writing.csvs import csv_text
from schemas import SHEETS_IN, SHEETS_OUT
from schemas.sheet import columns

MODELS = SHEETS_IN | SHEETS_OUT

Grid = list[list[str]]
"""Headings, then rows."""


def written(sheet: str, frame: pl.DataFrame, names: Sequence[str], minor_digits: int = 2) -> Grid:
    """The named columns as the sheet's CSV writes them, under their headings."""
    text = csv_text(MODELS[sheet], frame, minor_digits)
    rows = csv.DictReader(io.StringIO(text, newline=""))
    return [list(names), *([row[name] for name in names] for row in rows)]


def default_sheets() -> dict[str, Grid]:
    """What stands for those sheets that do not just count as empty when not given, less the columns that stay blank."""
    frames = stand_ins({}, frozenset({"stages", "kilns", "firings"}))
    return {name: written(name, frames[name], _filled(name, frames[name])) for name in SHEETS_IN if name in frames}


def _filled(sheet: str, frame: pl.DataFrame) -> list[str]:
    """The sheet's columns in which anything stands."""
    return [column.name for column in columns(MODELS[sheet]) if frame[column.name].null_count() < frame.height]
