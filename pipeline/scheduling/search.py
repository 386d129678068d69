"""Tries a few ways of working and keeps the best plan."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from pipeline.scheduling.dispatch import Policy, Timetable, run
from pipeline.scheduling.shop import Shop

POLICIES = (
    Policy(fill=1, margin=0, by_slack=False),
    Policy(fill=None, margin=0, by_slack=False),
    Policy(fill=1, margin=3, by_slack=False),
    Policy(fill=None, margin=3, by_slack=True),
    Policy(fill=1, margin=7, by_slack=True),
    Policy(fill=0.5, margin=7, by_slack=False),
    Policy(fill=0, margin=0, by_slack=True),
    Policy(fill=0, margin=0, by_slack=False),
)
"""From patient to eager. The first that is as good as any could be is taken."""


def best_timetable(shop: Shop) -> Timetable:
    """The best timetable of those that the policies give: least left over, least late, fewest firings, done soonest."""
    best: Timetable | None = None
    fewest = fewest_loads(shop)
    for policy in POLICIES:
        found = run(shop, policy)
        if best is None or found.worth() < best.worth():
            best = found
        if not best.left and not best.lateness() and len(best.loads) <= fewest:
            break
    assert best is not None
    return best


def fewest_loads(shop: Shop) -> int:
    """Firings that no plan can do without: the room all pieces take, in the kiln that holds most of each form."""
    room: dict[str, Fraction] = {}
    for flow in shop.flows:
        for place in range(flow.first, len(flow.route)):
            name = flow.route[place].firing
            if name is not None:
                most = max((f.counts[flow.form] for f in shop.firings if f.firing == name), default=0)
                if most:
                    room[name] = room.get(name, Fraction(0)) + Fraction(flow.totals[place], most)
    return sum(ceil(share) for share in room.values())
