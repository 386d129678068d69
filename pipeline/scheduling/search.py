"""Tries ways of working, and changes of the best one, for as long as the work allowed lasts; keeps the best plan."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from pipeline.calendar import HUNDREDTHS
from pipeline.scheduling.changes import Decision, beginnings, kilns, orders, rules
from pipeline.scheduling.dispatch import Dispatch, Policy
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.timetable import Timetable, Worth

WORK_IF_LATE = 6_000
"""How often lots may be tried while something is late, before the best plan found has to do."""

WORK_IN_TIME = 1_200
"""The same where nothing is late, and only firings and days are to be saved."""

WORK_TO_LEVEL = 3_000
"""The same for making the days of the best plan level."""

FURTHEST_APART = 6
"""Two decisions about a kiln are changed together if they follow so closely after each other."""

SAME_DAY = 15 * HUNDREDTHS
"""A longest day that might be shorter by less than these hundredths of a minute, a quarter of an hour, will do."""


def best_timetable(shop: Shop) -> Timetable:
    """The best timetable found: least left over, least late, fewest firings, done soonest; and then its days level.

    First a few ways of working are tried; then, one after the other, changes of the best one. What makes it better is
    kept, and the changes are tried from the first again. The work is limited by counting it, never by the clock, so
    that the same shop always gets the same timetable.
    """
    first, *others = beginnings(shop)
    search = Search(shop, first)
    for policy in others:
        search.attempt(policy)
    if search.worth[0]:
        for policy in beginnings(shop):
            search.attempt(replace(policy, strict=True))
    search.improve()
    search.level()
    return search.best


@dataclass
class Search:
    """The best timetable so far, its worth, the policy it came of, and the decisions about kilns taken in it."""

    shop: Shop
    policy: Policy
    work: int = 0
    _tried: set[Policy] = field(default_factory=set)

    def __post_init__(self) -> None:
        run = self._run(self.policy, None)
        timetable = run.run()
        assert timetable is not None
        self._keep(run, timetable)

    def attempt(self, policy: Policy) -> bool:
        """Tries a policy; tells whether its timetable is better than the best so far, which it then becomes."""
        if policy in self._tried:
            return False
        run = self._run(policy, self.worth)
        timetable = run.run()
        self.work += run.chain.tries
        if timetable is None or timetable.worth() >= self.worth:
            return False
        self._keep(run, timetable)
        return True

    def _run(self, policy: Policy, worth: Worth | None) -> Dispatch:
        self._tried.add(policy)
        return Dispatch(self.shop, policy, worth)

    def _keep(self, run: Dispatch, timetable: Timetable) -> None:
        self.policy, self.best, self.worth = run.policy, timetable, timetable.worth()
        self.decisions: tuple[Decision, ...] = tuple(run.decisions)

    def improve(self) -> None:
        """Tries changes of the best policy, kind by kind, until a round makes nothing better or the work is done."""
        better = True
        while better:
            better = False
            for kind in range(3 + FURTHEST_APART):
                better = self._sweep(kind) or better

    def _sweep(self, kind: int) -> bool:
        """Tries each change of a kind; after one that makes the plan better, goes on with the changes of that."""
        better = False
        place = 0
        changes = self._changes(kind)
        while place < len(changes) and self.work < (WORK_IF_LATE if self.worth[:2] > (0, 0) else WORK_IN_TIME):
            if self.attempt(changes[place]):
                better = True
                changes = self._changes(kind)
            place += 1
        return better

    def _changes(self, kind: int) -> list[Policy]:
        if kind == 0:
            return list(rules(self.policy, self.shop))
        if kind == 1:
            return list(orders(self.policy))
        return list(kilns(self.policy, self.decisions, kind - 2))

    def level(self) -> None:
        """Makes the longest day of anybody as short as it can be, by halves, if the plan gets no worse for it and no
        lot is cut into smaller ones.
        """
        most, longest, shortest, work = len(self.best.placements), self.best.longest_day(), 0, 0
        while longest - shortest > SAME_DAY and work < WORK_TO_LEVEL:
            middle = (longest + shortest) // 2
            run = Dispatch(self.shop, replace(self.policy, longest=middle), self.worth)
            timetable = run.run()
            work += run.chain.tries
            if timetable is None or timetable.worth() > self.worth or len(timetable.placements) > most:
                shortest = middle
            else:
                self.best, longest = timetable, timetable.longest_day()
