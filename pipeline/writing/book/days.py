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
    closed = _closed(job.closed_days, days_between(schedule))
    rows = sorted([*work, *closed], key=lambda row: row[0])
    frame = pl.DataFrame(
        [(day, WEEKDAYS[day.weekday()], stage, text) for day, stage, text in rows],
        schema={"date": pl.Date, "weekday": pl.String, "stage": pl.String, "work": pl.String},
        orient="row",
    )
    tab, _ = table_tab(grid, HEADS, frame, job.settings, frozen=2, paints=[NEW_DAY])
    return tab


def _work(schedule: pl.DataFrame, stages: list[str]) -> list[tuple[date, str, str]]:
    """Date, stage and what is done, a date's stages in their order."""
    place = {stage: at for at, stage in enumerate(stages)}
    parts: dict[tuple[date, int, str], list[str]] = {}
    keys = ("date", "stage", "task", "load", "kiln", "batch", "form", "glaze")
    rows = schedule.group_by(keys, maintain_order=True).agg(pl.col("pieces").sum())
    for day, stage, task, load, kiln, batch, form, glaze, pieces in rows.iter_rows():
        where = f"{task} {load} in {kiln}: " if task != "work" else ""
        what = " ".join(filter(None, (str(pieces), form, glaze)))
        parts.setdefault((day, place[stage], where), []).append(f"{what} ({batch})")
    return [(day, stages[at], where + ", ".join(work)) for (day, at, where), work in sorted(parts.items())]


def _closed(closed_days: pl.DataFrame, days: list[date]) -> Iterator[tuple[date, str, str]]:
    spans = closed_days.select("from", "to", "note").rows()
    for day in days:
        notes = [note or "" for first, last, note in spans if first <= day <= last]
        if notes:
            yield day, CLOSED, next(filter(None, notes), "")
