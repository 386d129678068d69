"""A timetable as the rows of the schedule sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

import polars as pl

from pipeline.calendar import MINUTE_DIGITS, WEEKDAYS
from pipeline.in_places import in_places
from pipeline.money import share_out
from pipeline.scheduling.kilns import Load, Placement
from pipeline.scheduling.ledger import Share
from pipeline.scheduling.shop import Flow
from pipeline.scheduling.timetable import Timetable
from schemas.sheet import shaped
from schemas.sheets_out.schedule import Schedule

EPOCH = date(1970, 1, 1).toordinal()
"""The day that polars numbers 0."""


class Row(NamedTuple):
    """What one worker does of a batch at a stage on a day: the ``step`` puts stages in order, ``time`` is in hundredths
    of a minute, and the batch and the line of the order sheet are given by their places.
    """

    day: int
    step: int
    stage: str
    task: str
    batch: int
    line: int
    pieces: int
    time: int
    setup: bool
    worker: str | None
    kiln: str | None = None
    load: str | None = None


ROW = {
    "day": pl.Int32, "step": pl.Int64, "stage": pl.String, "task": pl.String, "batch": pl.Int64, "line": pl.Int64,
    "pieces": pl.Int64, "time": pl.Int64, "setup": pl.Boolean, "worker": pl.String, "kiln": pl.String,
    "load": pl.String,
}  # fmt: skip


LINE = {"order": pl.String, "form": pl.String, "glaze": pl.String}


def schedule_rows(timetable: Timetable) -> pl.DataFrame:
    """The schedule: by date, then by stage, form and batch; of rows of one date, stage and form the set-up is first."""
    burning = [(load, [_inside(flow, load) for flow in inside.inside]) for load, inside in timetable.burning]
    batches, names = _batches([*timetable.placements, *(placed for _, inside in burning for placed in inside)])
    loads = _load_names([*timetable.loads, *(load for load, _ in burning)])
    rows: list[Row] = []
    fired: dict[int, list[Placement]] = defaultdict(list)
    for placed in timetable.placements:
        if placed.load is None:
            rows.extend(_rows(timetable, placed, batches[_batch_key(placed)], placed.shares))
        else:
            fired[id(placed.load)].append(placed)
    for load in timetable.loads:
        inside = fired[id(load)]
        inside.sort(key=lambda placed: batches[_batch_key(placed)])
        rows.extend(_loading(timetable, load, loads[id(load)], inside, batches))
    for load, inside in burning:
        # It was loaded in an earlier plan: that is no work of this one.
        loading = _loading(timetable, load, loads[id(load)], inside, batches)
        rows.extend(row for row in loading if row.task == "unload")
    lines = pl.DataFrame(timetable.shop.lines, schema=LINE, orient="row")
    day = pl.col("day")
    cells = {
        "date": (day - EPOCH).cast(pl.Date),
        "weekday": pl.lit(pl.Series(WEEKDAYS)).gather((day - 1) % len(WEEKDAYS)),
        "batch": pl.lit(pl.Series(names, dtype=pl.String)).gather(pl.col("batch")),
        "minutes": in_places(pl.col("time"), MINUTE_DIGITS),
    }
    merged = _merged(pl.DataFrame(list(zip(*rows, strict=True)), schema=ROW))
    in_order = merged.hstack(lines[merged["line"]]).sort(
        "day", "step", "stage", "task", "form", ~pl.col("setup"), "batch", "load", "worker", maintain_order=True
    )
    return shaped(Schedule, in_order.with_columns(**cells))


def _batch_key(placed: Placement) -> tuple[int, int]:
    """What makes pieces one batch: their line and the day they were begun, or their place in the work in progress."""
    if placed.born is None:
        return -1 - (placed.flow.standing or 0), placed.flow.line
    return placed.flow.line, placed.born


def _batches(placements: list[Placement]) -> tuple[dict[tuple[int, int], int], list[str]]:
    """The batches' places, by what makes them one, and their names: ``P1`` … for what stands in progress, in the order
    of its sheet; then ``B1`` … by the day begun, then by turn.
    """
    standing = sorted(
        {_batch_key(placed) for placed in placements if placed.born is None}, key=lambda key: (-key[0], key[1])
    )
    begun = sorted(
        {(placed.born, placed.flow.turn, placed.flow.line) for placed in placements if placed.born is not None}
    )
    keys = [*standing, *((line, born) for born, _, line in begun)]
    names = [f"P{number + 1}" for number in range(len(standing))] + [f"B{number + 1}" for number in range(len(begun))]
    return {key: place for place, key in enumerate(keys)}, names


def _load_names(loads: list[Load]) -> dict[int, str]:
    """``L1`` … by the day of loading, then by kiln."""
    order = sorted(loads, key=lambda load: (load.load_on, load.firing.kiln, load.firing.firing))
    return {id(load): f"L{number}" for number, load in enumerate(order, 1)}


def _inside(flow: Flow, load: Load) -> Placement:
    """Pieces that were in the kiln before the plan, as if they had been put into it the day before."""
    place = flow.first - 1
    return Placement(flow, place, load.load_on, 0, flow.totals[place], None, (), load)


def _rows(
    timetable: Timetable,
    placed: Placement,
    batch: int,
    shares: Iterable[Share],
    task: str = "work",
    name: str | None = None,
) -> Iterator[Row]:
    """What each worker does of what was placed: on its day, or at loading or unloading the load of this name."""
    line, stop, load = placed.flow.line, placed.flow.route[placed.place], placed.load
    day = placed.day if load is None else load.load_on if task == "load" else load.unload_on
    kiln = None if load is None else load.firing.kiln
    for worker, pieces, time, setup in shares:
        who = None if worker is None else timetable.shop.calendar.workers[worker].name
        yield Row(day, stop.step, stop.stage, task, batch, line, pieces, time, setup, who, kiln, name)


def _loading(
    timetable: Timetable, load: Load, name: str, inside: list[Placement], batches: dict[tuple[int, int], int]
) -> Iterator[Row]:
    """The rows of a load: the time for the load as a whole is shared among its batches by the room they take."""
    room = [Fraction(placed.pieces, max(1, load.firing.counts[placed.flow.form])) for placed in inside]
    for task, booked in (("load", load.loading), ("unload", load.unloading)):
        total = sum(time for _, time in booked)
        times = [int(time) for time in share_out(Decimal(total), room, 0)]
        pool = list(booked)
        for placed, time in zip(inside, times, strict=True):
            own = [share for share in placed.shares if task == "load" and share.worker is not None]
            hands = [*own, *(Share(worker, 0, some, False) for worker, some in _taken(pool, time))]
            # Pieces that take nobody's own time are counted with the first who has a hand in the load.
            loose = placed.pieces - sum(share.pieces for share in own)
            first, *others = hands or [Share(None, 0, 0, False)]
            shares = [Share(first.worker, first.pieces + loose, first.time, first.setup), *others]
            yield from _rows(timetable, placed, batches[_batch_key(placed)], shares, task, name)


def _taken(pool: list[tuple[int, int]], time: int) -> Iterator[tuple[int, int]]:
    """Takes time out of a pool of (worker, time), of the first worker first."""
    while time:
        worker, free = pool[0]
        some = min(time, free)
        yield worker, some
        time -= some
        pool[0] = (worker, free - some)
        if some == free:
            pool.pop(0)


def _merged(rows: pl.DataFrame) -> pl.DataFrame:
    """Rows that differ only in pieces and time, added up."""
    alike = ("day", "stage", "task", "batch", "worker", "load")
    return rows.group_by(alike, maintain_order=True).agg(
        pl.col("step", "line", "kiln").first(), pl.col("pieces", "time").sum(), pl.col("setup").any()
    )
