"""The plan as a calendar's events: days with work, firings, due dates."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date
from hashlib import sha256
from operator import itemgetter
from typing import Any

import polars as pl

from pipeline.job import Job
from pipeline.writing.day import clock, day_sheet, in_words, what
from pipeline.writing.ics import Event
from pipeline.writing.shown import weight_of_a_ball

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


def _parts(sheet: pl.DataFrame, column: str) -> Iterator[list[dict[str, Any]]]:
    """The rows of a sheet, those together that are alike in a column."""
    return (part.rows(named=True) for part in sheet.partition_by(column, maintain_order=True))


def _days(job: Job, schedule: pl.DataFrame) -> Iterator[Event]:
    if schedule.is_empty():
        return
    first, last = schedule.select(first=pl.col("date").min(), last=pl.col("date").max()).row(0)
    sheet = day_sheet(job, schedule, first, (last - first).days + 1)
    for rows in _parts(sheet, "date"):
        day = rows[0]["date"]
        together = Counter[tuple[str, str, str]]()
        lines = []
        for row in rows:
            together[row["stage"], row["task"], row["load"]] += row["pieces"]
            done = row["stage"] if row["task"] == "work" else f"{row['task']} {row['load']}, {row['stage']}"
            who = [f"{row['worker']}, {clock(row['minutes'])}"] if row["worker"] else []
            ball = [weight_of_a_ball(row["ball_g"], job.settings.units)] if row["ball_g"] is not None else []
            lines.append(", ".join([f"{done}: {what(row)}", *ball, *who]))
        stages = [
            f"{stage if task == 'work' else f'{task} {load}'} {pieces}"
            for (stage, task, load), pieces in together.items()
        ]
        yield Event(_name("day", day), day, day, ", ".join(stages), "\n".join(lines))


def _firings(kiln_loads: pl.DataFrame) -> Iterator[Event]:
    for rows in _parts(kiln_loads, "load"):
        load, firing, kiln, load_on, unload_on = itemgetter("load", "firing", "kiln", "load_on", "unload_on")(rows[0])
        lines = [f"load {load}: load on {in_words(load_on)}, unload on {in_words(unload_on)}"]
        for row in rows:
            share = int(row["share_pct"] + 0.5)
            lines.append(f"{what(row)}, order {row['order']}, {share} % of the kiln")
        name = _name("firing", load_on, sha256(kiln.encode("utf-8")).hexdigest()[:NAMED])
        yield Event(
            name, load_on, unload_on, f"{firing}, {kiln}: {sum(row['pieces'] for row in rows)} pieces", "\n".join(lines)
        )


def _due_dates(promises: pl.DataFrame) -> Iterator[Event]:
    for rows in _parts(promises.drop_nulls("due"), "due"):
        due = rows[0]["due"]
        lines = []
        for row in rows:
            words = " ".join(str(word) for word in (row["quantity"], row["form"], row["glaze"]) if word is not None)
            days = row["days_late"]
            late = f", {days} {'day' if days == 1 else 'days'} late" if days else ""
            lines.append(f"{row['order']}: {words}, ready on {in_words(row['ready'])}{late}")
        orders = ", ".join(dict.fromkeys(row["order"] for row in rows))
        yield Event(_name("due", due), due, due, f"due: {orders}", "\n".join(lines))
