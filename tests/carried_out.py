"""A plan carried out up to a morning: what stands in the studio then, as a potter would write it down."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from itertools import islice
from operator import attrgetter
from typing import Literal, NamedTuple

import polars as pl

from pipeline.followed import followed
from pipeline.job import Job
from tests.shops import Cells, frame

Told = Literal["in the kiln", "before it"]
"""How a potter may write down what is in a kiln in fire: as that, or as what it was before."""


class Done(NamedTuple):
    """Pieces of a batch that entered a stage on a day, and were done with it on that day or out of their kiln later."""

    entered: dt.date
    out: dt.date
    kiln: str | None
    pieces: int


def with_days(at: Sequence[Done], before: Sequence[Done]) -> list[tuple[Done, Counter[dt.date]]]:
    """What entered a stage, what is done first in front, each with the days on which its pieces were done with the
    stage before: those that were done with it first went on first.
    """
    days = iter([one.out for one in sorted(before, key=attrgetter("out")) for _ in range(one.pieces)])
    entered = [(one, Counter(islice(days, one.pieces))) for one in sorted(at, key=attrgetter("entered"))]
    return sorted(entered, key=lambda entry: entry[0].out)


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
    done: dict[tuple[str, str, str | None, str], dict[str, list[Done]]] = {}
    for row in schedule.filter(pl.col("task") != "unload", pl.col("date") < morning).iter_rows(named=True):
        batch = done.setdefault((row["order"], row["form"], row["glaze"], row["batch"]), defaultdict(list))
        batch[row["stage"]].append(Done(row["date"], out.get(row["load"], row["date"]), row["kiln"], row["pieces"]))
    for (order, form, glaze, _), at in done.items():
        route = stages[method[form]]
        for before, stage, after in zip([None, *route], route, [*route[1:], None], strict=False):
            gone = sum(later.pieces for later in at[after]) if after else 0
            for one, days in with_days(at[stage], at[before] if before else []):
                # What was done first has gone on first.
                left = max(0, one.pieces - gone)
                gone -= one.pieces - left
                cells = {"order": order, "form": form, "glaze": glaze}
                burns = one.kiln is not None and one.out >= morning
                if burns and told == "before it" and before:
                    rows += [
                        cells | {"stage_done": before, "pieces": pieces, "date": day} for day, pieces in days.items()
                    ]
                elif left:
                    cells |= {"stage_done": stage, "pieces": left, "date": one.out}
                    rows.append(cells | ({"kiln": one.kiln} if burns else {}))
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
