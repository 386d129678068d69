"""Pieces through the stages: how many of a line have entered each stage by each day, and the waits between."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model

from pipeline.exact.studio import Kiln, LineToMake, Standing, Studio

Sum = Any
"""A linear expression of the solver, or a whole number."""


@dataclass(frozen=True)
class Channel:
    """The pieces of a line that enter a stage, in one kiln if it is a firing.

    ``done`` has, for each day on which they may enter, the day on which they are done: the same, or that of unloading.
    ``entered`` counts, for each such day, the pieces that have entered up to it; it never falls.
    """

    line: LineToMake
    place: int
    kiln: Kiln | None
    done: dict[int, int]
    entered: dict[int, cp_model.IntVar]

    def on(self, day: int) -> Sum:
        """Pieces that enter on a day."""
        return self.total(lambda each: each == day)

    def done_by(self, day: int) -> Sum:
        """Pieces that are done up to a day."""
        return self.total(lambda each: self.done[each] <= day)

    def total(self, wanted: Callable[[int], bool]) -> Sum:
        """Pieces that enter on the days that are wanted; each run of such days is one difference of two counts."""
        days = list(self.done)
        found: Sum = 0
        for at, day in enumerate(days):
            if wanted(day):
                if at == 0 or not wanted(days[at - 1]):
                    found -= self.entered[days[at - 1]] if at else 0
                if at + 1 == len(days) or not wanted(days[at + 1]):
                    found += self.entered[day]
        return found


@dataclass(frozen=True)
class Flow:
    """The channels of each line and stage, and how many pieces each line takes of each row of work in progress.

    ``going`` has, for each line and stage that has most days and loses pieces after it, those of its channels' pieces
    that go on to the next.
    """

    model: cp_model.CpModel
    studio: Studio
    channels: dict[tuple[int, int], list[Channel]] = field(default_factory=dict)
    taken: dict[tuple[int, int], cp_model.IntVar] = field(default_factory=dict)
    going: dict[tuple[int, int], list[Channel]] = field(default_factory=dict)

    def entered_by(self, line: int, place: int, day: int) -> Sum:
        """Pieces of a line that have entered a stage up to a day."""
        return sum(channel.total(lambda each: each <= day) for channel in self.channels[line, place])

    def done_by(self, line: int, place: int, day: int) -> Sum:
        """Pieces of a line that are done with a stage up to a day."""
        return sum(channel.done_by(day) for channel in self.channels[line, place])

    def standing(self, line: int, place: int) -> list[tuple[Standing, cp_model.IntVar]]:
        """The rows of work in progress from which the line's pieces may enter a stage, and how many it takes."""
        rows = enumerate(self.studio.standing)
        return [(row, self.taken[line, at]) for at, row in rows if (line, at) in self.taken and row.place == place]


def add_flow(model: cp_model.CpModel, studio: Studio) -> Flow:
    """Rules 5a, 5b and 5f: every piece of ``pieces`` through every stage, on days with work, within its waits.

    Of a line's pieces one is like another, so all of a line's batches are counted together. What enters by a day is no
    more than what may have gone on by then, and what has to go on within some days enters in them. Some way to give
    each piece that enters one that has had the stage before, at a fitting date, exists if and only if that holds for
    every span of days (Hall's condition, 1935; from memory. For windows it need be asked of spans alone).
    """
    flow = Flow(model, studio)
    _take_standing(flow)
    for at, line in enumerate(studio.lines):
        earliest = 0
        for place, stage in enumerate(line.route):
            waiting = [row.first for row, _ in flow.standing(at, place)]
            if place:
                opens = [
                    studio.window(line.route[place - 1], done)[0]
                    for channel in flow.channels[at, place - 1]
                    for done in channel.done.values()
                ]
                earliest = min([*waiting, *opens], default=studio.end)
            flow.channels[at, place] = _channels(flow, line, place, earliest)
            model.add(flow.entered_by(at, place, studio.end) == line.entering[place])
            if place:
                _add_waits(flow, at, place)
                _add_losses(flow, at, place)
            assert stage.place == place
    return flow


def _take_standing(flow: Flow) -> None:
    """Rows of work in progress shared out as ``pieces`` has it, no piece twice."""
    lines, rows = flow.studio.lines, flow.studio.standing
    for at, row in enumerate(rows):
        for number, line in enumerate(lines):
            if row.may_be(line.name) and line.standing[row.place]:
                flow.taken[number, at] = flow.model.new_int_var(0, row.pieces, f"standing {at} of line {number}")
        flow.model.add(sum(flow.taken.get((number, at), 0) for number in range(len(lines))) <= row.pieces)
    for number, line in enumerate(lines):
        for place, pieces in enumerate(line.standing):
            flow.model.add(sum(taken for _, taken in flow.standing(number, place)) == pieces)


def _channels(flow: Flow, line: LineToMake, place: int, earliest: int) -> list[Channel]:
    """One channel for a stage of work; for a firing one for each kiln that takes the form."""
    studio, stage = flow.studio, line.route[place]
    days = [day for day in range(earliest, studio.end) if studio.works(day)]
    if stage.firing is None:
        return [_channel(flow, line, place, None, {day: day for day in days})]
    return [
        _channel(
            flow, line, place, kiln, {day: out for day in days if (out := studio.unload_day(kiln, day)) is not None}
        )
        for kiln in studio.kilns
        if kiln.firing == stage.firing and kiln.counts[line.name[1]]
    ]


