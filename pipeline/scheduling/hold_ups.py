"""What holds up a late line: the plan is made again with one thing less to wait for, and the difference is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from pipeline.calendar import HUNDREDTHS, Calendar, Shift, Worker
from pipeline.scheduling.search import stages_left
from pipeline.scheduling.shop import Firing, Flow, Shop, Stop
from pipeline.scheduling.trials import Trial, Trials, Tried, long, quick

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


@dataclass(frozen=True, eq=False)
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


def hold_ups(shop: Shop, late: Mapping[int, int], made: list[Trial] | None = None) -> dict[int, HoldUp]:
    """For each late line (its place in the orders, and the days it is late) what holds it up.

    What is named is what, taken away alone, would bring the line forward most; the plan made without it says by how
    much. If nothing alone helps, all is taken away at once: what is left then is drying, waiting and firing. In a small
    shop that is looked into first, as it is soon known: where even that does not help, nothing alone does.

    All these plans together take no more work than ``MOST_WORK``, each an equal part of it; they are added to those
    ``made``, if somebody else has use for them. What is told of a plan that was searched for less long is true of that
    plan; that nothing helps cannot be known so, and is not told. Where not even one of them can be made, the shops
    without these things are not made up, either.
    """
    found = {line: HoldUp() for line in late}
    if stages_left(shop) > MOST_WORK:
        return found
    reliefs = list(_reliefs(shop))
    trials = Trials(MOST_WORK, made=[] if made is None else made)
    part = MOST_WORK // (len(reliefs) + 1)
    free = trials.late(_all_eased(shop), part) if quick(shop) <= part else None
    alone = {line for line in late if free is not None and free.whole and free.days.get(line, 0) >= late[line]}
    held = {line: days for line, days in late.items() if line not in alone}
    tried = _without_each(reliefs, held, trials, part) if held else {}
    unhelped = set(alone)
    for line, days in held.items():
        best = days
        for relief, without in tried.items():
            then = without.days.get(line, days)
            if then <= 0:
                found[line].mended.add(relief.what)
            if then < best:
                best = then
                found[line].words = f"{relief.words}: then {_late_words(then)}"
        if best == days and len(tried) == len(reliefs) and all(without.whole for without in tried.values()):
            unhelped.add(line)
    if unhelped and free is None:
        free = trials.late(_all_eased(shop), part)
    for line in unhelped if free is not None else ():
        assert free is not None
        then = free.days.get(line, 0)
        what = "several things together" if then < late[line] else "drying, waiting and firing alone"
        found[line].words = f"{what}: with nothing else in its way {_late_words(then)}"
    return found


def _without_each(reliefs: Sequence[Relief], late: Mapping[int, int], trials: Trials, part: int) -> dict[Relief, Tried]:
    """Who would be late without each of the things, as far as there is work left for them.

    Each is tried quickly; and at length what nearly has a line in time; and to the end what helps a line most but does
    not have it in time, or all of them, if none seems to help a line.
    """
    tried = {relief: trials.late(relief.shop, min(part, quick(relief.shop))) for relief in reliefs}
    known = {relief: without for relief, without in tried.items() if without is not None}
    best = {line: min([days, *(one.days.get(line, days) for one in known.values())]) for line, days in late.items()}
    wanted: dict[Relief, int] = {}
    for relief, without in known.items():
        for line, days in late.items():
            if best[line] == days or 0 < best[line] == without.days.get(line, days):
                wanted[relief] = part
            elif without.nearly(line, days):
                wanted[relief] = max(wanted.get(relief, 0), min(part, long(relief.shop)))
    for relief, work in wanted.items():
        known[relief] = trials.late(relief.shop, work) or known[relief]
    return known


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
    """The shop with a kiln more, as that of the job with it would be."""
    firings: list[Firing] = []
    for firing in shop.firings:
        firings.append(firing)
        if firing.kiln == kiln:
            firings.append(replace(firing, kiln=f"second {kiln}"))
    return replace(shop, firings=tuple(firings))


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


def _all_eased(shop: Shop) -> Shop:
    """The shop with everything taken away that may hold up."""
    for ease in ALL_EASED:
        shop = ease(shop)
    return shop


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
