"""The plan as a calendar's events: days with work, firings, due dates."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from functools import partial
from hashlib import sha256

import polars as pl

from pipeline.alike import once_each
from pipeline.job import Job
from pipeline.writing.day import day_sheet
from pipeline.writing.ics import Event
from pipeline.writing.shown import weight_of_a_ball
from pipeline.writing.words import WHAT, clock, in_words

NAMED = 12
"""Hexadecimal digits that stand for a kiln's name in an event's: its letters might be any, these are always plain."""


def plan_events(job: Job, results: Mapping[str, pl.DataFrame]) -> list[Event]:
    """An event for each day with work, for each firing from loading to unloading, and for each due date, by date.

    Their names say what they are and nothing that another plan would number anew: a day is named by its date, a firing
    by its kiln and the day of loading, a due date by itself. So after planning again what is on the same day takes the
    place of what was there. A plan without any event has one that says so, on its first day.
    """
    events = [
        *_days(job, results["schedule"]),
        *_firings(results["kiln_loads"]),
        *_due_dates(results["promises"]),
    ]
    if not events:
        start = job.settings.start
        return [Event(_name("plan", start), start, start, "Nothing to do", "The plan has no work, firing or due date.")]
    return sorted(events, key=lambda event: (event.first, event.uid))


def _name(kind: str, day: date, more: str = "") -> str:
    return "-".join(filter(None, ("wareboard", kind, day.isoformat(), more)))


def _days(job: Job, schedule: pl.DataFrame) -> Iterator[Event]:
    if schedule.is_empty():
        return
    first, last = schedule.select(first=pl.col("date").min(), last=pl.col("date").max()).row(0)
    sheet = day_sheet(job, schedule, first, (last - first).days + 1)
    at_a_kiln, load = pl.col("task") != "work", _joined(" ", "task", "load")
    ball = partial(weight_of_a_ball, units=job.settings.units)
    told = sheet.with_columns(
        done=pl.when(at_a_kiln).then(_joined(", ", load, "stage")).otherwise("stage"),
        ball=once_each(sheet.select("ball_g"), lambda grams: None if grams is None else ball(grams), pl.String),
        time=once_each(sheet.select("minutes"), clock, pl.String),
    ).select(
        "date", line=_joined(", ", pl.format("{}: {}", "done", WHAT), "ball", pl.format("{}, {}", "worker", "time"))
    )
    together = sheet.group_by("date", "stage", "task", "load", maintain_order=True).agg(pl.col("pieces").sum())
    stages = together.select("date", line=_joined(" ", pl.when(at_a_kiln).then(load).otherwise("stage"), "pieces"))
    summaries, descriptions = (
        lines.group_by("date", maintain_order=True).agg(pl.col("line").str.join(between))
        for lines, between in ((stages, ", "), (told, "\n"))
    )
    for day, summary, description in summaries.join(descriptions, on="date", maintain_order="left").iter_rows():
        yield Event(_name("day", day), day, day, summary, description)


def _joined(between: str, *parts: str | pl.Expr) -> pl.Expr:
    """The parts of a row that are not blank."""
    return pl.concat_str(*parts, separator=between, ignore_nulls=True)


def _firings(kiln_loads: pl.DataFrame) -> Iterator[Event]:
    share = (pl.col("share_pct") + 0.5).cast(pl.Int64)
    loads = kiln_loads.group_by("load", maintain_order=True).agg(
        pl.col("firing", "kiln", "load_on", "unload_on").first(),
        pl.col("pieces").sum(),
        lines=pl.format("{}, order {}, {} % of the kiln", WHAT, "order", share).str.join("\n"),
    )
    for load, firing, kiln, load_on, unload_on, pieces, lines in loads.iter_rows():
        name = _name("firing", load_on, sha256(kiln.encode("utf-8")).hexdigest()[:NAMED])
        days = f"load {load}: load on {in_words(load_on)}, unload on {in_words(unload_on)}"
        yield Event(name, load_on, unload_on, f"{firing}, {kiln}: {pieces} pieces", f"{days}\n{lines}")


def _due_dates(promises: pl.DataFrame) -> Iterator[Event]:
    for part in promises.drop_nulls("due").partition_by("due", maintain_order=True):
        rows = part.rows(named=True)
        due = rows[0]["due"]
        lines = []
        for row in rows:
            words = " ".join(str(word) for word in (row["quantity"], row["form"], row["glaze"]) if word is not None)
            days = row["days_late"]
            late = f", {days} {'day' if days == 1 else 'days'} late" if days else ""
            lines.append(f"{row['order']}: {words}, ready on {in_words(row['ready'])}{late}")
        orders = ", ".join(dict.fromkeys(row["order"] for row in rows))
        yield Event(_name("due", due), due, due, f"due: {orders}", "\n".join(lines))
