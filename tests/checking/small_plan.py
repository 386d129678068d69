"""A small schedule worked out by hand, which every test of a rule changes in one place.

March 2027: the 1st is a Monday. Ada works from Monday to Friday, five hours (300 minutes) a day; Ben one hour a day, at
glazing alone. Six cups and four plates are ordered, the cups due on Friday the 26th, the plates whenever they are done.
15 % are lost at throwing: 8 cups make 7 after it, and 5 plates make 5 (4.25, rounded up). Each form has bats of its
size, a cup from throwing to turning, and so have the plates.

    Mon 1   throw 8 cups: 8 x (2 + 1 min/kg x 0.5 kg) + 10 = 30 min; 5 plates: 5 x (2 + 1 x 1 kg) + 10 = 25 min
    Tue 2   turn 7 cups: 7 x 3 + 5 = 26 min (a day after throwing; one or two are allowed)
    Wed 3   turn 5 plates: 5 x 3 + 5 = 20 min (two days after throwing)
            then three days' drying: the cups may be fired from Fri 5, the plates from Sat 6
    Mon 8   load L1, bisque: 7 of 14 cups and 5 of 10 plates fill it exactly; 12 min of loading, 7 and 5 of them
    Wed 10  unload L1 after two days, 6 min, 3.5 and 2.5 of them; glaze 7 cups (7 min) and 5 plates (5 min)
    Thu 11  load L2, glaze firing, in the same way
    Mon 15  unload L2: two days after Thu 11 is Sat 13, and nobody works before Mon 15
"""

from __future__ import annotations

import copy
import datetime as dt
from dataclasses import dataclass, field
from typing import Any

import polars as pl

from pipeline.checking.facts import BrokenRule
from pipeline.checking.schedule_rules import broken_rules
from pipeline.checking.working_days import WEEKDAYS
from tests.shops import Cells, frame, make_job

SHEETS: dict[str, list[Cells]] = {
    "orders": [
        {"order": "A", "form": "cup", "glaze": "oat", "quantity": 6, "due": dt.date(2027, 3, 26)},
        {"order": "B", "form": "plate", "quantity": 4},
    ],
    "forms": [
        {"form": "cup", "ball_g": 500.0, "bat": "small"},
        {"form": "plate", "ball_g": 900.0, "added_clay_g": 100.0, "bat": "large"},
    ],
    "stages": [
        {
            "stage": "throw", "minutes_each": 2.0, "minutes_per_kg": 1.0, "setup_minutes": 10.0, "loss_pct": 15.0,
            "wait_days": 1, "wait_days_max": 2, "bat": "on",
        },
        {"stage": "turn", "minutes_each": 3.0, "setup_minutes": 5.0, "wait_days": 3, "bat": "off"},
        {"stage": "bisque", "firing": "bisque"},
        {"stage": "dip", "minutes_each": 1.0},
        {"stage": "glaze fire", "firing": "glaze"},
    ],
    "labour_hours": [
        {"worker": "Ada", "day": "Mon-Fri", "hours": 5.0},
        {"worker": "Ben", "day": "Mon-Fri", "hours": 1.0, "stages": "dip"},
    ],
    "firings": [
        {"firing": "bisque", "days": 2, "load_minutes": 12.0, "unload_minutes": 6.0},
        {"firing": "glaze", "days": 2, "load_minutes": 12.0, "unload_minutes": 6.0},
    ],
    "bats_and_boards": [
        {"item": "small", "kind": "bat", "count": 8},
        {"item": "large", "kind": "bat", "count": 5},
    ],
}  # fmt: skip

CUP = {"order": "A", "form": "cup", "glaze": "oat"}
PLATE = {"order": "B", "form": "plate", "glaze": None}
COUNTS = {
    ("bisque", "kiln", "cup"): 14,
    ("bisque", "kiln", "plate"): 10,
    ("glaze", "kiln", "cup"): 14,
    ("glaze", "kiln", "plate"): 10,
}


def march(day: int) -> dt.date:
    """A day of March 2027."""
    return dt.date(2027, 3, day)


def work(date: dt.date, stage: str, batch: str, line: Cells, pieces: int, minutes: float, **more: Any) -> Cells:
    """A row of `schedule`, of Ada's unless it says otherwise, with the right weekday."""
    row = {"date": date, "weekday": WEEKDAYS[date.weekday()], "stage": stage, "task": "work", "batch": batch}
    return row | line | {"pieces": pieces, "minutes": minutes, "worker": "Ada"} | more


