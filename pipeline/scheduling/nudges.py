"""A change of a plan's policy drawn by lot, small or not so small, where it may matter to what is late."""

from __future__ import annotations

from dataclasses import replace

from pipeline.scheduling.changes import by_due, rules, turns_of
from pipeline.scheduling.draws import Draws
from pipeline.scheduling.kilns import Placement
from pipeline.scheduling.policy import Place, Plan, Policy
from pipeline.scheduling.shop import Shop

TWO_AT_ONCE_PCT = 25
"""So often a change is followed by another before the plan is made again."""

LONGEST_HOLD = 5
"""Pieces are held back for so many days after the first at most."""


def nudged(plan: Plan, draws: Draws) -> Policy:
    """The policy with a change or, now and then, some. The same draws give the same change."""
    policy = plan.policy
    matter = _that_matter(plan)
    while True:
        policy = _one(policy, plan, matter, draws)
        if not draws.happens(TWO_AT_ONCE_PCT):
            return policy


def _that_matter(plan: Plan) -> list[Placement]:
    """What is placed before the last late piece is finished; all, if nothing is late.

    In an order that hangs on no row's place in a sheet, as that of the kilns'.
    """
    placements = sorted(
        plan.timetable.placements, key=lambda one: (one.day, one.flow.line, one.place, one.pieces, one.finished)
    )
    late = [
        placed.finished
        for placed in placements
        if placed.place + 1 == len(placed.flow.route) and placed.finished > placed.flow.due
    ]
    return [placed for placed in placements if placed.day <= max(late)] if late else placements


def _one(policy: Policy, plan: Plan, matter: list[Placement], draws: Draws) -> Policy:
    kind = draws.below(100)
    if kind < 50:
        return _held_back(policy, matter, draws)
    if kind < 60 and policy.at_most:
        return replace(policy, at_most=policy.at_most - {draws.one_of(sorted(policy.at_most))})
    if kind < 80:
        return _fired_otherwise(policy, plan, matter, draws)
    if kind < 88:
        return replace(policy, swapped=policy.swapped ^ {draws.one_of(matter).day})
    if kind < 90:
        return replace(policy, work_first=not policy.work_first)
    if kind < 98:
        return _in_other_turn(policy, plan.timetable.shop, draws)
    return draws.one_of(list(rules(policy, plan.timetable.shop)))


def _held_back(policy: Policy, matter: list[Placement], draws: Draws) -> Policy:
    """Of the pieces placed somewhere fewer are begun, or none, for a day or for some."""
    ends_wait = [one for one in matter if one.place == one.flow.first or not one.flow.tied[one.place - 1]]
    placed = draws.one_of(ends_wait or matter)
    where: Place = (placed.day, placed.flow.line, placed.place)
    pieces = sum(other.pieces for other in matter if (other.day, other.flow.line, other.place) == where)
    kind = draws.below(100)
    if kind < 50 or pieces < 2:
        most = 0
    elif kind < 65:
        most = pieces - 1
    elif kind < 75:
        most = pieces - placed.pieces
    else:
        most = 1 + draws.below(pieces - 1)
    days = 1 + draws.below(LONGEST_HOLD) if most == 0 and draws.happens(30) else 0
    at_most = dict(policy.at_most) | {(where[0] + day, where[1], where[2]): most for day in range(days + 1)}
    return replace(policy, at_most=frozenset(at_most.items()))


def _fired_otherwise(policy: Policy, plan: Plan, matter: list[Placement], draws: Draws) -> Policy:
    """The opposite of a decision about a kiln, or of two near each other; or a firing that waits for another."""
    until = max(placed.day for placed in matter)
    firings = plan.timetable.shop.firings
    taken = sorted(plan.decisions, key=lambda one: (one[0], firings[one[1]].firing, firings[one[1]].kiln))
    decisions = [decision for decision in taken if decision[0] <= until] or taken
    if not decisions:
        return policy
    at = draws.below(len(decisions))
    kind = draws.below(100)
    if kind < 60:
        return replace(policy, turned=policy.turned ^ {decisions[at]})
    if kind < 80:
        other = min(len(decisions) - 1, at + 1 + draws.below(6))
        return replace(policy, turned=policy.turned ^ {decisions[at], decisions[other]})
    return replace(policy, held=policy.held ^ {decisions[at]})


def _in_other_turn(policy: Policy, shop: Shop, draws: Draws) -> Policy:
    """A line moved to another turn, at ordinary stages or before kilns."""
    working = draws.happens(50)
    order = (policy.work_order if working else policy.kiln_order) or by_due(shop)
    lines = sorted(range(len(order)), key=lambda line: order[line])
    line = lines.pop(draws.below(len(lines)))
    lines.insert(draws.below(len(lines) + 1), line)
    return replace(policy, work_order=turns_of(lines)) if working else replace(policy, kiln_order=turns_of(lines))
