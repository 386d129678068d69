"""The tabs of the kiln: a row a load, and what is in each."""

from __future__ import annotations

from math import ceil

import polars as pl

from pipeline.writing.book.cells import Look, Plain, Print, Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import NOTHING, Head, Table, add_table, changed, exact, heads, table_tab
from schemas.settings import Settings
from schemas.sheets_out.kiln_loads import KilnLoads

LOAD = ("load", "firing", "kiln", "load_on", "unload_on")
"""What a row says of its load."""

BATCHES_ON_A_PAGE = 20
"""A load of more is told on several pages. A lying page holds 32 rows of usual height, and a sheet has nine more."""

LABEL_WIDTH, DAY_WIDTH = 11.0, 14.0
"""Characters that `unload on` and its day take in bold letters."""


def kiln_contents_tab(kiln_loads: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What is in each load."""
    grid = Grid("kiln contents")
    grid.head("What is in each kiln load", "One row is a batch in a load. Share % is the room it takes of the kiln.")
    head = heads(KilnLoads, settings, totals=("pieces",))
    return table_tab(grid, head, exact(KilnLoads, kiln_loads, settings), settings, paints=[NEW_LOAD])


def load_sheets_tab(kiln_loads: pl.DataFrame, contents: Table, settings: Settings) -> Tab:
    """A page for each load, to hang beside the kiln: what goes in, and room to write down what came out well. A load of
    many batches has several, each with its heading."""
    grid = Grid("load sheets")
    frame = exact(KilnLoads, kiln_loads, settings)
    if frame.is_empty():
        grid.head("Load sheets", "One row is a batch in a load.", NOTHING)
        return grid.tab()
    head = heads(KilnLoads, settings, totals=("pieces", "share_pct"), without=LOAD)
    head.append(Head("good", "came out well", "text", "To be filled in by hand when the kiln is unloaded."))
    frame = frame.with_columns(good=pl.lit(None, dtype=pl.String))
    tops = [
        _load_sheet(grid, head, rows, page, pages, contents, settings)
        for load in frame.partition_by("load", maintain_order=True)
        for pages in [ceil(load.height / BATCHES_ON_A_PAGE)]
        for page, rows in enumerate(load.iter_slices(BATCHES_ON_A_PAGE), 1)
    ]
    return grid.tab(printed=Print(new_pages=tuple(tops[1:])))


def _load_sheet(
    grid: Grid, head: list[Head], rows: pl.DataFrame, page: int, pages: int, contents: Table, settings: Settings
) -> int:
    """A page of a load below all that stands on the grid; gives its first row."""
    top = grid.next_row
    load, firing, kiln, load_on, unload_on = (rows[name][0] for name in LOAD)
    strong, day = Look("text", "strong"), Look("day", "strong")
    of_pages = f", sheet {page} of {pages}" if pages > 1 else ""
    total = " The total is that of this sheet." if pages > 1 else ""
    grid.head(f"Load {load}: {firing}, {kiln}{of_pages}", f"One row is a batch in this load.{total}")
    at = grid.add(Plain("load", strong), Plain(load, strong))
    grid.add(Plain("load on", strong), Plain(load_on, day))
    grid.add(Plain("unload on", strong), Plain(unload_on, day))
    grid.add()
    grid.widen(0, LABEL_WIDTH)
    grid.widen(1, DAY_WIDTH)
    found = f"{contents.place.cells('load')},$B${at + 1},{contents.place.cells('batch')},{{batch}}"
    for name in ("pieces", "share_pct"):
        head = changed(head, name, formula=_sum_of(contents, name, found))
    add_table(grid, head, rows, settings)
    return top


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
