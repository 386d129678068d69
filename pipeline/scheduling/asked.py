"""How late lines are with so much of a remedy: as much of it is planned as the question is worth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from pipeline.job import Job
from pipeline.scheduling.hold_ups import KILN
from pipeline.scheduling.remedies import Remedy
from pipeline.scheduling.search import least_work, stages_left
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.trials import Trials, Tried, long, quick

Good = Callable[[Tried], bool]
"""Whether what was found is what is looked for."""


class Spent(Exception):  # noqa: N818 - it ends a look when the work is done, and is no fault
    """The work allowed is done."""


@dataclass
class Asked:
    """The plans made for trial, and how late the lines are in each, by remedy and amount.

    ``shop`` is that of the job without a remedy. With less work left than a plan of it takes at the very least, the
    shop of a changed job is not made up either, as in a large job that would take far longer than all the plans.
    Whatever cannot be found out within the work allowed raises Spent.
    """

    shop_of: Callable[[Job], Shop]
    trials: Trials
    whole_plans: Trials
    shop: Shop
    shops: dict[tuple[object, ...], Shop] = field(default_factory=dict)
    tried: dict[tuple[object, ...], dict[int, Tried]] = field(default_factory=dict)
    cut: set[tuple[object, ...]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.stages = stages_left(self.shop)

    def known(self, remedy: Remedy, amount: int) -> Tried | None:
        """What was found so far, if anything was."""
        return self._known(remedy).get(amount)

    def quickly(self, remedy: Remedy, amount: int) -> Tried:
        """What a quick trial finds: that a line is in time more likely than not, that it is late less surely."""
        known = self._known(remedy)
        if amount not in known:
            known[amount] = self._tried(remedy, amount, quick)
        return known[amount]

    def at_length(self, remedy: Remedy, amount: int) -> Tried:
        """What a longer trial finds."""
        known = self._known(remedy)
        if amount not in known or not known[amount].sure:
            known[amount] = self._tried(remedy, amount, long)
        return known[amount]

    def surely(self, remedy: Remedy, amount: int) -> Tried:
        """What holds of the plan itself."""
        known = self._known(remedy)
        if amount not in known or not known[amount].sure:
            # What is drawn by lot hangs on the names of the kilns, and nobody knows that of a new one yet.
            if (remedy.eases or "").startswith(KILN) or self.whole_plans.left < least_work(self.shop):
                raise Spent
            plan = self.whole_plans.late(self._shop(remedy, amount, self.whole_plans), by_lot=True)
            if plan is None or not plan.sure:
                raise Spent
            known[amount] = plan
        return known[amount]

    def least(self, remedy: Remedy, good: Good) -> int | None:
        """The least of a remedy that does, by halves from the least found so far; None if none was found.

        One less than that does not do, which is looked into at length.
        """
        known = self._known(remedy)
        amount = min((tried for tried, found in known.items() if good(found)), default=None)
        found = amount
        while amount is not None and found is not None:
            late = max([tried for tried in known if tried < amount], default=0)
            while amount - late > 1:
                middle = (late + amount) // 2
                late, amount = (late, middle) if self._likely(remedy, middle, found, good) else (middle, amount)
            if not late or not good(self.at_length(remedy, late)):
                return amount
            amount = found = late
        return None

    def _likely(self, remedy: Remedy, amount: int, found: int, good: Good) -> bool:
        """Whether an amount does as far as is soon known: by a quick trial, or in the way of the plan that was found
        with another amount.
        """
        known = self._known(remedy)
        if amount not in known and not known[found].none_late:
            other = self._shop(remedy, found, self.trials)
            likewise = self.trials.likewise(self._shop(remedy, amount, self.trials), other)
            if likewise is not None and good(likewise):
                return True
        return good(self.quickly(remedy, amount))

    def _tried(self, remedy: Remedy, amount: int, work: Callable[[Shop], int]) -> Tried:
        key = (*remedy.name, amount)
        if key in self.cut:
            raise Spent
        shop = self._shop(remedy, amount, self.trials)
        enough = self.trials.left >= work(shop)
        tried = self.trials.late(shop, work(shop))
        if tried is None or not (enough or tried.whole):
            self.cut.add(key)
            raise Spent
        return tried

    def _known(self, remedy: Remedy) -> dict[int, Tried]:
        return self.tried.setdefault(remedy.name, {})

    def _shop(self, remedy: Remedy, amount: int, trials: Trials) -> Shop:
        key = (*remedy.name, amount)
        if key not in self.shops:
            if self.stages > trials.left:
                raise Spent
            self.shops[key] = self.shop_of(remedy.job(amount))
        return self.shops[key]
