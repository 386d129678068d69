"""The tab of the charts, a page each: hours by day, bats and boards in use, how full the kiln is."""

from __future__ import annotations

from pipeline.writing.book.cells import Chart, Print, Series, Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.stages import mark
from pipeline.writing.book.tables import Table

ROWS = 28
"""Rows that a chart takes."""

FULL = 100.0
"""Per cent."""


def charts_tab(hours: Table, space: Table, loads: Table) -> Tab:
    """The charts of what stands on the tabs ``hours``, ``space`` and ``kiln loads``; none of an empty table."""
    grid = Grid("charts")
    charts: list[Chart] = []
    tops: list[int] = []
    stages = _named(hours, "s")
    owned = [*_named(space, "bat"), *_named(space, "board")]
    if stages:
        tops.append(_head(grid, "Hours by day and stage", "Columns: hours worked, by stage. Dashes: hours available."))
        columns = tuple(_series(hours, "date", name, at) for at, name in enumerate(stages))
        dashes = (_series(hours, "date", "available", 0),)
        charts.append(_placed(grid, columns, dashes, "hours"))
    if owned:
        tops.append(
            _head(
                grid,
                "Bats and boards in use",
                "How many are in use on the night after a day with work. How many you have stands behind each name.",
            )
        )
        columns = tuple(_series(space, "date", name, at) for at, name in enumerate(owned))
        charts.append(_placed(grid, columns, (), "in use", stacked=False))
    if not loads.is_empty:
        tops.append(_head(grid, "How full the kiln is", "The room that each load takes of its kiln."))
        charts.append(_placed(grid, (_series(loads, "load", "share_pct", 0),), (), "% of the kiln", top=FULL))
    if not charts:
        _head(grid, "Charts", "Nothing is planned yet.")
    return grid.tab(charts=charts, printed=Print(new_pages=tuple(tops[1:])))


def _head(grid: Grid, title: str, note: str) -> int:
    top = grid.next_row
    grid.head(title, note)
    return top


def _placed(
    grid: Grid,
    columns: tuple[Series, ...],
    dashes: tuple[Series, ...],
    axis: str,
    *,
    stacked: bool = True,
    top: float | None = None,
) -> Chart:
    """A chart on the next rows of the grid, which are left free for it."""
    chart = Chart("", grid.next_row, 0, columns, dashes, axis, stacked, top)
    for _ in range(ROWS):
        grid.add()
    return chart


def _named(table: Table, start: str) -> list[str]:
    """The columns whose name is ``start`` and a number; none of an empty table."""
    if table.is_empty:
        return []
    return [name for name in table.place.letters if name.removeprefix(start).isdecimal()]


def _series(table: Table, categories: str, column: str, at: int) -> Series:
    place = table.place
    return Series(place.heading(column), place.cells(categories), place.cells(column), mark(at))
