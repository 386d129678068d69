"""Rule 5c, hours within the workers' days; and whether the minutes of the rows add up."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence

from pipeline.checking.facts import BrokenRule, LoadRow, Row, Shop

DAY_TOLERANCE = 0.05
"""Minutes by which the rounding of a day's rows may pass a worker's hours."""

ROW_TOLERANCE = 0.011
"""Minutes by which one row may differ from the exact ones: rows are kept to 0.01."""


def hours_within_workers(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """A worker's minutes on a date are within that worker's hours."""
    minutes: dict[tuple[dt.date, str], float] = defaultdict(float)
    for row in rows:
        if row.worker is not None:
            minutes[row.date, row.worker] += row.minutes
    for (date, worker), total in minutes.items():
        hours = shop.days.shift(worker, date).hours
        if total > hours * 60 + DAY_TOLERANCE:
            what = f"{total:.2f} minutes of work, and {worker} has {hours * 60:g} that day."
            yield BrokenRule("5c", f"{date}, {worker}", what)


def workers_at_their_stages(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """A row that takes time has a worker, and a worker does only stages, or firings, that they do on that day."""
    for row in rows:
        if row.worker is None:
            if row.minutes > 0:
                yield BrokenRule("5c", row.where, f"{row.minutes} minutes of work, and nobody to do them.")
            continue
        does = shop.days.shift(row.worker, row.date).stages
        names = {row.stage, shop.stages[row.form, row.stage].firing}
        if does is not None and not names & does:
            yield BrokenRule("5c", row.where, f"{row.worker} does not do `{row.stage}` on that day.")


def minutes_add_up(shop: Shop, rows: Sequence[Row], loads: Sequence[LoadRow]) -> Iterator[BrokenRule]:
    """Rows take the minutes of their pieces, one set-up a date, stage and form, and their loads' minutes.

    Set-ups and a load's minutes may stand on any of the rows that share them, so sums are compared; but no row has
    less than its own pieces take.
    """
    for row in rows:
        least = _pieces_minutes(shop, row)
        if row.minutes < least - ROW_TOLERANCE:
            what = f"{row.pieces} pieces take {least:.2f} minutes, not {row.minutes}."
            yield BrokenRule("row", row.where, what)
    yield from _work_minutes(shop, [row for row in rows if row.task == "work"])
    yield from _load_minutes(shop, [row for row in rows if row.task == "load"], loads)
    yield from _unload_minutes(shop, [row for row in rows if row.task == "unload"], loads)


def _pieces_minutes(shop: Shop, row: Row) -> float:
    return row.pieces * shop.stages[row.form, row.stage].minutes_each if row.counts else 0.0


def _work_minutes(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    groups: dict[tuple[dt.date, str, str], list[Row]] = defaultdict(list)
    for row in rows:
        groups[row.date, row.form, row.stage].append(row)
    for (date, form, stage), group in groups.items():
        expected = sum(_pieces_minutes(shop, row) for row in group) + shop.stages[form, stage].setup_minutes
        yield from _differing(f"{date}, {stage}, {form}", group, expected)


def _load_minutes(shop: Shop, rows: Sequence[Row], loads: Sequence[LoadRow]) -> Iterator[BrokenRule]:
    """By date, as two kilns loaded on one date share the set-up of a form; then each load has its own minutes."""
    to_load = _firing_minutes(shop, "load_minutes", loads)
    dates: dict[dt.date, list[Row]] = defaultdict(list)
    groups: dict[str | None, list[Row]] = defaultdict(list)
    for row in rows:
        dates[row.date].append(row)
        groups[row.load].append(row)
    for date, group in dates.items():
        setups = {(row.form, row.stage): shop.stages[row.form, row.stage].setup_minutes for row in group}
        expected = sum(_pieces_minutes(shop, row) for row in group) + sum(setups.values())
        expected += sum(to_load.get(load, 0.0) for load in dict.fromkeys(row.load for row in group))
        yield from _differing(f"{date}, loading", group, expected)
    for load, group in groups.items():
        least = sum(_pieces_minutes(shop, row) for row in group) + to_load.get(load, 0.0)
        total = sum(row.minutes for row in group)
        if total < least - ROW_TOLERANCE * len(group):
            yield BrokenRule("row", f"load {load}", f"Loading takes {least:.2f} minutes, not {total:.2f}.")


def _unload_minutes(shop: Shop, rows: Sequence[Row], loads: Sequence[LoadRow]) -> Iterator[BrokenRule]:
    to_unload = _firing_minutes(shop, "unload_minutes", loads)
    known = {(row["firing"], row["kiln"]): row["unload_minutes"] for row in shop.job.firings.rows(named=True)}
    groups: dict[str | None, list[Row]] = defaultdict(list)
    for row in rows:
        groups[row.load].append(row)
        # A load from before the plan is in no kiln_loads.
        to_unload.setdefault(row.load, known.get((shop.stages[row.form, row.stage].firing, row.kiln), 0.0))
    for load, group in groups.items():
        yield from _differing(f"load {load}, unloading", group, to_unload.get(load, 0.0))


def _firing_minutes(shop: Shop, column: str, loads: Sequence[LoadRow]) -> dict[str | None, float]:
    """Minutes of loading or unloading, by load."""
    minutes = {(row["firing"], row["kiln"]): row[column] for row in shop.job.firings.rows(named=True)}
    return {load.load: minutes.get((load.firing, load.kiln), 0.0) for load in loads}


def _differing(where: str, group: Sequence[Row], expected: float) -> Iterator[BrokenRule]:
    total = sum(row.minutes for row in group)
    if abs(total - expected) > ROW_TOLERANCE * len(group):
        yield BrokenRule("row", where, f"The minutes are {total:.2f} and should be {expected:.2f}.")
