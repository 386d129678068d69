"""The job: every input sheet typed, checked and with its defaults filled in."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from schemas.settings import Settings


@dataclass(frozen=True)
class Job:
    """What is asked for, as the steps read it.

    Each field is the input sheet of that name: its columns as its model in ``schemas`` types them, then ``row``, the
    row's number in the spreadsheet (null where a default made the row). Defaults are filled in, so the columns that
    have one are never null, but for those whose blank means "no limit" or "any". An optional sheet that was not given
    is its default, or empty.

    ``readings`` is an ``assumptions`` sheet of every default and reading made on the way here.
    """

    orders: pl.DataFrame
    forms: pl.DataFrame
    clay_stock: pl.DataFrame
    labour_hours: pl.DataFrame
    stages: pl.DataFrame
    form_minutes: pl.DataFrame
    drying_months: pl.DataFrame
    kilns: pl.DataFrame
    firings: pl.DataFrame
    kiln_fit: pl.DataFrame
    bats_and_boards: pl.DataFrame
    closed_days: pl.DataFrame
    in_progress: pl.DataFrame
    clay_blends: pl.DataFrame
    clay_prices: pl.DataFrame
    glazes: pl.DataFrame
    materials: pl.DataFrame
    glaze_buckets: pl.DataFrame
    form_materials: pl.DataFrame
    settings: Settings
    readings: pl.DataFrame
