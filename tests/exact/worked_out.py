"""The optimum's plan as the sheets `schedule` and `kiln_loads`, so that the independent checker can judge the model."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import polars as pl

from pipeline.checking.working_days import WEEKDAYS
from pipeline.steps.kiln_loads import kiln_loads
from tests.exact.flow import Channel
from tests.exact.hands import Task
from tests.exact.optimum import Optimum
from tests.exact.studio import UNITS
from tests.shops import Cells, frame


@dataclass
class Part:
    """Pieces of one batch that enter a stage on a day; ``left`` of them have not yet gone on to the next."""

    channel: Channel
    day: int
    batch: tuple[int, int]
    pieces: int
    left: int


def worked_out(best: Optimum) -> tuple[pl.DataFrame, pl.DataFrame]:
    """The `schedule` and the `kiln_loads` of the optimum."""
    parts = [part for line in range(len(best.exact.studio.lines)) for part in _parts(best, line)]
    names = _batch_names(best, parts)
    by_worker = {
        task: {worker: best.value(pieces) for worker, pieces in shares.items()}
        for task, shares in best.exact.hands.pieces.items()
    }
    rows: list[Cells] = []
    at_work: dict[Task, list[Part]] = defaultdict(list)
    for part in parts:
        at_work[part.channel.line.name[1], part.channel.place, part.day].append(part)
    for task, together in at_work.items():
        rows.extend(_task_rows(best, task, together, by_worker.get(task, {}), names))
    _add_load_minutes(best, rows)
    numbers = {key: f"L{at}" for at, key in enumerate(sorted({row["load"] for row in rows if row["load"]}), 1)}
    for row in rows:
        # Rounded down, as rows may be; up they might be longer than the day.
        row["minutes"] = row["minutes"] // (UNITS // 100) / 100
        row["load"] = numbers.get(row["load"])
        row["weekday"] = WEEKDAYS[row["date"].weekday()]
    rows.sort(key=lambda row: (row["date"], row["stage"], row["batch"]))
    schedule = frame("schedule", rows)
    job = best.exact.studio.shop.job
    return schedule, kiln_loads(schedule, job.forms, job.stages, job.firings, job.kilns, job.kiln_fit)


def _parts(best: Optimum, line: int) -> Iterator[Part]:
    """The pieces of a line at every stage by batch: each goes on in place of one whose window closes first."""
    flow, studio = best.exact.flow, best.exact.studio
    route = studio.lines[line].route
    before: list[Part] = []
    for place in range(len(route)):
        standing = [[row, at, best.value(flow.taken[line, at])] for at, row in enumerate(studio.standing)
                    if (line, at) in flow.taken and row.place == place]  # fmt: skip
        entering: list[Part] = []
        entries = sorted(
            ((day, channel) for channel in flow.channels[line, place] for day in channel.done), key=lambda one: one[0]
        )
        for day, channel in entries:
            wanted = best.value(channel.on(day))
            if place == 0 and wanted:
                entering.append(Part(channel, day, (line, day), wanted, wanted))
                wanted = 0
            sources: list[tuple[int, Any, tuple[int, int]]] = []
            for part in before:
                first, last = studio.window(route[place - 1], part.channel.done[part.day])
                if first <= day and (last is None or day <= last):
                    sources.append((studio.end if last is None else last, part, part.batch))
            for entry in standing:
                row, at, _ = entry
                if row.first <= day and (row.last is None or day <= row.last):
                    sources.append((studio.end if row.last is None else row.last, entry, (line, -1 - at)))
            for _, source, batch in sorted(sources, key=lambda one: one[0]):
                have = source.left if isinstance(source, Part) else source[2]
                some = min(wanted, have)
                if some:
                    entering.append(Part(channel, day, batch, some, some))
                    wanted -= some
                    if isinstance(source, Part):
                        source.left -= some
                    else:
                        source[2] -= some
            assert wanted == 0, f"{wanted} pieces of {studio.lines[line].name} enter {route[place].name} from nowhere"
        yield from entering
        before = entering


def _batch_names(best: Optimum, parts: list[Part]) -> dict[tuple[int, int], str]:
    """``B1`` … for pieces begun, ``P1`` … for those that stood in the studio."""
    batches = dict.fromkeys(part.batch for part in parts)
    return {batch: f"{'P' if batch[1] < 0 else 'B'}{at}" for at, batch in enumerate(batches, 1)}


def _task_rows(
    best: Optimum, task: Task, parts: list[Part], by_worker: dict[str, int], names: dict[tuple[int, int], str]
) -> Iterator[Cells]:
    """Rows of a form's pieces at a stage on a day, each piece in the hands of a worker; minutes still in units."""
    studio = best.exact.studio
    form, place, day = task
    stage = parts[0].channel.line.route[place]
    setups = {worker: best.value(does) for worker, does in best.exact.hands.setups.get(task, {}).items()}
    shares = [[worker, pieces] for worker, pieces in by_worker.items() if pieces] or [[None, studio.end * 10**6]]
    for part in parts:
        wanted = part.pieces
        while wanted:
            worker, free = shares[0]
            some = min(wanted, free)
            shares[0][1] -= some
            wanted -= some
            if not shares[0][1]:
                shares.pop(0)
            row: Cells = {
                "date": studio.date(day), "stage": stage.name, "task": "work", "batch": names[part.batch],
                "order": part.channel.line.name[0], "form": form, "glaze": part.channel.line.name[2], "pieces": some,
                "minutes": 0, "worker": worker, "kiln": None, "load": None,
            }  # fmt: skip
            if worker is not None:
                row["minutes"] = round(some * stage.minutes_each * UNITS)
                row["minutes"] += setups.pop(worker, 0) * round(stage.setup_minutes * UNITS)
            kiln = part.channel.kiln
            if kiln is None:
                yield row
                continue
            load = (day, kiln.name, kiln.firing)
            yield row | {"task": "load", "kiln": kiln.name, "load": load}
            out = studio.date(part.channel.done[day])
            yield row | {
                "task": "unload", "kiln": kiln.name, "load": load, "date": out, "minutes": 0, "worker": None,
            }  # fmt: skip


def _add_load_minutes(best: Optimum, rows: list[Cells]) -> None:
    """The minutes of whole loads, on a row of each who has a hand in them."""
    loads = best.exact.loads
    for task, of_task in (("load", loads.loading), ("unload", loads.unloading)):
        for (firing, kiln, day), shares in of_task.items():
            inside = [row for row in rows if row["task"] == task and row["load"] == (day, kiln, firing)]
            times = {worker: best.value(share) for worker, share in shares.items()}
            for worker, time in times.items():
                if time:
                    able = [row for row in inside if best.exact.studio.does(worker, best.exact.studio.day(row["date"]),
                                                                            {row["stage"], firing})]  # fmt: skip
                    mine = next((row for row in able if row["worker"] in (None, worker)), None)
                    if mine is None:
                        mine = able[0] | {"pieces": 0, "minutes": 0}
                        rows.append(mine)
                    mine["worker"] = worker
                    mine["minutes"] += time
