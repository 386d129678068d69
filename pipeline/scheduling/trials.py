"""Plans that are made only to learn which lines would be late in them, within an allowance of work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from pipeline.scheduling.policy import Plan, Policy
from pipeline.scheduling.search import Search, best_timetable, is_small, stages_left
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.timetable import Timetable, Worth

IN_TIME = (0, 0)
"""The worth of a plan that leaves nothing over and has nothing late, as far as these two go."""


@dataclass(frozen=True)
class Tried:
    """The days by which each line is late (0 or less: in time) in a plan made for trial, by its place in the orders.

    ``whole``: whether all was searched that was to be, or none is late; else the work ended before. ``sure``: whether
    the plan itself would have them so, or have them all in time; else its search might yet find another.
    """

    days: Mapping[int, int]
    whole: bool
    sure: bool


class _Enough(Exception):  # noqa: N818 - it ends a search that has found enough, and is no fault
    """Nothing is late in the best plan found, or the work allowed is done."""


@dataclass
class _Trial(Search):
    """A search that ends as soon as nothing is late, or before a run that would go beyond ``most``.

    If not ``by_lot``, it leaves out the changes drawn by lot, which take most of the work of a small shop; a trial that
    has them goes on from what was found without them ``in_turn``, if that is known.
    """

    most: int = 0
    by_lot: bool = False
    whole: bool = True
    in_turn: Plan | None = None
    found: Plan | None = None
    longest: int = 0

    def best(self) -> Plan:
        try:
            self.in_turn = self.in_turn or self._in_turn()
            return self._further(self.in_turn) if self.by_lot else self.in_turn
        except _Enough:
            assert self.found is not None
            self.whole = self.found.worth[:2] == IN_TIME
            return self.found

    def _no_worse(self, policy: Policy, worth: Worth | None, known: Plan | None = None) -> Plan | None:
        if self.found is not None and self.work + self.longest > self.most:
            raise _Enough
        before = self.work
        plan = super()._no_worse(policy, worth, known)
        self.longest = max(self.longest, self.work - before)
        if plan is not None:
            if self.found is None or plan.worth < self.found.worth:
                self.found = plan
            if plan.worth[:2] == IN_TIME:
                raise _Enough
        return plan

    def ends_within(self, most: int) -> bool:
        """Whether, begun anew with so much work allowed, it would come to the same end."""
        return self.whole and self.work + self.longest <= most

    def level(self, plan: Plan) -> Plan:
        """Level days move lines within a plan of the same worth: no matter if none of them is late."""
        return plan if plan.worth[:2] == IN_TIME or not self.whole else super().level(plan)


@dataclass
class Trials:
    """Makes plans for trial until so much ``work`` is done as is allowed at ``most``: lots tried, as a search counts.

    What is found does not hang on the machine's speed, and a plan is no more begun than there is work left for it. What
    was ``made`` of a shop is not made again: it counts as the work that it was.
    """

    most: int
    work: int = 0
    made: list[tuple[_Trial, Tried]] = field(default_factory=list)

    @property
    def left(self) -> int:
        """The work that may still be done."""
        return self.most - self.work

    def late(self, shop: Shop, most: int | None = None, *, by_lot: bool = False) -> Tried | None:
        """Who would be late in the plan of a shop; None if there is not the work left to find out.

        The search is the plan's own, without changes drawn by lot if not ``by_lot``, but ends when nothing is late, and
        when ``most`` work, or all that is left, is done; the first run is made in any case.
        """
        least = stages_left(shop)
        if least > self.left:
            return None
        most = self.left if most is None else min(most, self.left)
        trial = _Trial(shop, most=most, by_lot=by_lot)
        for before, tried in self.made:
            if before.ends_within(most) and before.shop == shop:
                if before.by_lot == by_lot:
                    self.work += max(before.work, least)
                    return tried
                if by_lot and before.in_turn is not None:
                    trial = replace(before, most=most, by_lot=True)
        timetable = best_timetable(shop, trial)
        self.work += max(trial.work, least)
        days = {} if timetable.left else _days_late(timetable)
        in_time = not timetable.left and max(days.values(), default=0) <= 0
        tried = Tried(days, trial.whole, trial.whole and (in_time or by_lot or not is_small(shop)))
        self.made.append((trial, tried))
        return tried


def _days_late(timetable: Timetable) -> dict[int, int]:
    days: dict[int, int] = {}
    for placed in timetable.placements:
        late = placed.finished - placed.flow.due
        days[placed.flow.line] = max(days.get(placed.flow.line, late), late)
    for load, burning in timetable.burning:
        for flow in burning.inside:
            late = load.unload_on - flow.due
            days[flow.line] = max(days.get(flow.line, late), late)
    return days
