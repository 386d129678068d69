"""An earlier schedule, as far as it is still to come: what is to be kept where it can be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import polars as pl

from pipeline.lines import LINE

Where = tuple[int, int]
"""A line, and the place of a stage on its route."""


@dataclass(frozen=True)
class LastPlan:
    """Pieces by day and where they enter a stage: ``work`` of ordinary stages; ``loads`` of what was to be fired,
    each with its firing, kiln and what goes into it.
    """

    work: Mapping[int, Mapping[Where, int]] = field(default_factory=dict)
    loads: Mapping[int, Mapping[str, tuple[str, str, dict[Where, int]]]] = field(default_factory=dict)

    @property
    def last(self) -> int:
        """Its last day; 0 if nothing is left of it."""
        return max([*self.work, *self.loads], default=0)

    def on(self, day: int) -> set[Where]:
        """Where it has pieces on a day."""
        loads = (inside for _, _, inside in self.loads.get(day, {}).values())
        return {*self.work.get(day, {}), *(where for inside in loads for where in inside)}

    def without(self, line: int) -> LastPlan:
        """The same without a line."""

        def others(pieces: Mapping[Where, int]) -> dict[Where, int]:
            return {where: number for where, number in pieces.items() if where[0] != line}

        loads = {
            day: {load: (firing, kiln, others(inside)) for load, (firing, kiln, inside) in found.items()}
            for day, found in self.loads.items()
        }
        return LastPlan({day: others(pieces) for day, pieces in self.work.items()}, loads)

    def days(self) -> dict[Where, dict[int, int]]:
        """For each stage of a line the days on which it is worked, and how many pieces."""
        found: dict[Where, dict[int, int]] = {}
        for day in sorted({*self.work, *self.loads}):
            for pieces in (self.work.get(day, {}), *(inside for _, _, inside in self.loads.get(day, {}).values())):
                for where, number in pieces.items():
                    days = found.setdefault(where, {})
                    days[day] = days.get(day, 0) + number
        return found


def last_plan(
    schedule: pl.DataFrame, orders: pl.DataFrame, places: Mapping[tuple[str, str], tuple[int, str | None]], start: int
) -> LastPlan:
    """What a sheet ``schedule`` has from the day ``start`` on of the lines that are still ordered.

    ``places``: of each form and stage its place on the route, and its firing.
    """
    lines = {key: line for line, key in enumerate(orders.select(*LINE).iter_rows())}
    work: dict[int, dict[Where, int]] = {}
    loads: dict[int, dict[str, tuple[str, str, dict[Where, int]]]] = {}
    rows = schedule.filter(pl.col("task") != "unload").select("date", *LINE, "stage", "pieces", "kiln", "load")
    rows = rows.sort(rows.columns)
    for date, *key, stage, pieces, kiln, load in rows.iter_rows():
        day, line, known = date.toordinal(), lines.get(tuple(key)), places.get((key[1], stage))
        if day < start or line is None or known is None:
            continue
        place, firing = known
        inside = work.setdefault(day, {})
        if firing is not None and load is not None:
            inside = loads.setdefault(day, {}).setdefault(load, (firing, kiln, {}))[2]
        inside[line, place] = inside.get((line, place), 0) + pieces
    return LastPlan(work, loads)
