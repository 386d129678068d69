"""Ways of working to begin with, and small changes of one that may make its plan better."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pipeline.scheduling.dispatch import Policy
from pipeline.scheduling.shop import NO_DUE, Shop

Decision = tuple[int, int]
"""A day on which a kiln was free with pieces waiting for it, and the firing's place in the shop's list."""


def beginnings(shop: Shop) -> list[Policy]:
    """Ways of working to begin with, from patient to eager; of equally good plans the more patient one's is taken."""
    order = _by_due(shop)
    return [
        Policy(order),
        Policy(order, spare=True),
        Policy(order, fill=None),
        Policy(order, margin=3),
        Policy(order, fill=0.5, margin=7),
        Policy(order, fill=0.0, work_in_order=False),
        Policy(order, fill=0.0, kilns_in_order=True),
    ]


def _by_due(shop: Shop) -> tuple[int, ...]:
    """The turn of each line by its due day; lines alike are in the turn of the sheet."""
    keys = [(NO_DUE, NO_DUE)] * len(shop.lines)
    for flow in shop.flows:
        keys[flow.line] = (flow.due, flow.turn)
    return _turns(sorted(range(len(keys)), key=lambda line: keys[line]))


def _turns(lines: Sequence[int]) -> tuple[int, ...]:
    """Of each line its turn, from the lines in their turn."""
    turns = [0] * len(lines)
    for turn, line in enumerate(lines):
        turns[line] = turn
    return tuple(turns)


def rules(policy: Policy, shop: Shop) -> Iterator[Policy]:
    """Another rule of when a kiln is fired, in which order it is filled, or a firing of which a kiln is not used."""
    for fill in (1.0, None, 0.5, 0.0):
        yield replace(policy, fill=fill)
    for margin in (0, 3, 7):
        yield replace(policy, margin=margin)
    yield replace(policy, spare=not policy.spare)
    yield replace(policy, kilns_in_order=not policy.kilns_in_order)
    yield replace(policy, work_in_order=not policy.work_in_order)
    for place in range(len(shop.firings)):
        yield replace(policy, shut=policy.shut ^ {place})


def orders(policy: Policy) -> Iterator[Policy]:
    """A line before the one that it follows; then a line before all others."""
    lines = sorted(range(len(policy.order)), key=lambda line: policy.order[line])
    for turn in range(1, len(lines)):
        yield replace(policy, order=_turns(_moved(lines, turn, turn - 1)))
    for turn in range(2, len(lines)):
        yield replace(policy, order=_turns(_moved(lines, turn, 0)))


def _moved(lines: Sequence[int], turn: int, to: int) -> list[int]:
    moved = list(lines)
    moved.insert(to, moved.pop(turn))
    return moved


def kilns(policy: Policy, decisions: Sequence[Decision], apart: int) -> Iterator[Policy]:
    """The opposite of a decision to fire or to wait (``apart`` 0), or of two that follow so many after each other."""
    for first, second in zip(decisions, decisions[apart:], strict=False):
        yield replace(policy, turned=policy.turned ^ {first, second})
