"""What holds up a late line: the plan is made again with one thing less to wait for, and the difference is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from pipeline.calendar import HUNDREDTHS, Calendar, Shift, Worker
from pipeline.scheduling.search import stages_left
from pipeline.scheduling.shop import Firing, Flow, Shop, Stop
from pipeline.scheduling.trials import Trials

WHOLE_DAY = 24 * 60 * HUNDREDTHS

MOST_WORK = 60_000
"""How often lots may be tried in all the plans that are made to find out what holds up the late lines of a job. A shop
of a few lines is searched as ever for each thing that may hold up; the larger a shop, the less is it searched, down to
one way of working, and to fewer things."""

NOT_TOLD = "more than could be looked into in so large a plan"
"""What holds up a line of a large plan for which nothing was found that helps."""

HOURS, KILN, BATS, CLOSED, LIMITS = "hours", "kiln", "bats", "closed days", "most a day"
CLAY, MATERIALS = "clay", "materials"
"""What may hold up; a kiln is followed by its name."""


@dataclass(frozen=True)
class Relief:
    """The shop without one thing that may hold up; ``words`` say what it is ("the plan was made again with ...")."""

    what: str
    words: str
    shop: Shop


@dataclass
class HoldUp:
    """What holds a line up, in words; and what was found to bring it in time when it alone is taken away."""

    words: str = NOT_TOLD
    mended: set[str] = field(default_factory=set)


def hold_ups(shop: Shop, late: Mapping[int, int]) -> dict[int, HoldUp]:
    """For each late line (its place in the orders, and the days it is late) what holds it up.

    What is named is what, taken away alone, would bring the line forward most; the plan made without it says by how
    much. If nothing alone helps, all is taken away at once: what is left then is drying, waiting and firing.

    All these plans together take no more work than ``MOST_WORK``, each an equal part of it. What is told of a plan that
    was searched for less long is true of that plan; that nothing helps cannot be known so, and is not told. Where not
    even one of them can be made, the shops without these things are not made up, either.
    """
    found = {line: HoldUp() for line in late}
    if stages_left(shop) > MOST_WORK:
        return found
    reliefs = list(_reliefs(shop))
    trials, part = Trials(MOST_WORK), MOST_WORK // (len(reliefs) + 1)
    best = dict(late)
    sure = True
    for relief in reliefs:
        tried = trials.late(relief.shop, part)
        if tried is None:
            sure = False
            continue
        sure = sure and tried.whole
        for line in late:
            then = tried.days.get(line, late[line])
            if then <= 0:
                found[line].mended.add(relief.what)
            if then < best[line]:
                best[line] = then
                found[line].words = f"{relief.words}: then {_late_words(then)}"
    unhelped = [line for line in late if best[line] == late[line]]
    if unhelped and sure:
        free = shop
        for ease in ALL_EASED:
            free = ease(free)
        tried = trials.late(free, part)
        for line in unhelped if tried is not None else ():
            assert tried is not None
            then = tried.days.get(line, 0)
            alone = "several things together" if then < late[line] else "drying, waiting and firing alone"
            found[line].words = f"{alone}: with nothing else in its way {_late_words(then)}"
    return found


def _late_words(days: int) -> str:
    return "in time" if days <= 0 else f"{days} {'day' if days == 1 else 'days'} late"


def _reliefs(shop: Shop) -> Iterator[Relief]:
    """Each thing that may hold up, where there is any of it."""
    yield Relief(HOURS, "hours of work; with as many as it takes", _more_hours(shop))
    for kiln in _unlike_kilns(shop):
        yield Relief(KILN + kiln, f"the kiln; with a second one like {kiln}", _second_kiln(shop, kiln))
    if shop.bats:
        yield Relief(BATS, "bats; with enough of each size", _bats_enough(shop))
    if shop.calendar.closed:
        yield Relief(CLOSED, "closed days; with work on them", _never_closed(shop))
    if any(stop.limits for flow in shop.flows for stop in flow.route):
        yield Relief(LIMITS, "most pieces a day; without that limit", _no_limits(shop))
    if any(flow.clay_day > shop.calendar.start for flow in shop.flows):
        yield Relief(CLAY, "clay to be delivered; with it in the studio", _clay_in_hand(shop))
    if any(flow.supplied for flow in shop.flows):
        yield Relief(MATERIALS, "materials to be delivered; with them in the studio", _materials_in_hand(shop))


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


def _materials_in_hand(shop: Shop) -> Shop:
    return _flows(shop, lambda flow: replace(flow, supplied={}))


def _flows(shop: Shop, change: Callable[[Flow], Flow]) -> Shop:
    return replace(shop, flows=tuple(change(flow) for flow in shop.flows))


ALL_EASED = (
    _more_hours,
    _second_kilns,
    _bats_enough,
    _never_closed,
    _no_limits,
    _clay_in_hand,
    _materials_in_hand,
)
"""Everything that is in the way, taken out of it."""
