"""Plans that are made only to learn which lines would be late in them, within an allowance of work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pipeline.scheduling.dispatch import Dispatch
from pipeline.scheduling.policy import Plan, Policy
from pipeline.scheduling.search import Search, best_timetable, is_small, stages_left
from pipeline.scheduling.shop import PLENTY, Shop
from pipeline.scheduling.timetable import Timetable, Worth, least_lateness

QUICKLY = 1_500
"""How often lots may be tried in a quick trial, which in nineteen cases of twenty finds a line in time if a longer one
does."""

AT_LENGTH = 3_500
"""The same for a longer trial, which leaves one such case in twenty."""

TRIES_A_STAGE = 25
"""As often at least for each stage that a flow has before it, so that a quick trial tries all ways of working to begin
with."""


NEARLY = 3
"""Days: a line that is less late than that in a quick trial may well be in time in a longer one."""


@dataclass(frozen=True)
class Tried:
    """The days by which each line is late (0 or less: in time) in a plan made for trial, by its place in the orders.

    ``whole``: whether all was searched that was to be, or no line can be less late; else the work ended before.
    ``sure``: whether each line is as late in the plan itself, or in time in both; else its search might yet find
    another plan.
    """

    days: Mapping[int, int]
    whole: bool
    sure: bool

    def in_time(self, line: int) -> bool:
        """Whether a line is in time."""
        return self.days.get(line, 1) <= 0

    def nearly(self, line: int, late: int) -> bool:
        """Whether a line that was so many days ``late`` is less so, and so little that a longer trial may have it in
        time.
        """
        return 0 < self.days.get(line, late) <= min(NEARLY, late - 1)

    @property
    def none_late(self) -> bool:
        """Whether all lines are in time."""
        return bool(self.days) and max(self.days.values()) <= 0


class _Enough(Exception):  # noqa: N818 - it ends a search that has found enough, and is no fault
    """Nothing can be less late than in the best plan found, or the work allowed is done."""


@dataclass
class Trial(Search):
    """A search that ends as soon as nothing can be less late, or before a run that would go beyond ``most``.

    If not ``by_lot``, it leaves out the changes drawn by lot, which take most of the work of a small shop. It may go on
    later with more allowed: what its ``runs`` came to, and their work, is known then and not done again.
    """

    most: int = 0
    by_lot: bool = False
    runs: list[tuple[Plan | None, int]] = field(default_factory=list)
    tried: Tried | None = None
    whole: bool = True
    found: Plan | None = None
    turn: int = 0
    longest: int = 0

    def __post_init__(self) -> None:
        self.enough = (0, least_lateness(self.shop))

    @property
    def done(self) -> int:
        """The work done in it, however often it was gone on with."""
        return sum(work for _, work in self.runs)

    def has(self, most: int, *, by_lot: bool) -> bool:
        """Whether as much has been tried already."""
        if self.tried is None:
            return False
        return self.tried.sure or (self.by_lot == by_lot and (self.tried.whole or self.most >= most))

    def go_on(self, most: int, *, by_lot: bool) -> Tried:
        """Tries up to so much work in all."""
        self.most, self.by_lot = most, by_lot
        self.work, self.turn, self.longest, self.found, self.whole = 0, 0, 0, None, True
        timetable = best_timetable(self.shop, self)
        days = {} if timetable.left else _days_late(timetable)
        sure = self.whole and (self._to_its_end() or timetable.worth()[:2] <= self.enough)
        self.tried = Tried(days, self.whole, sure)
        return self.tried

    def best(self) -> Plan:
        try:
            return super().best() if self.by_lot else self._in_turn()
        except _Enough:
            assert self.found is not None
            self.whole = self.found.worth[:2] <= self.enough
            return self.found

    def _no_worse(self, policy: Policy, worth: Worth | None, known: Plan | None = None) -> Plan | None:
        if self.turn < len(self.runs):
            plan, work = self.runs[self.turn]
            self.work += work
        else:
            if self.found is not None and self.work + self.longest > self.most:
                raise _Enough
            before = self.work
            plan = super()._no_worse(policy, worth, known)
            work = self.work - before
            self.runs.append((plan, work))
        self.turn += 1
        self.longest = max(self.longest, work)
        if plan is not None:
            if self.found is None or plan.worth < self.found.worth:
                self.found = plan
            if plan.worth[:2] <= self.enough:
                raise _Enough
        return plan

    def level(self, plan: Plan) -> Plan:
        """Level days move lines within a plan of the same worth: no matter if no line can be less late, or if the
        plan itself has still to be found.
        """
        return super().level(plan) if self.whole and self._to_its_end() and plan.worth[:2] > self.enough else plan

    def _to_its_end(self) -> bool:
        """Whether the search leaves out nothing that the plan's own does."""
        return self.by_lot or not is_small(self.shop)


@dataclass
class Trials:
    """Makes plans for trial until so much ``work`` is done as is allowed at ``most``: lots tried, as a search counts.

    What is found does not hang on the machine's speed, and a plan is no more begun than there is work left for it. What
    was ``made`` of a shop is not made again.
    """

    most: int
    work: int = 0
    made: list[Trial] = field(default_factory=list)

    @property
    def left(self) -> int:
        """The work that may still be done."""
        return self.most - self.work

    def late(self, shop: Shop, most: int | None = None, *, by_lot: bool = False) -> Tried | None:
        """Who would be late in the plan of a shop; None if there is not the work left to find out.

        The search is the plan's own, without changes drawn by lot if not ``by_lot``, but ends when no line can be less
        late, and when ``most`` work, or all that is left, is done; the first run is made in any case.
        """
        trial = next((one for one in self.made if one.shop == shop), None)
        if trial is None:
            if stages_left(shop) > self.left:
                return None
            trial = Trial(shop)
            self.made.append(trial)
        before = trial.done
        allowed = before + self.left if most is None else min(most, before + self.left)
        if trial.tried is None or not trial.has(allowed, by_lot=by_lot):
            tried = trial.go_on(allowed, by_lot=by_lot)
            self.work += max(trial.done - before, 0 if before else stages_left(shop))
            return tried
        return trial.tried

    def likewise(self, shop: Shop, other: Shop) -> Tried | None:
        """Who would be late in a shop that works in the way of the best plan made of another, with as many lines and
        the same firings; None if none was made.
        """
        found = next((one.found for one in self.made if one.shop is other), None)
        if found is None:
            return None
        run = Dispatch(shop, found.policy)
        timetable = run.run()
        self.work += run.chain.tries
        days = {} if timetable is None or timetable.left else _days_late(timetable)
        return Tried(days, whole=False, sure=False)


def quick(shop: Shop) -> int:
    """The work of a quick trial of a shop."""
    return max(QUICKLY, TRIES_A_STAGE * stages_left(shop))


def long(shop: Shop) -> int:
    """The work of a longer trial; of a shop that is searched without lots, that of the plan itself."""
    return max(AT_LENGTH, TRIES_A_STAGE * stages_left(shop)) if is_small(shop) else PLENTY


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