def fire(
    load: str, load_on: dt.date, unload_on: dt.date, stage: str, batch: str, line: Cells, pieces: int, minutes: float,
    unload_minutes: float,
) -> list[Cells]:  # fmt: skip
    """The load row and the unload row of a batch in a load of the one kiln."""
    more = {"kiln": "kiln", "load": load}
    return [
        work(load_on, stage, batch, line, pieces, minutes, task="load", **more),
        work(unload_on, stage, batch, line, pieces, unload_minutes, task="unload", **more),
    ]


def in_load(
    load: str, firing: str, load_on: dt.date, unload_on: dt.date, batch: str, line: Cells, pieces: int, share: float
) -> Cells:
    """A row of `kiln_loads`."""
    head = {"load": load, "firing": firing, "kiln": "kiln", "load_on": load_on, "unload_on": unload_on, "batch": batch}
    return head | line | {"pieces": pieces, "share_pct": share}


def at(stage: str, line: Cells, pieces_in: int, already_done: int = 0) -> Cells:
    """A row of `pieces`."""
    return line | {"step": 1, "stage": stage, "pieces_in": pieces_in, "already_done": already_done}


@dataclass
class Plan:
    """A job and its schedule as plain rows, for a test to change before they are judged."""

    sheets: dict[str, list[Cells]]
    pieces: list[Cells]
    schedule: list[Cells]
    kiln_loads: list[Cells]
    counts: dict[tuple[str, str, str], int] = field(default_factory=lambda: dict(COUNTS))
    settings: Cells = field(default_factory=dict)

    def row(self, stage: str, batch: str, task: str = "work") -> Cells:
        """The one row of `schedule` at a stage, of a batch and a task."""
        (found,) = [row for row in self.schedule if (row["stage"], row["batch"], row["task"]) == (stage, batch, task)]
        return found

    def row_on(self, date: dt.date, stage: str, batch: str) -> Cells:
        """The one row of `schedule` on a date, at a stage, of a batch."""
        (found,) = [row for row in self.schedule if (row["date"], row["stage"], row["batch"]) == (date, stage, batch)]
        return found

    def move(self, row: Cells, date: dt.date) -> None:
        """The row on another date, with its weekday, and the rows in order again."""
        row.update(date=date, weekday=WEEKDAYS[date.weekday()])
        self.in_order()

    def in_order(self) -> None:
        """The rows of the schedule sorted by date."""
        self.schedule.sort(key=lambda row: row["date"])

    def frames(self) -> tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]:
        """Pieces, schedule and kiln loads as typed sheets."""
        return frame("pieces", self.pieces), frame("schedule", self.schedule), frame("kiln_loads", self.kiln_loads)

    def broken(self) -> list[BrokenRule]:
        """What the rules say of it."""
        return broken_rules(make_job(settings=self.settings, **self.sheets), *self.frames(), self.counts)

    def rules(self) -> set[str]:
        """The rules that it breaks."""
        return {broken.rule for broken in self.broken()}


def small_plan() -> Plan:
    """The schedule told of above."""
    schedule = [
        work(march(1), "throw", "B1", CUP, 8, 30.0),
        work(march(1), "throw", "B2", PLATE, 5, 25.0),
        work(march(2), "turn", "B1", CUP, 7, 26.0),
        work(march(3), "turn", "B2", PLATE, 5, 20.0),
        *fire("L1", march(8), march(10), "bisque", "B1", CUP, 7, 7.0, 3.5),
        *fire("L1", march(8), march(10), "bisque", "B2", PLATE, 5, 5.0, 2.5),
        work(march(10), "dip", "B1", CUP, 7, 7.0),
        work(march(10), "dip", "B2", PLATE, 5, 5.0, worker="Ben"),
        *fire("L2", march(11), march(15), "glaze fire", "B1", CUP, 7, 7.0, 3.5),
        *fire("L2", march(11), march(15), "glaze fire", "B2", PLATE, 5, 5.0, 2.5),
    ]
    plan = Plan(
        sheets=copy.deepcopy(SHEETS),
        pieces=[
            *(at(stage, CUP, pieces) for stage, pieces in _numbers(8, 7)),
            *(at(stage, PLATE, pieces) for stage, pieces in _numbers(5, 5)),
        ],
        schedule=schedule,
        kiln_loads=[
            in_load("L1", "bisque", march(8), march(10), "B1", CUP, 7, 50.0),
            in_load("L1", "bisque", march(8), march(10), "B2", PLATE, 5, 50.0),
            in_load("L2", "glaze", march(11), march(15), "B1", CUP, 7, 50.0),
            in_load("L2", "glaze", march(11), march(15), "B2", PLATE, 5, 50.0),
        ],
    )
    plan.in_order()
    return plan


def _numbers(thrown: int, after: int) -> list[tuple[str, int]]:
    return [("throw", thrown), *((stage, after) for stage in ("turn", "bisque", "dip", "glaze fire"))]
