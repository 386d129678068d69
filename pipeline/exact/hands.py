"""Working time: the minutes of each worker's day, set-ups, and the most pieces of a day."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from pipeline.checking.facts import Stage
from pipeline.exact.flow import Flow, Sum
from pipeline.exact.studio import UNITS

Task = tuple[str, int, int]
"""Form, place of the stage on its route, day."""


@dataclass(frozen=True)
class Hands:
    """What each worker does of each task: pieces, and whether the set-up is theirs; and the time that takes.

    ``spent`` adds up each worker's time on each day, and ``hours`` is what they have. ``busy`` tells of a task with a
    set-up whether it is worked.
    """

    pieces: dict[Task, dict[str, Sum]] = field(default_factory=dict)
    setups: dict[Task, dict[str, Sum]] = field(default_factory=dict)
    busy: dict[Task, cp_model.IntVar] = field(default_factory=dict)
    spent: dict[tuple[str, int], list[Sum]] = field(default_factory=lambda: defaultdict(list))
    hours: dict[tuple[str, int], int] = field(default_factory=dict)

    def close(self, model: cp_model.CpModel) -> None:
        """Rule 5c: nobody's day is longer than their hours. To be called when all time has been booked."""
        for (worker, day), times in self.spent.items():
            model.add(sum(times) <= self.hours[worker, day])

    def share(
        self, model: cp_model.CpModel, what: str, day: int, able: list[tuple[str, int]], units: int, wanted: Sum
    ) -> dict[str, Sum]:
        """Time that goes by no piece (a load's), ``units`` if ``wanted`` is 1, divided at will among those able."""
        if len(able) == 1:
            parts: dict[str, Sum] = {able[0][0]: units * wanted}
        else:
            parts = {worker: model.new_int_var(0, units, f"{what} by {worker}") for worker, _ in able}
            model.add(sum(parts.values()) == units * wanted)
        for worker, time in able:
            self.hours[worker, day] = time
            self.spent[worker, day].append(parts[worker])
        return parts


def add_hands(flow: Flow) -> Hands:
    """Rules 5c and 5g, but for the minutes of whole loads: those are booked with the kilns.

    A piece is one worker's; a task's set-up is done, once, by one of those who do pieces of it.
    """
    hands = Hands()
    of_method: dict[tuple[str, str, int], list[Sum]] = defaultdict(list)
    limits: dict[tuple[str, str, int], int] = {}
    forms = {line.name[1]: line.route for line in flow.studio.lines}
    for form, route in forms.items():
        lines = [at for at, line in enumerate(flow.studio.lines) if line.name[1] == form]
        for stage in route:
            channels = [channel for at in lines for channel in flow.channels[at, stage.place]]
            for day in sorted({day for channel in channels for day in channel.done}):
                pieces = sum(channel.on(day) for channel in channels)
                if stage.most_of_form is not None:
                    flow.model.add(pieces <= stage.most_of_form)
                if stage.most_per_day is not None:
                    of_method[stage.method, stage.name, day].append(pieces)
                    limits[stage.method, stage.name, day] = stage.most_per_day
                _add_task(flow, hands, stage, (form, stage.place, day), pieces, lines)
    for key, counted in of_method.items():
        flow.model.add(sum(counted) <= limits[key])
    return hands


def _add_task(flow: Flow, hands: Hands, stage: Stage, task: Task, pieces: Sum, lines: list[int]) -> None:
    """The pieces of a form at a stage on a day, in the hands of those who do it."""
    model, day = flow.model, task[2]
    each = int(stage.minutes_each * UNITS + 1e-6)  # a whole number may fall a hair below itself
    setup = round(stage.setup_minutes * UNITS)
    if not each and not setup:
        return
    able = flow.studio.workers(day, {stage.name, stage.firing})
    most = sum(flow.studio.lines[at].entering[stage.place] for at in lines)
    limits = [limit for limit in (stage.most_of_form, stage.most_per_day) if limit is not None]
    most = min([most, *limits, *([sum(time // each for _, time in able)] if each else [])])
    if not able or not most:
        model.add(pieces == 0)
        return
    busy: Sum = 0
    if setup:
        busy = hands.busy[task] = model.new_bool_var(f"set up {task}")
        model.add(pieces <= most * busy)
    if len(able) == 1:
        hands.pieces[task], hands.setups[task] = {able[0][0]: pieces}, {able[0][0]: busy}
    else:
        hands.pieces[task] = {worker: model.new_int_var(0, most, f"{task} by {worker}") for worker, _ in able}
        model.add(sum(hands.pieces[task].values()) == pieces)
        hands.setups[task] = dict.fromkeys(hands.pieces[task], 0)
        if setup:
            hands.setups[task] = {worker: model.new_bool_var(f"set up {task} by {worker}") for worker, _ in able}
            model.add(sum(hands.setups[task].values()) == busy)
            for worker, does in hands.setups[task].items():
                model.add(does <= hands.pieces[task][worker])
    for worker, time in able:
        hands.hours[worker, day] = time
        hands.spent[worker, day].append(each * hands.pieces[task][worker] + setup * hands.setups[task][worker])
