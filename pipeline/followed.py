"""A job that keeps to an earlier plan: its schedule, and what that has in the kilns on the first day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

import polars as pl

from pipeline.job import Job
from pipeline.lines import LINE
from pipeline.routes import routes


def followed(job: Job, schedule: pl.DataFrame) -> Job:
    """The job with an earlier plan's ``schedule`` to keep to, and what that has in a kiln on the first day.

    A load that it has put in before that day and unloads on it or later is in its kiln. As ``in_progress`` tells its
    pieces either as in the kiln, which stays as it is, or as what they were before the firing, as many of the line's
    (or of any line) that stand there are taken to be in it, those that have stood there for longest. Both that and what
    is missing is told in ``readings``.
    """
    start = job.settings.start
    route = {
        form: steps.select("stage", "firing").rows()
        for (form,), steps in routes(job.forms, job.stages, job.form_minutes).group_by("form", maintain_order=True)
    }
    standing = job.in_progress.rows(named=True)
    burning: list[dict[str, Any]] = []
    told = []
    for (order, form, glaze), stage, kiln, out, pieces in _inside(job, schedule):
        stages = [name for name, _ in route.get(form, [])]
        if stage not in stages or not dict(route[form])[stage]:
            continue
        before = stages[stages.index(stage) - 1] if stages.index(stage) else None
        own = [row for row in standing if row["form"] == form and row["order"] in (None, order)]
        own = [row for row in own if row["glaze"] in (None, glaze)]
        said = sum(row["pieces"] for row in own if row["stage_done"] == stage and row["date"] >= start)
        waiting = sorted((row for row in own if row["stage_done"] == before), key=lambda row: row["date"])
        inside = {"order": order, "form": form, "glaze": glaze, "stage_done": stage, "date": out, "kiln": kiln}
        left = max(0, pieces - said)
        for row in waiting:
            some = min(left, row["pieces"])
            row["pieces"] -= some
            left -= some
            burning.append(inside | {"glaze": row["glaze"], "pieces": some, "row": row["row"]})
        what = f"in `{kiln}` until {out.isoformat()}: {form} of {order}"
        if pieces - said > left:
            why = "as the plan followed has it; if it is not so, take that load out of that schedule"
            told.append({"what": what, "value": f"{pieces - said - left} pieces", "why": why})
        if left:
            why = f"not in in_progress, of {pieces} in the plan followed; fill in those that are in the kiln"
            told.append({"what": what, "value": f"{left} pieces fewer", "why": why})
    rows = [row for row in [*standing, *burning] if row["pieces"]]
    return replace(
        job,
        in_progress=pl.DataFrame(rows, schema=job.in_progress.schema),
        readings=pl.concat([job.readings, pl.DataFrame(told, schema=job.readings.schema)]),
        last_schedule=schedule,
    )


def _inside(job: Job, schedule: pl.DataFrame) -> Iterator[tuple[tuple[str, str, str | None], str, str, date, int]]:
    """What an earlier plan has in the kilns on the first day, of the lines still ordered: line, stage, kiln, the day of
    unloading, pieces.
    """
    start = job.settings.start
    ordered = set(job.orders.select(*LINE).iter_rows())
    fired = schedule.drop_nulls("load")
    # A load that was in a kiln before that plan is only unloaded in it.
    put_in_later = set(fired.filter(pl.col("task") == "load", pl.col("date") >= start)["load"])
    out = fired.filter(pl.col("task") == "unload", pl.col("date") >= start)
    at = (*LINE, "stage", "kiln", "load", "date")
    for *line, stage, kiln, load, day, pieces in (
        out.group_by(at, maintain_order=True).agg(pl.col("pieces").sum()).iter_rows()
    ):
        if load not in put_in_later and tuple(line) in ordered:
            yield (line[0], line[1], line[2]), stage, kiln, day, pieces
