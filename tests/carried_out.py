"""A plan carried out up to a morning: what stands in the studio then, as a potter would write it down."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import replace

import polars as pl

from pipeline.job import Job
from tests.shops import Cells, frame


def carried_out(job: Job, schedule: pl.DataFrame, morning: dt.date) -> Job:
    """The job on a later morning, everything before it done as scheduled: ``start`` and ``in_progress`` are new.

    For shops without losses and without work in progress at their start, on a morning on which no kiln is in fire.
    """
    rows: list[Cells] = []
    method = dict(job.forms.select("form", "method").iter_rows())
    stages = defaultdict(list)
    for of, stage in job.stages.sort("method", "step").select("method", "stage").iter_rows():
        stages[of].append(stage)
    out = {row["load"]: row["date"] for row in schedule.filter(pl.col("task") == "unload").iter_rows(named=True)}
    done: dict[tuple[str, str, str | None, str], dict[str, list[tuple[dt.date, int]]]] = {}
    for row in schedule.filter(pl.col("task") != "unload", pl.col("date") < morning).iter_rows(named=True):
        batch = done.setdefault((row["order"], row["form"], row["glaze"], row["batch"]), defaultdict(list))
        batch[row["stage"]].append((out.get(row["load"], row["date"]), row["pieces"]))
    for (order, form, glaze, _), at in done.items():
        route = stages[method[form]]
        for stage, after in zip(route, [*route[1:], None], strict=True):
            gone = sum(pieces for _, pieces in at[after]) if after else 0
            for day, pieces in sorted(at[stage]):
                # What was done first has gone on first.
                left = max(0, pieces - gone)
                gone -= pieces - left
                if left:
                    cells = {"order": order, "form": form, "glaze": glaze, "stage_done": stage}
                    rows.append(cells | {"pieces": left, "date": day})
    standing = frame("in_progress", rows).with_columns(row=pl.int_range(2, 2 + len(rows), dtype=pl.Int64))
    return replace(job, in_progress=standing, settings=replace(job.settings, start=morning), last_schedule=schedule)


def mornings(schedule: pl.DataFrame) -> list[dt.date]:
    """The mornings in the course of a schedule on which no kiln is in fire, nor to be unloaded."""
    spans = [
        (load["date"].min(), load["date"].max())
        for _, load in schedule.drop_nulls("load").group_by("load", maintain_order=True)
    ]
    first, last = schedule["date"].min(), schedule["date"].max()
    assert isinstance(first, dt.date)
    assert isinstance(last, dt.date)
    days = [first + dt.timedelta(days=passed) for passed in range(1, (last - first).days)]
    return [day for day in days if not any(loaded < day <= unloaded for loaded, unloaded in spans)]
