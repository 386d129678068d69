"""Plans that are made only to learn which lines would be late in them, within an allowance of work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.scheduling.policy import Plan, Policy
from pipeline.scheduling.search import Search, best_timetable
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.timetable import Timetable, Worth

IN_TIME = (0, 0)
"""The worth of a plan that leaves nothing over and has nothing late, as far as these two go."""


@dataclass(frozen=True)
class Tried:
    """The days by which each line is late (0 or less: in time) in a plan made for trial, by its place in the orders.

    ``whole``: whether the plan itself would have them so, or have them all in time; else it was searched for less long.
    """

    days: Mapping[int, int]
    whole: bool


class _Enough(Exception):  # noqa: N818 - it ends a search that has found enough, and is no fault
    """Nothing is late in the best plan found, or the work allowed is done."""


@dataclass
class _Trial(Search):
    """A search that ends as soon as nothing is late, or before a run that would go beyond ``most``."""

    most: int = 0
    whole: bool = True
    found: Plan | None = None
    longest: int = 0

    def best(self) -> Plan:
        try:
            return super().best()
        except _Enough:
            assert self.found is not None
            self.whole = self.found.worth[:2] == IN_TIME
            return self.found

    def _no_worse(self, policy: Policy, worth: Worth | None) -> Plan | None:
        if self.found is not None and self.work + self.longest > self.most:
            raise _Enough
        before = self.work
        plan = super()._no_worse(policy, worth)
        self.longest = max(self.longest, self.work - before)
        if plan is not None:
            if self.found is None or plan.worth < self.found.worth:
                self.found = plan
            if plan.worth[:2] == IN_TIME:
                raise _Enough
        return plan

    def _by_lot(self, best: Plan, work: int) -> Plan:
        """As far as the work allowed goes: that it goes no further makes the trial no less whole."""
        return super()._by_lot(best, min(work, self.most - self.work - 2 * self.longest))

    def _plainer(self, plan: Plan) -> Plan:
        return plan

    def level(self, plan: Plan) -> Plan:
        """Level days move lines within a plan of the same worth: no matter if none of them is late."""
        return plan if plan.worth[:2] == IN_TIME or not self.whole else super().level(plan)


@dataclass
class Trials:
    """Makes plans for trial until so much ``work`` is done as is allowed at ``most``: lots tried, as a search counts.

    What is found does not hang on the machine's speed, and a plan is no more begun than there is work left for it.
    """

    most: int
    work: int = 0

    def late(self, shop: Shop, most: int | None = None) -> Tried | None:
        """Who would be late in the plan of a shop; None if there is not the work left to find out.

        The search is the plan's own, but ends when nothing is late, and when ``most`` work, or all that is left, is
        done; the first run is made in any case.
        """
        least = sum(len(flow.route) - flow.first for flow in shop.flows)
        left = self.most - self.work
        if least > left:
            return None
        trial = _Trial(shop, most=left if most is None else min(most, left))
        timetable = best_timetable(shop, trial)
        self.work += max(trial.work, least)
        return Tried({} if timetable.left else _days_late(timetable), trial.whole)


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
