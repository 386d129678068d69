"""The day sheet: what is done on a date, by whom, in the order of the day, on one page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from math import fsum
from typing import Any

import polars as pl

from pipeline.calendar import HUNDREDTHS, calendar, closed_ordinals
from pipeline.job import Job
from pipeline.writing.book.stages import stages_in_order
from pipeline.writing.shown import clay_weight, weight_of_a_ball
from pipeline.writing.words import clock, in_words
from schemas.answers.day_sheet import DaySheet
from schemas.settings import Units
from schemas.sheet import shaped

TASKS = ("unload", "work", "load")
"""The order of a day: the kiln is emptied first and filled last."""

HEADINGS = ("stage", "pieces", "form", "glaze", "batch", "ball", "time", "who", "load")
NUMBERS = frozenset({"pieces", "ball", "time"})
WIDEST = {"stage": 20, "form": 16, "glaze": 12, "who": 10}
"""Characters of a long name on the page; the CSV has all of it."""


def day_sheet(job: Job, schedule: pl.DataFrame, first: date, days: int = 1) -> pl.DataFrame:
    """The sheet ``day``: the rows of a schedule from a date on, in the order of each day.

    The kiln is unloaded first, then the stages come in their order, and the kiln is loaded last. ``ball_g`` stands
    where balls are weighed out or used: at a method's stages up to the first that does not go by weight.
    """
    place = {stage: at for at, stage in enumerate(stages_in_order(job.stages, schedule))}
    ordered = (
        schedule.filter(pl.col("date").is_between(first, first + timedelta(days=days - 1)))
        .with_columns(
            by_task=pl.col("task").replace_strict(TASKS, range(len(TASKS)), return_dtype=pl.Int64),
            by_stage=pl.col("stage").replace_strict(place, return_dtype=pl.Int64, default=len(place)),
        )
        .sort("date", "by_task", "by_stage", maintain_order=True)
        .with_columns(place=pl.int_range(1, pl.len() + 1).over("date"))
        .join(_weighed(job), on=["form", "stage"], how="left", validate="m:1", maintain_order="left")
    )
    return shaped(DaySheet, ordered)


def day_pages(job: Job, sheet: pl.DataFrame, results: Mapping[str, pl.DataFrame], first: date, days: int) -> str:
    """A page of plain text for each of the days: the rows of ``sheet``, then clay to wedge, hours and kilns.

    ``results`` has ``clay_to_wedge`` and ``kiln_loads``. Pages are parted by a form feed, at which printers begin a new
    one.
    """
    pages = (_page(job, sheet, results, first + timedelta(days=more)) for more in range(days))
    return "\n\f\n".join(pages)


def _weighed(job: Job) -> pl.DataFrame:
    """Form, stage and ``ball_g`` of the stages at which balls are weighed out or used."""
    by_weight = pl.col("minutes_per_kg") > 0
    leading = job.stages.sort("method", "step").with_columns(
        others=(~by_weight).cast(pl.Int64).cum_sum().over("method")
    )
    used = leading.filter((pl.col("others") == 0) | ((pl.col("others") == 1) & ~by_weight))
    return job.forms.select("form", "method", "ball_g").join(used, on="method").select("form", "stage", "ball_g")


def _page(job: Job, sheet: pl.DataFrame, results: Mapping[str, pl.DataFrame], day: date) -> str:
    rows = sheet.filter(pl.col("date") == day)
    heading = in_words(day)
    lines = [heading, "=" * len(heading), ""]
    if not rows.is_empty():
        wedged = results["clay_to_wedge"].filter(pl.col("date") == day)
        lines += [*_table(rows, job.settings.units), "", *_clay(wedged, job.settings.units)]
    elif day.toordinal() in closed_ordinals(job.closed_days):
        notes = job.closed_days.filter(pl.lit(day).is_between("from", "to"))["note"].drop_nulls().to_list()
        lines.append(f"Closed{': ' if notes else ''}{', '.join(notes)}.")
    else:
        lines.append("Nothing to do.")
    lines += [*_hours(job, rows, day), *_in_the_kiln(results["kiln_loads"], day)]
    return "\n".join(line.rstrip() for line in lines)


def _table(rows: pl.DataFrame, units: Units) -> Iterator[str]:
    cells = [HEADINGS, *(_cells(row, units) for row in rows.iter_rows(named=True))]
    kept = [column for column in zip(*cells, strict=True) if any(column[1:])]
    widths = [max(map(len, column)) for column in kept]
    for line in zip(*kept, strict=True):
        yield "  ".join(
            cell.rjust(width) if column[0] in NUMBERS else cell.ljust(width)
            for cell, width, column in zip(line, widths, kept, strict=True)
        )


def _cells(row: Mapping[str, Any], units: Units) -> tuple[str, ...]:
    stage = row["stage"] if row["task"] == "work" else f"{row['task']} {row['stage']}"
    ball = "" if row["ball_g"] is None else weight_of_a_ball(row["ball_g"], units)
    shown = (
        stage, str(row["pieces"]), row["form"], row["glaze"] or "", row["batch"], ball, clock(row["minutes"]),
        row["worker"] or "", row["load"] or "",
    )  # fmt: skip
    return tuple(_short(cell, WIDEST.get(name)) for name, cell in zip(HEADINGS, shown, strict=True))


def _short(text: str, most: int | None) -> str:
    line = " ".join(text.split())
    return line if most is None or len(line) <= most else line[: most - 1] + "…"


def _clay(wedged: pl.DataFrame, units: Units) -> Iterator[str]:
    """Clay to wedge: a line a clay, what for, and all of it, which is the sum of what is shown."""
    shown = []
    for (clay,), balls in wedged.group_by("clay", maintain_order=True):
        rows = balls.iter_rows(named=True)
        forms = [f"{row['balls']} {row['form']} of {weight_of_a_ball(row['ball_g'], units)}" for row in rows]
        weight, unit = clay_weight(fsum(balls["total_kg"]), units)
        shown.append(weight)
        yield f"To wedge: {weight:.2f} {unit} of {clay}: {', '.join(forms)}"
    if len(shown) > 1:
        yield f"To wedge: {sum(shown):.2f} {unit} in all"


def _hours(job: Job, rows: pl.DataFrame, day: date) -> Iterator[str]:
    """The hours of each worker that day, out of those that they have."""
    workers = calendar(job.labour_hours, job.closed_days, job.settings.start)
    worked = dict(rows.group_by("worker").agg(pl.col("minutes").sum()).iter_rows())
    shifts = workers.shifts(day.toordinal())
    for worker, shift in zip(workers.workers, shifts, strict=True):
        if shift.time or worker.name in worked:
            there = clock(shift.time / HUNDREDTHS)
            yield f"Hours: {worker.name} {clock(worked.get(worker.name, 0))} of {there}"


def _in_the_kiln(kiln_loads: pl.DataFrame, day: date) -> Iterator[str]:
    """The loads that stand in a kiln on the night of a day."""
    loads = kiln_loads.filter(pl.col("load_on") <= day, pl.col("unload_on") > day).unique("load", maintain_order=True)
    for row in loads.iter_rows(named=True):
        yield f"In {row['kiln']}: load {row['load']}, {row['firing']}, until {in_words(row['unload_on'])}"
