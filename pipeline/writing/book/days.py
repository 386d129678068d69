"""The tab that says in words what is done on each day, closed days included."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import polars as pl

from pipeline.calendar import WEEKDAYS
from pipeline.job import Job
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.clay import NEW_DAY
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.hours import days_between
from pipeline.writing.book.stages import stages_in_order
from pipeline.writing.book.tables import Head, table_tab
from pipeline.writing.words import WHAT

CLOSED = "closed"

HEADS = (
    Head("date", "date", "day", "The day."),
    Head("weekday", "day", "text", "Day of the week."),
    Head("stage", "stage", "text", "The stage, or that the studio is closed."),
    Head("work", "what is done", "text", "Pieces, form, glaze and batch; at a firing the load.", widest=96.0),
)


def days_tab(job: Job, schedule: pl.DataFrame) -> Tab:
    """What is done on each day, to hang on the wall."""
    grid = Grid("day by day")
    grid.head("Day by day", "One row is a stage, or a kiln load, on a date: pieces, form, glaze and batch.")
    work = _work(schedule, stages_in_order(job.stages, schedule))
    closed = pl.DataFrame(list(_closed(job.closed_days, days_between(schedule))), work.schema, orient="row")
    weekday = (pl.col("date").dt.weekday() - 1).replace_strict(range(7), WEEKDAYS, return_dtype=pl.String)
    frame = pl.concat([work, closed]).sort("date", maintain_order=True).with_columns(weekday=weekday)
    tab, _ = table_tab(grid, HEADS, frame, job.settings, frozen=2, paints=[NEW_DAY])
    return tab


def _work(schedule: pl.DataFrame, stages: list[str]) -> pl.DataFrame:
    """What is done on a ``date`` at a ``stage``, or with a load of it, a date's stages in their order."""
    keys = ("date", "stage", "task", "load", "kiln", "batch", "form", "glaze")
    load = pl.concat_str("task", "load", pl.format("in {}: ", "kiln"), separator=" ", ignore_nulls=True)
    where = pl.when(pl.col("task") != "work").then(load).otherwise(pl.lit(""))
    return (
        schedule.group_by(keys, maintain_order=True)
        .agg(pl.col("pieces").sum())
        .select("date", "stage", where=where, work=WHAT)
        .group_by("date", "stage", "where", maintain_order=True)
        .agg(pl.col("work").str.join(", "))
        .sort("date", pl.col("stage").cast(pl.Enum(stages)), "where")
        .select("date", "stage", work=pl.col("where") + pl.col("work"))
    )


def _closed(closed_days: pl.DataFrame, days: list[date]) -> Iterator[tuple[date, str, str]]:
    spans = closed_days.select("from", "to", "note").rows()
    for day in days:
        notes = [note or "" for first, last, note in spans if first <= day <= last]
        if notes:
            yield day, CLOSED, next(filter(None, notes), "")