def _channel(flow: Flow, line: LineToMake, place: int, kiln: Kiln | None, done: dict[int, int]) -> Channel:
    what = f"{line.name} {line.route[place].name} {kiln.name if kiln else ''}"
    entered = {day: flow.model.new_int_var(0, line.entering[place], f"{what} by {day}") for day in done}
    counts = list(entered.values())
    for before, after in pairwise(counts):
        flow.model.add(before <= after)
    return Channel(line, place, kiln, done, entered)


def _add_waits(flow: Flow, line: int, place: int) -> None:
    """Least and most days between a stage and the one before it."""
    studio, model = flow.studio, flow.model
    made = studio.lines[line]
    before = made.route[place - 1]
    standing = flow.standing(line, place)
    sources = [
        (channel, {day: studio.window(before, done) for day, done in channel.done.items()})
        for channel in flow.channels[line, place - 1]
    ]
    if before.wait_days_max is not None:
        lost = made.entering[place - 1] + made.standing[place] - made.entering[place]
        if lost:
            flow.going[line, place - 1] = [_survivors(flow, channel) for channel, _ in sources]
            sources = [
                (going, windows) for going, (_, windows) in zip(flow.going[line, place - 1], sources, strict=True)
            ]
        going = sum(channel.total(lambda _: True) for channel, _ in sources)
        model.add(going == made.entering[place] - made.standing[place])
    for day in sorted({day for channel in flow.channels[line, place] for day in channel.done}):
        opened: Sum = 0
        for channel, windows in sources:
            opened += channel.total({each for each, (first, _) in windows.items() if first <= day}.__contains__)
        opened += sum(taken for row, taken in standing if row.first <= day)
        model.add(flow.entered_by(line, place, day) <= opened)
    if before.wait_days_max is None:
        return
    spans = sorted({(row.first, _end(flow, row.last)) for row, _ in standing}.union(
        (first, _end(flow, last)) for _, windows in sources for first, last in windows.values()
    ))  # fmt: skip
    for opens, closes in _spans_to_ask(spans):
        if closes < studio.end:
            inside: Sum = sum(taken for row, taken in standing if opens <= row.first and _end(flow, row.last) <= closes)
            for channel, windows in sources:
                within = {
                    day for day, (first, last) in windows.items() if opens <= first and _end(flow, last) <= closes
                }
                inside += channel.total(within.__contains__)
            entered = flow.entered_by(line, place, closes) - flow.entered_by(line, place, opens - 1)
            model.add(inside <= entered)


def _add_losses(flow: Flow, line: int, place: int) -> None:
    """Each lot bears its share of the losses of a stage: of the pieces allowed on by a day no larger share is good.

    The share is rounded up, as the first piece of a line is a good one. The first stage is begun in the order of the
    line's pieces; at later ones a lot may go ahead of an earlier one, both are rounded, and a piece more is allowed.
    Lots of pieces in progress have shares of their own, rounded each by itself: a line with such pieces on the way to
    the stage before is left as it is.
    """
    studio = flow.studio
    made = studio.lines[line]
    before = made.route[place - 1]
    came, good = made.entering[place - 1], made.entering[place] - made.standing[place]
    if good >= came or any(made.standing[:place]):
        return
    rounding = came - 1 if place == 1 else 2 * came - 1
    standing = flow.standing(line, place)
    for day in sorted({day for channel in flow.channels[line, place] for day in channel.done}):
        opened: Sum = 0
        for channel in flow.channels[line, place - 1]:
            ready = {each for each, done in channel.done.items() if studio.window(before, done)[0] <= day}
            opened += channel.total(ready.__contains__)
        entered = flow.entered_by(line, place, day) - sum(taken for row, taken in standing if row.first <= day)
        flow.model.add(came * entered <= good * opened + rounding)


def _end(flow: Flow, last: int | None) -> int:
    """The last day of a window as a number: one that closes only when the plan has ended might as well then."""
    return flow.studio.end if last is None else min(last, flow.studio.end)


def _spans_to_ask(spans: list[tuple[int, int]]) -> set[tuple[int, int]]:
    """Spans of days in which all that has to go on within them must fit.

    From the first day up to each closing; and, where a window lies within another, from its opening up to its closing:
    only there the former do not say it already.
    """
    nested = [inner for inner in spans if any(opens < inner[0] and inner[1] < closes for opens, closes in spans)]
    asked = {(0, closes) for _, closes in spans}
    return asked | {(opens, closes) for opens, _ in nested for _, closes in nested if opens <= closes}


def _survivors(flow: Flow, channel: Channel) -> Channel:
    """Of a channel's pieces those that go on to the next stage; any may be those that are lost."""
    going = _channel(flow, channel.line, channel.place, channel.kiln, channel.done)
    for day in channel.done:
        flow.model.add(going.on(day) <= channel.on(day))
    return going
