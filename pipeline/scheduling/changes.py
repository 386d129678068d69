"""Ways of working to begin with, and small changes of one that may make its plan better."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from pipeline.scheduling.policy import Decision, Policy
from pipeline.scheduling.shop import NO_DUE, Shop

FEW_LINES = 8
"""So many lines are put into every order that differs by one line."""


def beginnings(shop: Shop) -> list[Policy]:
    """Ways of working to begin with, from patient to eager; of equally good plans the more patient one's is taken."""
    order = by_due(shop)
    return [
        Policy(order),
        Policy(order, spare=True),
        Policy(order, fill=None),
        Policy(order, margin=3),
        Policy(order, fill=0.5, margin=7),
        Policy(None, fill=0.0),
        Policy(order, order, fill=0.0),
        Policy(order, _by_room(shop), fill=0.0),
    ]


def by_due(shop: Shop) -> tuple[int, ...]:
    """The turn of each line by its due day; lines alike are in the turn of the sheet."""
    keys = [(NO_DUE, NO_DUE)] * len(shop.lines)
    for flow in shop.flows:
        keys[flow.line] = (flow.due, flow.turn)
    return turns_of(sorted(range(len(keys)), key=lambda line: keys[line]))


def _by_room(shop: Shop) -> tuple[int, ...]:
    """The turn of each line by its weight for the room that a piece takes in a kiln; those without a date come last."""
    keys = [(True, 0.0, NO_DUE)] * len(shop.lines)
    for flow in shop.flows:
        room = max((1 / firing.counts[flow.form] for firing in shop.firings if firing.counts[flow.form]), default=1.0)
        keys[flow.line] = (flow.due == NO_DUE, -flow.weight / room, flow.turn)
    return turns_of(sorted(range(len(keys)), key=lambda line: keys[line]))


def turns_of(lines: Sequence[int]) -> tuple[int, ...]:
    """Of each line its turn, from the lines in their turn."""
    turns = [0] * len(lines)
    for turn, line in enumerate(lines):
        turns[line] = turn
    return tuple(turns)


def rules(policy: Policy, shop: Shop) -> Iterator[Policy]:
    """Another rule of when a kiln is fired, of what goes into it first, or a firing of which a kiln is not used."""
    for fill in (1.0, None, 0.5, 0.0):
        yield replace(policy, fill=fill)
    for margin in (0, 3, 7):
        yield replace(policy, margin=margin)
    yield replace(policy, spare=not policy.spare)
    for kiln_order in (None, policy.work_order, _by_room(shop)):
        yield replace(policy, kiln_order=kiln_order)
    for work_order in (None, by_due(shop)):
        yield replace(policy, work_order=work_order)
    if len(shop.firings) > len({firing.firing for firing in shop.firings}):
        yield replace(policy, best_kiln=not policy.best_kiln)
        named = sorted(range(len(shop.firings)), key=lambda at: (shop.firings[at].firing, shop.firings[at].kiln))
        for place in named:
            yield replace(policy, shut=policy.shut ^ {place})


def orders(policy: Policy, shop: Shop) -> Iterator[Policy]:
    """Of the lines' turns at ordinary stages and before kilns: a line before the one that it follows, or before all."""
    for turns in _moves(policy.work_order or by_due(shop)):
        yield replace(policy, work_order=turns)
    for turns in _moves(policy.kiln_order or by_due(shop)):
        yield replace(policy, kiln_order=turns)


def _moves(order: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Each line moved to the front, by one place, and, where they are few, to each other place before its own."""
    lines = sorted(range(len(order)), key=lambda line: order[line])
    for turn in range(1, len(lines)):
        for to in range(turn) if len(lines) <= FEW_LINES else sorted({0, turn - 1}):
            moved = list(lines)
            moved.insert(to, moved.pop(turn))
            yield turns_of(moved)


def kilns(policy: Policy, decisions: Mapping[Decision, bool], apart: int) -> Iterator[Policy]:
    """The opposite of a decision to fire or to wait (``apart`` 0), or of two that follow so many after each other."""
    taken = list(decisions)
    for first, second in zip(taken, taken[apart:], strict=False):
        yield replace(policy, turned=policy.turned ^ {first, second})


def holds(policy: Policy, decisions: Mapping[Decision, bool]) -> Iterator[Policy]:
    """A firing waits until its kiln has been fired for another."""
    for decision, fired in decisions.items():
        if fired or decision in policy.held:
            yield replace(policy, held=policy.held ^ {decision})
