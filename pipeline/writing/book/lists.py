"""The tabs that are lists: pieces, stage hours, schedule, space, assumptions, problems."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.clay import NEW_DAY
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.money import STAGE_NUMBER
from pipeline.writing.book.tables import LINE, Head, Table, exact, heads, table_tab, with_line
from schemas.settings import Settings
from schemas.sheets_out.assumptions import Assumptions
from schemas.sheets_out.pieces import Pieces
from schemas.sheets_out.problems import Problems
from schemas.sheets_out.schedule import Schedule
from schemas.sheets_out.stage_hours import StageHours


def pieces_tab(pieces: pl.DataFrame, orders: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """How many pieces go through each stage, and how many of them are still to do."""
    grid = Grid("pieces")
    grid.head("Pieces", "One row is an order line at a stage. Still to do = pieces in - already done.")
    to_do = Head(
        "still_to_do",
        "still to do",
        "whole",
        "Pieces that have yet to go through the stage.",
        "{pieces_in}-{already_done}",
    )
    frame = with_line(exact(Pieces, pieces, settings), orders).with_columns(
        still_to_do=pl.col("pieces_in") - pl.col("already_done")
    )
    return table_tab(grid, [LINE, *heads(Pieces, settings), to_do], frame, settings, frozen=2)


def stage_hours_tab(
    stage_hours: pl.DataFrame, orders: pl.DataFrame, stage_numbers: pl.Series, settings: Settings
) -> tuple[Tab, Table]:
    """Working hours, by line and stage.

    ``stage_numbers`` has the number of each row's form and stage on the tab of what a piece costs.
    """
    grid = Grid("stage hours")
    grid.head(
        "Hours by line and stage",
        "One row is an order line at a stage. What the hours cost stands on the labour tab, by worker and rate.",
    )
    head = heads(StageHours, settings, totals=("setups", "hours"), without=("labour_cost", "own_labour"))
    frame = with_line(exact(StageHours, stage_hours, settings), orders).with_columns(stage_numbers)
    return table_tab(grid, [LINE, *head, STAGE_NUMBER], frame, settings, frozen=2)


def schedule_tab(schedule: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What is done on each day."""
    grid = Grid("schedule")
    grid.head(
        "Schedule",
        "One row is a batch at a stage on a date, by one worker. A batch is the pieces of one order line that are "
        "thrown on one day. A firing has a row for loading and one for unloading, which counts no piece twice.",
    )
    head = heads(Schedule, settings, totals=("minutes",))
    return table_tab(grid, head, exact(Schedule, schedule, settings), settings, frozen=2, paints=[NEW_DAY])


def space_tab(space: pl.DataFrame, stages: Sequence[str], settings: Settings) -> tuple[Tab, Table]:
    """Bats, boards and waiting pieces: a column an item, those that wait in the order of ``stages``; a row a date."""
    grid = Grid("space")
    grid.head("Bats, boards and waiting pieces", "One row is the night after a date: what is in use, and what waits.")
    place = {stage: at for at, stage in enumerate(stages)}
    kinds = ("bat", "board", "waiting")
    items = sorted(
        space.group_by("kind", "item", maintain_order=True).agg(pl.col("owned").max()).iter_rows(),
        key=lambda item: (kinds.index(item[0]), place.get(item[1], 0)),
    )
    named = [(f"{kind}{at}", kind, item, owned) for at, (kind, item, owned) in enumerate(items)]
    by_date = space.select("date").unique().sort("date")
    for name, kind, item, _ in named:
        counts = space.filter(pl.col("kind") == kind, pl.col("item") == item)
        by_date = by_date.join(counts.select("date", pl.col("in_use").alias(name)), on="date", how="left")
    head = [
        Head("date", "date", "day", "The day."),
        *(
            Head(name, _item_heading(kind, item, owned), "whole", _item_note(kind), total="MAX")
            for name, kind, item, owned in named
        ),
    ]
    return table_tab(grid, head, by_date.sort("date").with_columns(pl.exclude("date").fill_null(0)), settings)


def _item_heading(kind: str, item: str, owned: int | None) -> str:
    of = "" if owned is None else f", of {owned}"
    if kind == "waiting":
        return f"waiting for {item}"
    return f"boards{of}" if kind == "board" else f"{item} bats{of}"


def _item_note(kind: str) -> str:
    if kind == "waiting":
        return "Pieces that stand waiting for this stage on the night after the date."
    return "In use on the night after the date; how many the studio owns stands in the heading."


def assumptions_tab(assumptions: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What the plan rests on without a sheet saying so."""
    grid = Grid("assumptions")
    grid.head(
        "Assumptions", "One row is a default or a reading that the plan rests on. A sheet can change each of them."
    )
    return table_tab(grid, heads(Assumptions, settings), assumptions, settings)


def problems_tab(problems: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What is wrong or doubtful in the sheets."""
    grid = Grid("problems")
    grid.head(
        "Problems", "One row is something wrong or doubtful in a sheet; the row is numbered as the spreadsheet does."
    )
    return table_tab(grid, heads(Problems, settings), problems, settings, frozen=0)
