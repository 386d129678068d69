"""The latest day on which each line may be begun: found by planning with it begun then, all others kept to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from pipeline.scheduling.changes import beginnings
from pipeline.scheduling.following import Following
from pipeline.scheduling.search import stages_left
from pipeline.scheduling.shop import Shop

MOST_WORK = 10_000
"""How often lots may be tried in all the plans that are made for it; what is left then is told as it was reckoned."""

MOST_STAGES = 40_000
"""A shop with more stages than these, of all its lines together, is not planned again even once for it."""

MOST_TRIED = 6
"""Days tried for a line, before the one on which it is begun in the plan is told."""


def is_planned_again(shop: Shop) -> bool:
    """Whether the latest days are found by planning; in a larger shop they are as they were reckoned."""
    return stages_left(shop) <= MOST_STAGES


def latest_starts(
    shop: Shop, begun: Mapping[int, int], latest: Mapping[int, int], done: Mapping[int, int]
) -> dict[int, int]:
    """The latest day to begin each of some lines that are in time, by their place in the orders.

    ``shop.last`` is the plan; ``begun`` has the day on which it begins each of them, ``latest`` the latest one as far
    as a line's own days tell, and ``done`` the day on which every line is finished. From that latest day on days are
    tried: if the line would be late by some days, or another later than it is and late, the next is so many before. So
    it is known when kilns, hands and bats are taken by others, and that some months are slow.
    """
    policy = beginnings(shop)[0]
    allowed = {flow.line: max(flow.due, done[flow.line]) for flow in shop.flows}
    work = 0
    found = dict(latest)
    for line, first in begun.items():
        if work > MOST_WORK:
            break
        others = replace(shop, last=shop.last.without(line))
        for turn in range(MOST_TRIED + 1):
            day = found[line]
            if day <= first or work > MOST_WORK:
                break
            if turn == MOST_TRIED:
                found[line] = first
                break
            run = Following(_begun_on(others, line, day), policy)
            timetable = run.run()
            work += run.chain.tries
            assert timetable is not None
            late = 1
            if not timetable.left:
                late = max(placed.finished - allowed[placed.flow.line] for placed in timetable.placements)
            if late <= 0:
                break
            found[line] = max(first, shop.calendar.last_work(day - late))
    return found


def _begun_on(shop: Shop, line: int, day: int) -> Shop:
    """The shop in which nothing of a line goes on before a day, but for pieces in progress that may not wait."""
    flows = (
        replace(flow, ready=max(flow.ready, day)) if flow.line == line and flow.latest is None else flow
        for flow in shop.flows
    )
    return replace(shop, flows=tuple(flows))
