"""How the shop works, and the plan that comes of working so."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, replace
from typing import NamedTuple

from pipeline.scheduling.shop import PLENTY
from pipeline.scheduling.timetable import Timetable, Worth

Decision = tuple[int, int]
"""A day on which a kiln was free with pieces waiting for it, and the firing's place in the shop's list."""

Place = tuple[int, int, int]
"""A day, a line, and a place on its route."""


class Grounds(NamedTuple):
    """What there is to be said for firing a kiln that is not full: of its ``parts`` so many are filled and, in all, so
    many still to come (``rest``), and the most urgent lot has so many ``days`` in hand on the next day with work.
    """

    fill: int
    rest: int
    days: int
    parts: int
    least_fill: float


@dataclass(frozen=True, slots=True)
class Policy:
    """How the shop works: in which order, and how eager it is to fire.

    ``work_order`` and ``kiln_order`` give for each line its turn, the least first, at ordinary stages and before kilns;
    None: the lots with the fewest days in hand go first. A kiln is fired when it is filled to ``fill`` (1: full; None:
    as each firing's least fill says), when nothing more is to come, when waiting would leave a due line less than
    ``margin`` days in hand, or, if ``spare``, when no firing more is needed in the end for firing now. The firings in
    ``shut`` (places in the shop's list) are not used; if ``best_kiln``, a form goes only into the kiln that holds most
    of it. ``turned``: days and firings of which the opposite is done; ``held``: days and firings that from then on wait
    for another firing of their kiln. ``at_most``: of a line's pieces no more than so many are begun on that day at that
    place of its route. On a day kilns are loaded before anything else is begun; if ``work_first``, and on the days in
    ``swapped`` the other way about, only when nothing else can be. Nobody works longer than ``longest`` (hundredths of
    a minute) on a day. If ``strict``, pieces that may wait long for a kiln are begun only with its day settled; else,
    if none is free in time, they are left.
    """

    work_order: tuple[int, ...] | None
    kiln_order: tuple[int, ...] | None = None
    fill: float | None = 1.0
    margin: int = 0
    spare: bool = False
    shut: frozenset[int] = frozenset()
    best_kiln: bool = False
    turned: frozenset[Decision] = frozenset()
    held: frozenset[Decision] = frozenset()
    at_most: frozenset[tuple[Place, int]] = frozenset()
    work_first: bool = False
    swapped: frozenset[int] = frozenset()
    longest: int = PLENTY
    strict: bool = False

    def fires(self, grounds: Grounds) -> bool:
        """Whether a kiln is fired: full enough, nothing more to come, or a due date that cannot wait."""
        fill, rest, days, parts, least_fill = grounds
        if fill >= (least_fill if self.fill is None else self.fill) * parts or rest <= 0:
            return True
        return days < self.margin or (self.spare and -(-rest // parts) < -(-(rest + fill) // parts))


@dataclass(frozen=True)
class Plan:
    """A timetable, its worth, the policy it came of, the decisions about kilns taken in it and all grounds that there
    were for them, and how often lots were tried for it.
    """

    policy: Policy
    timetable: Timetable
    worth: Worth
    decisions: Mapping[Decision, bool]
    grounds: Set[Grounds]
    work: int

    def comes_of(self, policy: Policy) -> bool:
        """Whether another policy is sure to come to this very plan: it differs in nothing but when kilns are fired, and
        would have fired them as they were on all grounds that there were.
        """
        own = self.policy
        best_kiln = own.best_kiln if self.timetable.shop.all_are_best else policy.best_kiln
        if replace(policy, fill=own.fill, margin=own.margin, spare=own.spare, best_kiln=best_kiln) != own:
            return False
        return all(policy.fires(grounds) == own.fires(grounds) for grounds in self.grounds)
