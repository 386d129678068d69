"""What would mend a late line: the plan is made again with each thing that could be changed, by the least that does."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from itertools import zip_longest

import polars as pl

from pipeline.job import Job
from pipeline.scheduling.hold_ups import KILN, HoldUp
from pipeline.scheduling.remedies import Remedies, Remedy, due_later
from pipeline.scheduling.search import stages_left
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.trials import Trials, Tried

MOST_WORK = 80_000
"""How often lots may be tried in all the plans that are made to find out what would mend the late lines of a job."""

FOR_DUE_DATES = 40_000
"""As much of it may be done for later due dates, so that something is left for all else."""

TO_MAKE_SURE = 60_000
"""The same for making whole plans of what was found, where others are late still: the trials are searched for less
long than the plan itself."""

MOST_MOVES = 4
"""How often a due date is moved to the day on which the line would be ready, as moving it moves the plan."""

NOT_ALL = "more was not looked into"
"""Said where not all was tried."""

NOTHING = "nothing alone that was tried"
"""What would mend a line that nothing would have in time, a later due date neither."""


def mends(
    job: Job,
    pieces: pl.DataFrame,
    shop: Shop,
    late: Mapping[int, int],
    held: Mapping[int, HoldUp],
    shop_of: Callable[[Job], Shop],
) -> dict[int, str]:
    """For each late line (its place in the orders, and the days it is late) what alone would have it in time, in words.

    ``shop`` is that of the job, whose lines ``pieces`` counts; ``held`` is what ``hold_ups`` found, which says what is
    worth looking into; ``shop_of`` makes the shop of a changed job. Whatever is named was found in time by planning
    again with it, by the least amount that does: with one step less the line was found late. All these plans take no
    more work than ``MOST_WORK``, and those that make sure of it ``TO_MAKE_SURE``, and then it is said that there may be
    more. Lines that are late for one reason share them.
    """
    trials = Trials(FOR_DUE_DATES)
    asked = _Asked(shop_of, trials, Trials(TO_MAKE_SURE, made=trials.made), stages_left(shop))
    if 2 * asked.least_of_one > MOST_WORK:
        return dict.fromkeys(late, NOT_ALL)
    later = {line: _Found(line) for line in late}
    for line, days in late.items():
        later[line].move(due_later(job, line), days, asked)
    asked.trials.most = MOST_WORK
    found = {line: _Found(line) for line in late}
    known = Remedies(job, pieces, shop)
    ways = [[remedy for remedy in known.of_line(line) if remedy.eases in (None, *held[line].mended)] for line in late]
    for turn in zip_longest(*ways):
        for line, remedy in zip(late, turn, strict=True):
            if remedy is not None:
                found[line].look_into(remedy, asked)
    return {line: _told(found[line], later[line]) for line in late}


def _told(found: _Found, later: _Found) -> str:
    words = [*found.words.values(), *later.words.values()]
    if found.all_tried and not found.words and words:
        return f"only {words[0]}"
    if found.all_tried and later.all_tried:
        return "; ".join(words) or NOTHING
    return "; ".join([*words, NOT_ALL])


class _Spent(Exception):  # noqa: N818 - it ends a look when the work is done, and is no fault
    """The work allowed is done."""


@dataclass
class _Asked:
    """The plans made for trial, and how late the lines are in each, by remedy and amount.

    ``least_of_one`` is the work that one of them takes at the very least: with less than that left the shop of a
    changed job is not made up either, as in a large job that would take far longer than all the plans.
    """

    shop_of: Callable[[Job], Shop]
    trials: Trials
    whole_plans: Trials
    least_of_one: int
    tried: dict[tuple[object, ...], Tried] = field(default_factory=dict)

    def late(self, remedy: Remedy, amount: int, line: int) -> int:
        """The days by which a line is late in the plan with so much of a remedy, 0 or less if it is in time.

        Raises _Spent if that cannot be found out.
        """
        key = (*remedy.name, amount)
        if key not in self.tried:
            if self.least_of_one > self.trials.left:
                raise _Spent
            tried = self.trials.late(self.shop_of(remedy.job(amount)))
            if tried is None or not tried.whole:
                raise _Spent
            self.tried[key] = tried
        return self.tried[key].days.get(line, 1)

    def make_sure(self, remedy: Remedy, amount: int, line: int) -> None:
        """Makes the plan itself with so much of a remedy, unless the trial is it. Raises _Spent if that does not have
        the line in time, or there is not the work left to find out.
        """
        key = (*remedy.name, amount)
        if not self.tried[key].sure:
            # What is drawn by lot hangs on the names of the kilns, and nobody knows that of a new one yet.
            if (remedy.eases or "").startswith(KILN) or self.least_of_one > self.whole_plans.left:
                raise _Spent
            plan = self.whole_plans.late(self.shop_of(remedy.job(amount)), by_lot=True)
            if plan is None or not plan.whole:
                raise _Spent
            self.tried[key] = plan
        if self.tried[key].days.get(line, 1) > 0:
            raise _Spent

    def in_time(self, remedy: Remedy, amount: int, line: int) -> bool:
        return self.late(remedy, amount, line) <= 0

    def least(self, remedy: Remedy, line: int) -> int | None:
        """The least of a remedy that has a line in time: doubled until it does, then halved back. None if its most
        does not.
        """
        late, amount = 0, 1
        if not remedy.most:
            return None
        while not self.in_time(remedy, amount, line):
            if amount == remedy.most:
                return None
            late, amount = amount, min(2 * amount, remedy.most)
        while amount - late > 1:
            middle = (late + amount) // 2
            late, amount = (late, middle) if self.in_time(remedy, middle, line) else (middle, amount)
        return amount


@dataclass
class _Found:
    """What was found to have a line in time, in words by the remedy's name, and whether all was tried."""

    line: int
    words: dict[tuple[object, ...], str] = field(default_factory=dict)
    all_tried: bool = True

    def move(self, due: Remedy, days: int, asked: _Asked) -> None:
        """Moves a due date by the days that the line is late, again and again until it is in time."""
        try:
            for _ in range(MOST_MOVES):
                if days > due.most:
                    return
                late = asked.late(due, days, self.line)
                if late <= 0:
                    asked.make_sure(due, days, self.line)
                    self.words[due.name] = due.words(days)
                    return
                days += late
        except _Spent:
            self.all_tried = False

    def look_into(self, remedy: Remedy, asked: _Asked) -> None:
        """Looks for the least amount of a remedy that does, if any does."""
        if remedy.unless in self.words:
            return
        try:
            amount = asked.least(remedy, self.line)
            if amount is None:
                return
            asked.make_sure(remedy, amount, self.line)
            self.words[remedy.name] = remedy.words(amount)
            if remedy.closer is not None:
                closer = remedy.closer(amount)
                amount = asked.least(closer, self.line)
                if amount is not None:
                    asked.make_sure(closer, amount, self.line)
                    self.words[remedy.name] = closer.words(amount)
        except _Spent:
            self.all_tried = False
