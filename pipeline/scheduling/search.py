"""Tries ways of working, and changes of the best one, for as long as the work allowed lasts; keeps the best plan."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pipeline.calendar import HUNDREDTHS
from pipeline.scheduling.changes import beginnings, holds, kilns, orders, rules
from pipeline.scheduling.dispatch import Dispatch
from pipeline.scheduling.draws import Draws
from pipeline.scheduling.following import Following
from pipeline.scheduling.nudges import nudged
from pipeline.scheduling.policy import Plan, Policy
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.timetable import Timetable, Worth, least_lateness, least_worth

WORK_TO_BEGIN = 120_000
"""How often lots may be tried in the plans of the ways of working to begin with: only of a shop of some thousand lines
are fewer than all of them tried, and of one of ten thousand lines the first alone."""

WORK_IF_LATE = 7_000
"""How often lots may be tried while something is late, before the best plan found has to do."""

WORK_IN_TIME = 1_000
"""The same where nothing is late, and only firings and days are to be saved."""

WORK_TO_LEVEL = 2_000
"""The same for making the days of the best plan level."""

MOST_TO_LEVEL = 40_000
"""A shop with more stages than these, of all its lines together, has its days left as they are: one plan more would
take too long."""

FEW_STAGES = 60
"""A shop with no more stages than these, of all its lines together, is searched further by changes drawn by lot."""

WORK_BY_LOT = 12_000
"""How often lots may be tried in doing so since the plan last got better."""

WORK_BY_LOT_IN_TIME = 5_000
"""The same where nothing is late."""

MOST_BY_LOT = 25_000
"""How often in all."""

REMEMBERED = 30
"""A change drawn by lot may leave the plan worse, but no worse than it was so many changes ago."""

FURTHEST_APART = 6
"""Two decisions about a kiln are changed together if they follow so closely after each other."""

KINDS_IN_TURN = (3, 1, 2)
"""The kind of change with which each further search begins."""

SAME_DAY = 15 * HUNDREDTHS
"""A longest day that might be shorter by less than these hundredths of a minute, a quarter of an hour, will do."""


def best_timetable(shop: Shop, search: Search | None = None) -> Timetable:
    """The best timetable found: least left over, least late, fewest firings, done soonest; and then its days level.

    First a few ways of working are tried; then, one after the other, changes of the best one. What makes it better is
    kept, until no change does; and with what is left of the work the same is done from each other way of working. A
    small shop that could be better is searched further, by changes drawn by lot, the longer if it is later than it need
    be. The work is limited by counting it, never by the clock, and the lots fall alike every time, so that
    the same shop always gets the same timetable.

    If there is a last plan, it is kept to, unless that makes something later than it need be. ``search`` is that of the
    shop, if not the usual one.
    """
    search = search or Search(shop)
    kept = search.as_kept()
    if kept is not None and kept.worth[:2] == (0, 0):
        return kept.timetable
    best = search.best()
    if kept is not None and kept.worth[:2] <= best.worth[:2]:
        return kept.timetable
    return search.level(best).timetable


@dataclass
class Search:
    """The search for a shop's best plan, and the work done so far."""

    shop: Shop
    work: int = 0

    def as_kept(self) -> Plan | None:
        """The last plan as far as it can be kept to; None if there is none."""
        if not self.shop.last.last:
            return None
        policy = beginnings(self.shop)[0]
        plans = []
        for strict in (False, True):
            run = Following(self.shop, replace(policy, strict=strict))
            timetable = run.run()
            assert timetable is not None
            plans.append(_plan(run, run.policy, timetable))
            if not plans[-1].worth[0]:
                break
        return min(plans, key=lambda plan: plan.worth)

    def best(self) -> Plan:
        """The best plan found within the work allowed."""
        return self._further(self._in_turn())

    def _in_turn(self) -> Plan:
        """The best plan found by ways of working and changes that are tried in their turn."""
        first, *others = beginnings(self.shop)
        best = self._plan(first)
        one = self.work
        best = self._best_of(others, best, WORK_TO_BEGIN - one)
        if best.worth[0]:
            # The first of them is tried in a shop of any size: it may place what is left over.
            last = self.work + max(0, WORK_TO_BEGIN - one)
            best = self._best_of([replace(policy, strict=True) for policy in (first, *others)], best, last)
        start, best = best, self._improved(best, 0)
        # The same changes in another order lead from the same plan to another end.
        again = [start.policy, *(replace(policy, strict=start.policy.strict) for policy in (first, *others))]
        for turn, policy in enumerate(again):
            if self._may_go_on(best.worth):
                other = self._improved(self._plan(policy), KINDS_IN_TURN[turn % len(KINDS_IN_TURN)])
                best = min(best, other, key=lambda plan: plan.worth)
        return best

    def _further(self, best: Plan) -> Plan:
        """The best plan found by changes drawn by lot, if the shop is small."""
        if not is_small(self.shop) or not best.timetable.placements:
            return best
        late = best.worth[1] > least_lateness(self.shop)
        return self._plainer(self._by_lot(best, WORK_BY_LOT if late else WORK_BY_LOT_IN_TIME))

    def _by_lot(self, best: Plan, work: int) -> Plan:
        """The best plan found by changes drawn by lot, each made to the plan as the last ones left it.

        A change is kept if the plan is no worse for it, or no worse than some changes ago: so the search gets out of
        where every single change is for the worse. Source: Burke and Bykov, The late acceptance hill-climbing
        heuristic, European Journal of Operational Research 258 (2017).
        """
        draws, plan, least = Draws(), best, least_worth(self.shop)
        before = [best.worth] * REMEMBERED
        last, turn = self.work + MOST_BY_LOT, 0
        end = self.work + work
        while self.work < min(end, last) and best.worth > least:
            other = self._no_worse(nudged(plan, draws), max(before[turn], plan.worth), plan)
            if other is not None:
                plan = other
                if plan.worth < best.worth:
                    best, end = plan, self.work + work
            before[turn] = min(before[turn], plan.worth)
            turn = (turn + 1) % REMEMBERED
        return best

    def _plainer(self, plan: Plan) -> Plan:
        """The plan without holding back what may as well be begun, if no lot is cut into smaller ones for it."""
        for held in sorted(plan.policy.at_most):
            other = self._no_worse(replace(plan.policy, at_most=plan.policy.at_most - {held}), plan.worth)
            if other is not None and len(other.timetable.placements) <= len(plan.timetable.placements):
                plan = other
        return plan

    def _plan(self, policy: Policy) -> Plan:
        plan = self._no_worse(policy, None)
        assert plan is not None
        return plan

    def _no_worse(self, policy: Policy, worth: Worth | None, known: Plan | None = None) -> Plan | None:
        """The plan of a policy, unless it is of less worth; ``known`` is one, no worse, that it may turn out to be."""
        if known is not None and known.comes_of(policy):
            # It counts as the work that it would be, so that the same plans are found in the work allowed.
            self.work += known.work
            return replace(known, policy=policy)
        run = Dispatch(self.shop, policy, worth)
        timetable = run.run()
        self.work += run.chain.tries
        if timetable is None or (worth is not None and timetable.worth() > worth):
            return None
        return _plan(run, run.as_felt(), timetable)

    def _better(self, policy: Policy, best: Plan) -> Plan | None:
        """The plan of a policy, if it is better than the best."""
        plan = self._no_worse(policy, best.worth, best)
        return None if plan is None or plan.worth == best.worth else plan

    def _best_of(self, policies: Iterable[Policy], best: Plan, last: int) -> Plan:
        """The best of a plan and those of the policies, of which none is begun after so much work."""
        for policy in policies:
            if self.work > last:
                break
            best = self._better(policy, best) or best
        return best

    def _may_go_on(self, worth: Worth) -> bool:
        return self.work < (WORK_IF_LATE if worth[:2] > (0, 0) else WORK_IN_TIME)

    def _improved(self, plan: Plan, begin: int) -> Plan:
        """The plan changed, kind of change by kind from ``begin`` on, until a round makes it no better or the work
        allowed is done.
        """
        kinds = range(begin, begin + 4 + FURTHEST_APART)
        tried = {plan.policy}
        better = True
        while better:
            better = False
            for kind in kinds:
                if not self._may_go_on(plan.worth):
                    # Before the changes are listed: those of the turns of ten thousand lines would fill the memory.
                    break
                place, changes = 0, self._changes(kind, plan)
                while place < len(changes) and self._may_go_on(plan.worth):
                    found = None if changes[place] in tried else self._better(changes[place], plan)
                    tried.add(changes[place])
                    place += 1
                    if found is not None:
                        # The changes of the better plan go on from the same place: those before it were no use.
                        plan, better = found, True
                        changes = self._changes(kind, plan)
        return plan

    def _changes(self, kind: int, plan: Plan) -> list[Policy]:
        kind %= 4 + FURTHEST_APART
        if kind == 0:
            return list(rules(plan.policy, self.shop))
        if kind == 1:
            return list(orders(plan.policy, self.shop))
        if kind == 2:
            return list(holds(plan.policy, plan.decisions))
        return list(kilns(plan.policy, plan.decisions, kind - 3))

    def level(self, plan: Plan) -> Plan:
        """The plan with the longest day of anybody as short as it can be, by halves, if it gets no worse for it and no
        lot is cut into smaller ones.
        """
        if self.shop.short or stages_left(self.shop) > MOST_TO_LEVEL:
            # What should be worked before it is too dry is not put off for the sake of a shorter day.
            return plan
        most, longest, shortest, work = len(plan.timetable.placements), plan.timetable.longest_day(), 0, 0
        while longest - shortest > SAME_DAY and work < WORK_TO_LEVEL:
            middle = (longest + shortest) // 2
            found, tries = self._within(plan, middle)
            work += tries
            if found is not None and len(found.placements) > most and middle - SAME_DAY > shortest:
                # Whether lots are cut hangs on where a day happens to end: a little less may cut none.
                found, tries = self._within(plan, middle - SAME_DAY)
                work += tries
            if found is None or len(found.placements) > most:
                shortest = middle
            else:
                plan, longest = replace(plan, timetable=found), found.longest_day()
        return plan

    def _within(self, plan: Plan, longest: int) -> tuple[Timetable | None, int]:
        """What comes of a plan if nobody works longer than that on a day, None if it is of less worth; and the work."""
        run = Dispatch(self.shop, replace(plan.policy, longest=longest), plan.worth)
        timetable = run.run()
        worse = timetable is None or timetable.worth() > plan.worth
        return None if worse else timetable, run.chain.tries


def _plan(run: Dispatch, policy: Policy, timetable: Timetable) -> Plan:
    return Plan(policy, timetable, timetable.worth(), run.decisions, run.grounds, run.chain.tries)


def is_small(shop: Shop) -> bool:
    """Whether a shop is searched by changes drawn by lot."""
    return stages_left(shop) <= FEW_STAGES


def least_work(shop: Shop) -> int:
    """The work that a search takes at the least where lines are late and might be less so."""
    return WORK_IF_LATE + WORK_BY_LOT if is_small(shop) else WORK_IF_LATE


def stages_left(shop: Shop) -> int:
    """The stages that all flows have still before them; a plan tries each lot at each of its stages once at least."""
    return sum(len(flow.route) - flow.first for flow in shop.flows)
