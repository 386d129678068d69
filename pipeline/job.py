"""The job: every input sheet typed, checked and with its defaults filled in."""

from __future__ import annotations

from dataclasses import dataclass, field

import polars as pl

from schemas.settings import Settings
from schemas.sheet import blank
from schemas.sheets_out.schedule import Schedule


@dataclass(frozen=True)
class Job:
    """What is asked for, as the steps read it.

    Each field is the input sheet of that name: its columns as its model in ``schemas`` types them, then ``row``, the
    row's number in the spreadsheet (null where a default made the row). Defaults are filled in, so the columns that
    have one are never null, but for those whose blank means "no limit" or "any". An optional sheet that was not given
    is its default, or empty. The prices that ``prices_with_tax`` speaks of are without tax, whatever it says. Where
    spares are to cost least (``loss_cover``), ``orders`` have a column more: ``cover``, how sure it is to be that
    enough pieces of the line come out; null where that could not be told.

    ``last_schedule`` is the sheet ``schedule`` of an earlier plan that is to be kept to; empty if there is none.
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
    work_log: pl.DataFrame
    clay_blends: pl.DataFrame
    clay_prices: pl.DataFrame
    glazes: pl.DataFrame
    materials: pl.DataFrame
    glaze_buckets: pl.DataFrame
    form_materials: pl.DataFrame
    accounts: pl.DataFrame
    opening_balances: pl.DataFrame
    settings: Settings
    readings: pl.DataFrame
    last_schedule: pl.DataFrame = field(default_factory=lambda: blank(Schedule))
