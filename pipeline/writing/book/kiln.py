"""The tabs of the kiln: a row a load, and what is in each."""

from __future__ import annotations

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import Head, Table, exact, heads, table_tab
from schemas.settings import Settings
from schemas.sheets_out.kiln_loads import KilnLoads

LOAD = ("load", "firing", "kiln", "load_on", "unload_on")
"""What a row says of its load."""


def kiln_contents_tab(kiln_loads: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What is in each load."""
    grid = Grid("kiln contents")
    grid.head("What is in each kiln load", "One row is a batch in a load. Share % is the room it takes of the kiln.")
    head = heads(KilnLoads, settings, totals=("pieces",))
    return table_tab(grid, head, exact(KilnLoads, kiln_loads, settings), settings, paints=[NEW_LOAD])


NEW_LOAD = ("{load}<>{load_above}", "new day")
"""A line above the first row of each load."""


def kiln_loads_tab(kiln_loads: pl.DataFrame, contents: Table, settings: Settings) -> tuple[Tab, Table]:
    """The loads, with the sums of what is in them."""
    grid = Grid("kiln loads")
    grid.head("Kiln loads", "One row is a load: one filled kiln. Share % says how full it is.")
    loads = (
        exact(KilnLoads, kiln_loads, settings)
        .group_by(LOAD, maintain_order=True)
        .agg(pl.len().cast(pl.Int64).alias("batches"), pl.col("pieces").sum(), pl.col("share_pct").sum().round(4))
    )
    of_load = f"{contents.place.cells('load')},{{load}}"
    share = _sum_of(contents, "share_pct", of_load)
    head = [
        *(column for column in heads(KilnLoads, settings) if column.name in LOAD),
        Head("batches", "batches", "whole", "Batches in the load.", f"COUNTIFS({of_load})", "SUM"),
        Head("pieces", "pieces", "whole", "Pieces in the load.", _sum_of(contents, "pieces", of_load), "SUM"),
        Head("share_pct", "share %", "pct", "How full the kiln is.", f"ROUND({share},4)"),
    ]
    return table_tab(grid, head, loads, settings)


def _sum_of(contents: Table, column: str, of_load: str) -> str:
    return f"SUMIFS({contents.place.cells(column)},{of_load})"
