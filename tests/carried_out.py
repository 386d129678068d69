"""A plan carried out up to a morning: what stands in the studio then, as a potter would write it down."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import replace
from typing import Literal

import polars as pl

from pipeline.followed import followed
from pipeline.job import Job
from tests.shops import Cells, frame

Told = Literal["in the kiln", "before it"]
"""How a potter may write down what is in a kiln in fire: as that, or as what it was before."""


def carried_out(job: Job, schedule: pl.DataFrame, morning: dt.date, told: Told = "in the kiln") -> Job:
    """The job on a later morning, everything before it done as scheduled: ``start`` and ``in_progress`` are new, and
    the schedule is followed.

    For shops without losses and without work in progress at their start.
    """
    rows: list[Cells] = []
    method = dict(job.forms.select("form", "method").iter_rows())
    stages = defaultdict(list)
    for of, stage in job.stages.sort("method", "step").select("method", "stage").iter_rows():
        stages[of].append(stage)
    unloads = schedule.filter(pl.col("task") == "unload")
    out = {row["load"]: row["date"] for row in unloads.iter_rows(named=True)}
    burning = set(schedule.filter(pl.col("task") == "load", pl.col("date") < morning)["load"])
    kilns = {
        (row["batch"], row["stage"], row["date"]): row["kiln"]
        for row in unloads.iter_rows(named=True)
        if row["load"] in burning
    }
    done: dict[tuple[str, str, str | None, str], dict[str, list[tuple[dt.date, int]]]] = {}
    for row in schedule.filter(pl.col("task") != "unload", pl.col("date") < morning).iter_rows(named=True):
        batch = done.setdefault((row["order"], row["form"], row["glaze"], row["batch"]), defaultdict(list))
        batch[row["stage"]].append((out.get(row["load"], row["date"]), row["pieces"]))
    for (order, form, glaze, batch), at in done.items():
        route = stages[method[form]]
        for before, stage, after in zip([None, *route], route, [*route[1:], None], strict=False):
            gone = sum(pieces for _, pieces in at[after]) if after else 0
            for day, pieces in sorted(at[stage]):
                # What was done first has gone on first.
                left = max(0, pieces - gone)
                gone -= pieces - left
                cells = {"order": order, "form": form, "glaze": glaze, "stage_done": stage, "pieces": left, "date": day}
                kiln = kilns.get((batch, stage, day)) if day >= morning else None
                if kiln and told == "before it" and before:
                    cells |= {"stage_done": before, "date": max(passed for passed, _ in at[before])}
                elif kiln:
                    cells |= {"kiln": kiln}
                if left:
                    rows.append(cells)
    standing = frame("in_progress", rows).with_columns(row=pl.int_range(2, 2 + len(rows), dtype=pl.Int64))
    return followed(replace(job, in_progress=standing, settings=replace(job.settings, start=morning)), schedule)


def mornings(schedule: pl.DataFrame, *, firing: bool) -> list[dt.date]:
    """The mornings in the course of a schedule on which a kiln is in fire, or to be unloaded; or those on which none
    is.
    """
    spans = [
        (load["date"].min(), load["date"].max())
        for _, load in schedule.drop_nulls("load").group_by("load", maintain_order=True)
    ]
    first, last = schedule["date"].min(), schedule["date"].max()
    assert isinstance(first, dt.date)
    assert isinstance(last, dt.date)
    days = [first + dt.timedelta(days=passed) for passed in range(1, (last - first).days)]
    return [day for day in days if any(loaded < day <= unloaded for loaded, unloaded in spans) == firing]
