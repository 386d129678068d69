"""Tries a few ways of working and keeps the best plan."""

from __future__ import annotations

from pipeline.scheduling.dispatch import Policy, run
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.timetable import Timetable

POLICIES = (
    Policy(fill=1, margin=0, by_slack=False),
    Policy(fill=None, margin=0, by_slack=False),
    Policy(fill=1, margin=3, by_slack=False),
    Policy(fill=0.5, margin=7, by_slack=False),
    Policy(fill=0, margin=0, by_slack=True),
)
"""From patient to eager; of plans that are equally good the more patient one's is taken."""


def best_timetable(shop: Shop) -> Timetable:
    """The best timetable of those that the policies give: least left over, least late, fewest firings, done soonest."""
    best, *others = POLICIES
    found = run(shop, best)
    assert found is not None
    for policy in others:
        other = run(shop, policy, found.worth())
        if other is not None and other.worth() < found.worth():
            found = other
    return found
