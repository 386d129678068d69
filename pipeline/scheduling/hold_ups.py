"""What holds up a late line: the plan is made again with one thing less to wait for, and the difference is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from itertools import islice

from pipeline.calendar import HUNDREDTHS, Calendar, Shift, Worker
from pipeline.scheduling.changes import beginnings
from pipeline.scheduling.dispatch import Dispatch
from pipeline.scheduling.search import best_timetable
from pipeline.scheduling.shop import Firing, Flow, Shop, Stop
from pipeline.scheduling.timetable import Timetable

WHOLE_DAY = 24 * 60 * HUNDREDTHS

MOST_TO_SEARCH = 1_500
"""Stages of all lines together, above which a shop is not searched again but planned by one way of working."""

MOST_TO_PLAN = 60_000
"""The same, of all the plans made by one way of working together: no plan is made that would go beyond."""

NOT_TOLD = "more than could be looked into in so large a plan"
"""What holds up a line of a large plan for which nothing was found that helps."""

Relief = tuple[str, Shop]
"""Words for what holds up ("the plan was made again with …"), and the shop without it."""


def hold_ups(shop: Shop, late: Mapping[int, int]) -> dict[int, str]:
    """For each late line (its place in the orders, and the days it is late) what holds it up, in words.

    What is named is what, taken away alone, would bring the line forward most; the plan made without it says by how
    much. If nothing alone helps, all is taken away at once: what is left then is drying, waiting and firing.

    A large shop (``MOST_TO_SEARCH``) is not searched again for each thing, but planned by one way of working, and only
    for as many things as ``MOST_TO_PLAN`` allows. What is told of it is true of that plan; that nothing helps cannot
    be known so, and is not told.
    """
    size = sum(len(flow.route) - flow.first for flow in shop.flows)
    large = size > MOST_TO_SEARCH
    plans = MOST_TO_PLAN // size if large else None
    found: dict[int, tuple[int, str]] = {}
    for words, easier in islice(_reliefs(shop), plans):
        days = _days_late(_one_way(easier) if large else best_timetable(easier))
        for line, now in late.items():
            then = days.get(line, now)
            if then < now and (line not in found or then < found[line][0]):
                found[line] = (then, words)
    reasons = {line: f"{words}: then {_late_words(then)}" for line, (then, words) in found.items()}
    if large:
        return dict.fromkeys(late, NOT_TOLD) | reasons
    if len(reasons) < len(late):
        free = shop
        for relief in (_more_hours, _second_kilns, _bats_enough, _never_closed, _no_limits, _clay_in_hand):
            free = relief(free)
        days = _days_late(best_timetable(free))
        for line in late:
            if line not in reasons:
                then = days.get(line, 0)
                alone = "several things together" if then < late[line] else "drying, waiting and firing alone"
                reasons[line] = f"{alone}: with nothing else in its way {_late_words(then)}"
    return reasons


def _one_way(shop: Shop) -> Timetable:
    """The timetable of the first way of working; empty if it leaves anything over."""
    timetable = Dispatch(shop, beginnings(shop)[0]).run()
    assert timetable is not None
    return replace(timetable, placements=[]) if timetable.worth()[0] else timetable


def _late_words(days: int) -> str:
    return "in time" if days <= 0 else f"{days} {'day' if days == 1 else 'days'} late"


def _days_late(timetable: Timetable) -> dict[int, int]:
    """The days by which each line is late, by its place in the orders."""
    days: dict[int, int] = {}
    for placed in timetable.placements:
        line = placed.flow.line
        days[line] = max(days.get(line, 0), placed.finished - placed.flow.due)
    return days


def _reliefs(shop: Shop) -> Iterator[Relief]:
    """Each thing that may hold up, where there is any of it."""
    yield "hours of work; with as many as it takes", _more_hours(shop)
    for kiln in _unlike_kilns(shop):
        yield f"the kiln; with a second one like {kiln}", _second_kiln(shop, kiln)
    if shop.bats:
        yield "bats; with enough of each size", _bats_enough(shop)
    if shop.calendar.closed:
        yield "closed days; with work on them", _never_closed(shop)
    if any(stop.limits for flow in shop.flows for stop in flow.route):
        yield "most pieces a day; without that limit", _no_limits(shop)
    if any(flow.clay_day > shop.calendar.start for flow in shop.flows):
        yield "clay to be delivered; with it in the studio", _clay_in_hand(shop)


def _unlike_kilns(shop: Shop) -> list[str]:
    """The kilns without those that are as one before them: a second one of either is the same."""
    unlike: dict[str, list[Firing]] = {}
    for kiln in dict.fromkeys(firing.kiln for firing in shop.firings):
        firings = [replace(firing, kiln="") for firing in shop.firings if firing.kiln == kiln]
        if firings not in unlike.values():
            unlike[kiln] = firings
    return list(unlike)


def _more_hours(shop: Shop) -> Shop:
    def longer(shift: Shift) -> Shift:
        return replace(shift, time=WHOLE_DAY * 10) if shift.time else shift

    workers = tuple(
        Worker(
            worker.name,
            tuple(longer(shift) for shift in worker.by_weekday),
            {day: longer(shift) for day, shift in worker.by_date.items()},
        )
        for worker in shop.calendar.workers
    )
    return replace(shop, calendar=Calendar(workers, shop.calendar.start, shop.calendar.closed))


def _second_kiln(shop: Shop, kiln: str) -> Shop:
    second = tuple(replace(firing, kiln=f"second {kiln}") for firing in shop.firings if firing.kiln == kiln)
    return replace(shop, firings=shop.firings + second)


def _second_kilns(shop: Shop) -> Shop:
    for kiln in dict.fromkeys(firing.kiln for firing in shop.firings):
        shop = _second_kiln(_second_kiln(shop, kiln), f"second {kiln}")
    return shop


def _bats_enough(shop: Shop) -> Shop:
    return replace(shop, bats=None)


def _never_closed(shop: Shop) -> Shop:
    return replace(shop, calendar=Calendar(shop.calendar.workers, shop.calendar.start, frozenset()))


def _no_limits(shop: Shop) -> Shop:
    def unlimited(stop: Stop) -> Stop:
        return replace(stop, limits=())

    return _flows(shop, lambda flow: replace(flow, route=tuple(unlimited(stop) for stop in flow.route)))


def _clay_in_hand(shop: Shop) -> Shop:
    return _flows(shop, lambda flow: replace(flow, clay_day=shop.calendar.start))


def _flows(shop: Shop, change: Callable[[Flow], Flow]) -> Shop:
    return replace(shop, flows=tuple(change(flow) for flow in shop.flows))
