"""The tab of the hours: a row a date, a column a stage, against the hours that there are."""

from __future__ import annotations

from datetime import date, timedelta

import polars as pl

from pipeline.calendar import HUNDREDTHS, WEEKDAYS, Calendar, calendar
from pipeline.job import Job
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid, letter
from pipeline.writing.book.stages import stages_in_order
from pipeline.writing.book.tables import Head, Table, table_tab

FREE_DAY = ('OR(LEFT({weekday},1)="S",LEN({weekday})>3)', "day off")
"""Saturdays, Sundays and closed days stand out, as their words say."""


def hours_tab(job: Job, schedule: pl.DataFrame, dated: Table) -> tuple[Tab, Table]:
    """Hours by date and stage, summed from the schedule's tab (``dated``), and the hours that are free."""
    grid = Grid("hours")
    grid.head(
        "Hours by day and stage",
        "One row is a date. Worked = hours of all stages, from the schedule; available = hours of all workers, from "
        "the sheet of labour hours; free = available - worked.",
    )
    stages = stages_in_order(job.stages, schedule)
    worked_on = calendar(job.labour_hours, job.closed_days, job.settings.start)
    days = days_between(schedule)
    known = dated.place
    heading_row = grid.next_row + 1
    head = [
        Head("date", "date", "day", "The day."),
        Head("weekday", "day", "text", "Day of the week, and whether the studio is closed."),
    ]
    for at, stage in enumerate(stages):
        # EXACT, not SUMIFS: a stage named `2` or `glaze*`, or two that differ in capitals, must find its own rows only.
        of_date = f"({known.cells('date')}={{date}})"
        of_stage = f"EXACT({known.cells('stage')},{_column(at)}${heading_row})"
        total = f"SUMPRODUCT({of_date}*{of_stage}*{known.cells('minutes')})/60"
        head.append(Head(f"s{at}", stage, "hours", f"Hours of {stage}.", total, "SUM"))
    head.append(
        Head("worked", "worked", "hours", "Hours of all stages.", f"SUM({{s0}}:{{s{len(stages) - 1}}})", "SUM")
        if stages
        else Head("worked", "worked", "hours", "Hours of all stages.")
    )
    head.append(Head("available", "available", "hours", "Hours of all workers on that day.", total="SUM"))
    head.append(
        Head("free", "free", "hours", "Hours not planned.", "{available}-{worked}", "SUM"),
    )
    frame = _matrix(days, stages, schedule, worked_on)
    return table_tab(grid, head, frame, job.settings, frozen=2, paints=[FREE_DAY])


def days_between(schedule: pl.DataFrame) -> list[date]:
    """Every date from the first to the last of a schedule."""
    if schedule.is_empty():
        return []
    first, last = schedule.select(first=pl.col("date").min(), last=pl.col("date").max()).row(0)
    return [first + timedelta(days=days) for days in range((last - first).days + 1)]


def _column(stage: int) -> str:
    return letter(2 + stage)


def _matrix(days: list[date], stages: list[str], schedule: pl.DataFrame, worked_on: Calendar) -> pl.DataFrame:
    worked = schedule.group_by("date", "stage").agg(pl.col("minutes").sum().round(2))
    minutes = {(day, stage): total for day, stage, total in worked.iter_rows()}
    hours = {f"s{at}": [minutes.get((day, stage), 0.0) / 60 for day in days] for at, stage in enumerate(stages)}
    available = [sum(shift.time for shift in worked_on.shifts(day.toordinal())) / HUNDREDTHS / 60 for day in days]
    sums = [sum(parts) for parts in zip(*hours.values(), strict=True)] if stages else []
    return pl.DataFrame(
        {
            "date": pl.Series(days, dtype=pl.Date),
            "weekday": pl.Series([_weekday(day, worked_on) for day in days], dtype=pl.String),
            **hours,
            "worked": pl.Series(sums, dtype=pl.Float64),
            "available": pl.Series(available, dtype=pl.Float64),
            "free": pl.Series([there - done for there, done in zip(available, sums, strict=True)], dtype=pl.Float64),
        }
    )


def _weekday(day: date, worked_on: Calendar) -> str:
    name = WEEKDAYS[day.weekday()]
    return f"{name}, closed" if day.toordinal() in worked_on.closed else name
