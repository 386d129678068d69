"""The optimum's plan as the sheet `schedule`: who does which pieces of which batch, and what is fired together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.checking.working_days import WEEKDAYS
from pipeline.exact.hands import Task
from pipeline.exact.optimum import Optimum
from pipeline.exact.parts import Batch, Part, parts_of
from pipeline.exact.studio import UNITS, Kiln, Studio
from pipeline.money import share_out
from schemas.sheet import shaped, types
from schemas.sheets_out.schedule import Schedule

TO_THE_HUNDREDTH = UNITS // 100
"""Units of working time in a hundredth of a minute, to which the sheet's minutes are kept."""

Load = tuple[int, str, str]
"""The day of loading, the kiln and the firing."""


@dataclass
class Row:
    """A row to be: pieces of a part in the hands of a worker, if it takes any; ``time`` in units."""

    task: str
    part: Part
    pieces: int
    worker: str | None = None
    time: int = 0

    @property
    def day(self) -> int:
        """The day of the plan."""
        return self.part.done if self.task == "unload" else self.part.day

    @property
    def load(self) -> Load | None:
        """The load, if it is a firing."""
        kiln = self.part.channel.kiln
        return None if kiln is None else (self.part.day, kiln.name, kiln.firing)


def worked_out(best: Optimum) -> pl.DataFrame:
    """The `schedule` of the optimum."""
    studio = best.exact.studio
    parts = [part for line in range(len(studio.lines)) for part in parts_of(best, line)]
    rows = [*_in_hands(best, parts), *(Row("unload", part, part.pieces) for part in parts if part.channel.kiln)]
    rows += _hands_of_loads(best, rows)
    batches = _batch_names({part.batch for part in parts})
    loads = {load: f"L{at}" for at, load in enumerate(sorted({row.load for row in rows if row.load}), 1)}
    rows.sort(key=lambda row: (row.day, row.part.channel.place, row.task, row.part.channel.line.name[1],
                               row.part.batch, row.load or (), row.worker or ""))  # fmt: skip
    cells = [_cells(studio, row, batches[row.part.batch], loads.get(row.load) if row.load else None) for row in rows]
    return shaped(Schedule, pl.DataFrame(cells, schema=types(Schedule)))


def _cells(studio: Studio, row: Row, batch: str, load: str | None) -> dict[str, object]:
    channel, date = row.part.channel, studio.date(row.day)
    order, form, glaze = channel.line.name
    return {
        "date": date,
        "weekday": WEEKDAYS[date.weekday()],
        "stage": channel.line.route[channel.place].name,
        "task": row.task,
        "batch": batch,
        "order": order,
        "form": form,
        "glaze": glaze,
        "pieces": row.pieces,
        # Rounded down, as rows may be; up they might be longer than the day.
        "minutes": row.time // TO_THE_HUNDREDTH / 100,
        "worker": row.worker,
        "kiln": None if channel.kiln is None else channel.kiln.name,
        "load": load,
    }


def _batch_names(batches: Iterable[Batch]) -> dict[Batch, str]:
    """``P1`` … for those that stood in the studio, in the order of their sheet; ``B1`` … by the day begun."""
    standing = sorted((batch for batch in batches if batch[1] < 0), key=lambda batch: (-batch[1], batch[0]))
    begun = sorted((batch for batch in batches if batch[1] >= 0), key=lambda batch: (batch[1], batch[0]))
    names = {batch: f"P{number}" for number, batch in enumerate(standing, 1)}
    return names | {batch: f"B{number}" for number, batch in enumerate(begun, 1)}


def _in_hands(best: Optimum, parts: list[Part]) -> Iterator[Row]:
    """Each piece at each stage in the hands of a worker, if it takes time; of a date, stage and form one has the set-up
    besides.
    """
    hands = best.exact.hands
    tasks: dict[Task, list[Part]] = defaultdict(list)
    for part in parts:
        tasks[part.channel.line.name[1], part.channel.place, part.day].append(part)
    for task, together in tasks.items():
        stage = together[0].channel.line.route[task[1]]
        setups = {worker: best.value(does) for worker, does in hands.setups.get(task, {}).items()}
        shares = {worker: best.value(pieces) for worker, pieces in hands.pieces.get(task, {}).items()}
        for part in together:
            wanted = part.pieces
            for worker, free in shares.items():
                some = min(wanted, free)
                if some:
                    time = round(some * stage.minutes_each * UNITS)
                    time += setups.pop(worker, 0) * round(stage.setup_minutes * UNITS)
                    yield Row("load" if part.channel.kiln else "work", part, some, worker, time)
                    shares[worker] -= some
                    wanted -= some
            if wanted:
                yield Row("load" if part.channel.kiln else "work", part, wanted)


def _hands_of_loads(best: Optimum, rows: list[Row]) -> list[Row]:
    """Books the minutes of whole loads, shared among what is inside by the room it takes; gives the rows that have to
    be added, of no more pieces, where another worker has a hand in them.
    """
    inside: dict[tuple[str, Load], list[Row]] = defaultdict(list)
    for row in rows:
        if row.load is not None:
            inside[row.task, row.load].append(row)
    loads, more = best.exact.loads, list[Row]()
    for task, booked in (("load", loads.loading), ("unload", loads.unloading)):
        for (firing, kiln, day), shares in booked.items():
            found = inside.get((task, (day, kiln, firing)))
            if found:
                times = {worker: best.value(share) for worker, share in shares.items()}
                more += _shared(best.exact.studio, found, times)
    return more


def _shared(studio: Studio, rows: list[Row], times: dict[str, int]) -> list[Row]:
    """Adds the workers' ``times`` for a load to its rows; gives the rows added."""
    room = [Fraction(row.pieces, _kiln(row).counts[row.part.channel.line.name[1]]) for row in rows]
    portions = [int(portion) for portion in share_out(Decimal(sum(times.values())), room, 0)]
    more: list[Row] = []
    for fair in (True, False):  # what nobody can take of its share, for want of the skill, is booked where it can be
        for at, row in enumerate(rows):
            for worker, free in times.items():
                some = min(free, portions[at]) if fair else free
                if some and _able(studio, worker, row):
                    times[worker] -= some
                    portions[at] -= some
                    if row.worker in (None, worker):
                        row.worker, row.time = worker, row.time + some
                    else:
                        more.append(Row(row.task, row.part, 0, worker, some))
    return more


def _kiln(row: Row) -> Kiln:
    kiln = row.part.channel.kiln
    assert kiln is not None, "only a firing has a load"
    return kiln


def _able(studio: Studio, worker: str, row: Row) -> bool:
    channel = row.part.channel
    return studio.does(worker, row.day, {channel.line.route[channel.place].name, _kiln(row).firing})
