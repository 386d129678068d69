"""Pieces in progress that are in a kiln when the plan begins."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import polars as pl


@dataclass(frozen=True, slots=True)
class InKiln:
    """The firing that pieces are in, its kiln, and the day from which on they may be unloaded."""

    firing: str
    kiln: str
    out: date


def in_the_kiln(
    in_progress: pl.DataFrame, route: pl.DataFrame, firings: pl.DataFrame, start: date
) -> dict[int, InKiln]:
    """Those whose last stage is a firing that is not over, by their place in ``in_progress``.

    A firing is not over on the plan's first day if its date, that of unloading, is that day or later. A blank kiln is
    the first that does the firing.
    """
    late = in_progress.with_row_index("place").filter(pl.col("date") >= start)
    if late.is_empty():
        return {}
    kilns: dict[str, str] = {}
    for firing, kiln in firings.select("firing", "kiln").iter_rows():
        kilns.setdefault(firing, kiln)
    named = {(form, stage): firing for form, stage, firing in route.select("form", "stage", "firing").iter_rows()}
    found = {}
    for place, form, done, kiln, out in late.select("place", "form", "stage_done", "kiln", "date").iter_rows():
        firing = named.get((form, done))
        if firing is not None:
            found[place] = InKiln(firing, kiln or kilns[firing], out)
    return found
