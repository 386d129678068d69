"""A timetable as the rows of the schedule sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.calendar import HUNDREDTHS, WEEKDAYS, weekday
from pipeline.money import share_out
from pipeline.scheduling.kilns import Load, Placement
from pipeline.scheduling.shop import Flow
from pipeline.scheduling.timetable import Timetable
from schemas.sheet import shaped, types
from schemas.sheets_out.schedule import Schedule

Row = dict[str, object]


def schedule_rows(timetable: Timetable) -> pl.DataFrame:
    """The schedule: by date, then by stage, form and batch; of rows of one date, stage and form the set-up is first."""
    burning = [(load, [_inside(flow, load) for flow in inside.inside]) for load, inside in timetable.burning]
    batches = _batch_names([*timetable.placements, *(placed for _, inside in burning for placed in inside)])
    loads = _load_names([*timetable.loads, *(load for load, _ in burning)])
    rows = [row for placed in timetable.placements if placed.load is None for row in _work(timetable, placed, batches)]
    fired: dict[int, list[Placement]] = defaultdict(list)
    for placed in timetable.placements:
        if placed.load is not None:
            fired[id(placed.load)].append(placed)
    for load in timetable.loads:
        inside = fired[id(load)]
        inside.sort(key=lambda placed: _batch_order(batches[_batch_key(placed)]))
        rows.extend(_loading(timetable, load, loads[id(load)], inside, batches))
    for load, inside in burning:
        # It was loaded in an earlier plan: that is no work of this one.
        loading = _loading(timetable, load, loads[id(load)], inside, batches)
        rows.extend(row for row in loading if row["task"] == "unload")
    rows = list(_merged(rows))
    rows.sort(
        key=lambda row: (
            row["date"],
            row["step"],
            row["stage"],
            row["task"],
            row["form"],
            not row["setup"],
            _batch_order(str(row["batch"])),
            str(row["load"]),
            str(row["worker"]),
        )
    )
    for row in rows:
        row["minutes"] = int(str(row["time"])) / HUNDREDTHS
    schema = types(Schedule)
    return shaped(Schedule, pl.DataFrame({name: [row[name] for row in rows] for name in schema}, schema=schema))


def _batch_key(placed: Placement) -> tuple[int, int]:
    """What makes pieces one batch: their line and the day they were begun, or their place in the work in progress."""
    if placed.born is None:
        return -1 - (placed.flow.standing or 0), placed.flow.line
    return placed.flow.line, placed.born


def _batch_names(placements: list[Placement]) -> dict[tuple[int, int], str]:
    """``P1`` … for what stands in progress, in the order of its sheet; ``B1`` … by the day begun, then by turn."""
    standing = sorted(
        {_batch_key(placed) for placed in placements if placed.born is None}, key=lambda key: (-key[0], key[1])
    )
    begun = sorted(
        {(placed.born, placed.flow.turn, placed.flow.line) for placed in placements if placed.born is not None}
    )
    names = {key: f"P{number}" for number, key in enumerate(standing, 1)}
    names.update({(line, born): f"B{number}" for number, (born, _, line) in enumerate(begun, 1)})
    return names


def _batch_order(name: str) -> tuple[bool, int]:
    return name[0] == "B", int(name[1:])


def _load_names(loads: list[Load]) -> dict[int, str]:
    """``L1`` … by the day of loading, then by kiln."""
    order = sorted(loads, key=lambda load: (load.load_on, load.firing.kiln, load.firing.firing))
    return {id(load): f"L{number}" for number, load in enumerate(order, 1)}


def _inside(flow: Flow, load: Load) -> Placement:
    """Pieces that were in the kiln before the plan, as if they had been put into it the day before."""
    place = flow.first - 1
    return Placement(flow, place, load.load_on, 0, flow.totals[place], None, (), load)


def _row(timetable: Timetable, placed: Placement, batches: dict[tuple[int, int], str], day: int) -> Row:
    order, form, glaze = timetable.shop.lines[placed.flow.line]
    stop = placed.flow.route[placed.place]
    return {
        "date": date.fromordinal(day), "weekday": WEEKDAYS[weekday(day)], "step": stop.step, "stage": stop.stage,
        "task": "work", "batch": batches[_batch_key(placed)], "order": order, "form": form, "glaze": glaze,
        "pieces": placed.pieces, "time": 0, "setup": False, "worker": None, "kiln": None, "load": None,
    }  # fmt: skip


def _work(timetable: Timetable, placed: Placement, batches: dict[tuple[int, int], str]) -> Iterator[Row]:
    workers = timetable.shop.calendar.workers
    for share in placed.shares:
        name = None if share.worker is None else workers[share.worker].name
        row = _row(timetable, placed, batches, placed.day)
        yield row | {"pieces": share.pieces, "time": share.time, "setup": share.setup, "worker": name}


def _loading(
    timetable: Timetable, load: Load, name: str, inside: list[Placement], batches: dict[tuple[int, int], str]
) -> Iterator[Row]:
    """The rows of a load: the time for the load as a whole is shared among its batches by the room they take."""
    room = [Fraction(placed.pieces, max(1, load.firing.counts[placed.flow.form])) for placed in inside]
    for task, day, booked in (("load", load.load_on, load.loading), ("unload", load.unload_on, load.unloading)):
        total = sum(time for _, time in booked)
        parts = [int(part) for part in share_out(Decimal(total), room, 0)]
        pool = list(booked)
        for placed, part in zip(inside, parts, strict=True):
            time_of: dict[int | None, int] = defaultdict(int)
            pieces_of: dict[int | None, int] = defaultdict(int)
            setups = set()
            if task == "load":
                for share in placed.shares:
                    time_of[share.worker] += share.time
                    pieces_of[share.worker] += share.pieces
                    if share.setup:
                        setups.add(share.worker)
            while part:
                worker, free = pool[0]
                some = min(part, free)
                time_of[worker] += some
                part -= some
                pool[0] = (worker, free - some)
                if not pool[0][1]:
                    pool.pop(0)
            yield from _load_rows(timetable, placed, batches, load, name, task, day, time_of, pieces_of, setups)


def _load_rows(
    timetable: Timetable,
    placed: Placement,
    batches: dict[tuple[int, int], str],
    load: Load,
    name: str,
    task: str,
    day: int,
    time_of: dict[int | None, int],
    pieces_of: dict[int | None, int],
    setups: set[int | None],
) -> Iterator[Row]:
    """A row a worker. Pieces that take nobody's own time are counted with the first who has a hand in the load."""
    hands = [worker for worker in time_of if worker is not None]
    workers: list[int | None] = [*hands] or [None]
    loose = placed.pieces - sum(pieces_of[worker] for worker in workers)
    for worker in workers:
        row = _row(timetable, placed, batches, day)
        yield row | {
            "task": task, "pieces": pieces_of[worker] + loose, "time": time_of[worker], "setup": worker in setups,
            "worker": None if worker is None else timetable.shop.calendar.workers[worker].name,
            "kiln": load.firing.kiln, "load": name,
        }  # fmt: skip
        loose = 0


def _merged(rows: list[Row]) -> Iterator[Row]:
    """Rows that differ only in pieces and time, added up."""
    together: dict[tuple[object, ...], Row] = {}
    for row in rows:
        key = tuple(row[name] for name in ("date", "stage", "task", "batch", "worker", "load"))
        if key in together:
            first = together[key]
            for name in ("pieces", "time"):
                first[name] = int(str(first[name])) + int(str(row[name]))
            first["setup"] = first["setup"] or row["setup"]
        else:
            together[key] = row
    yield from together.values()
