"""The model of all plans of a job, and what makes one of them good."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import polars as pl
from ortools.sat.python import cp_model

from pipeline.exact.bats import add_bats
from pipeline.exact.clay import add_clay
from pipeline.exact.flow import Flow, Sum, add_flow
from pipeline.exact.hands import Hands, add_hands
from pipeline.exact.kilns import Loads, add_kilns
from pipeline.exact.materials import add_materials
from pipeline.exact.studio import UNITS, Studio, studio_of
from pipeline.job import Job

LEVEL = 5 * UNITS
"""Days that differ by less, five minutes, are level enough."""


@dataclass(frozen=True)
class Exact:
    """The model of a job."""

    model: cp_model.CpModel
    studio: Studio
    flow: Flow
    hands: Hands
    loads: Loads


def exact_model(job: Job, pieces: pl.DataFrame, end: dt.date, *, strict: bool = False) -> Exact:
    """The model of all plans of a job that end before a date, by rules 5a to 5h.

    Beyond the rules, no trick is allowed that nobody plans by: the good pieces of a stage are not those that were begun
    first, and nothing is made of clay that has not come. Where the model is not quite what the scheduler may do it is
    laxer, so that no schedule is better than its optimum:

    * a day's minutes may pass the hours by the rounding that the checker allows;
    * a line's share of the losses is rounded, and after its second stage up to a piece more in its favour; behind work
      in progress the good ones may still be the first; and what is lost leaves its bats at once;
    * clay in hand goes to whichever lines are best served by it, where the schedule gives it to them in their turn;
    * a kiln need not be filled to its least;
    * glaze materials, wax and the like are always there.

    If ``strict``, what is lost keeps its bat as long as any rule could have it: a plan on bats can then be worked, but
    is no measure of others.
    """
    studio = studio_of(job, pieces, end)
    model = cp_model.CpModel()
    flow = add_flow(model, studio)
    hands = add_hands(flow)
    loads = add_kilns(flow, hands)
    hands.close(model)
    add_bats(flow, strict=strict)
    add_clay(flow, pieces)
    add_materials(flow, pieces)
    return Exact(model, studio, flow, hands, loads)


# Aims, each the less the better


def lateness(exact: Exact) -> Sum:
    """Pieces x days late x weight, times ``studio.scale``: each night from its due date on counts a piece not done."""
    late: Sum = 0
    for at, line in enumerate(exact.studio.lines):
        if line.due is not None:
            last = len(line.route) - 1
            for night in range(line.due, exact.studio.end):
                late += line.weight * (line.entering[last] - exact.flow.done_by(at, last, night))
    return late


def firings(exact: Exact) -> Sum:
    """Kiln loads."""
    return sum(exact.loads.fired.values())


def finish(exact: Exact, known: int) -> Sum:
    """The day on which the last piece of any stage is done; 0 if nothing is to be made after the first day.

    ``known`` is that day in a plan from which the solver may begin.
    """
    end = exact.studio.end
    after = [exact.model.new_bool_var(f"still at work after {day}") for day in range(end)]
    for day in range(end):
        for at, line in enumerate(exact.studio.lines):
            for place, pieces in enumerate(line.entering):
                if pieces:
                    undone = pieces - exact.flow.done_by(at, place, day)
                    exact.model.add(undone <= pieces * after[day])
        if day:
            exact.model.add_implication(after[day], after[day - 1])
        exact.model.add_hint(after[day], day < known)
    return sum(after)


def lots(exact: Exact, hint: list[int]) -> Sum:
    """Days on which a line is at a stage, each kiln of a firing counted by itself: the fewer, the larger the lots.

    ``hint`` is a plan, by the place of each variable of the model, from which the solver may begin.
    """
    counted: list[cp_model.IntVar] = []
    for channels in exact.flow.channels.values():
        for channel in channels:
            most = channel.line.entering[channel.place]
            before = 0
            for day, entered in channel.entered.items() if most else ():
                busy = exact.model.new_bool_var(f"{channel.line.name} {channel.place} on {day}")
                exact.model.add(channel.on(day) <= most * busy)
                exact.model.add_hint(busy, hint[entered.index] > before)
                before = hint[entered.index]
                counted.append(busy)
    return sum(counted)


def longest_day(exact: Exact) -> Sum:
    """The longest that anybody works on a day, in steps of ``LEVEL`` units begun."""
    spent, model = exact.hands.spent, exact.model
    longest = model.new_int_var(0, -(-max(exact.hands.hours.values(), default=0) // LEVEL), "longest day")
    for times in spent.values():
        model.add(sum(times) <= LEVEL * longest)
    return longest
