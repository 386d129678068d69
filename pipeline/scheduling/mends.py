"""What would mend a late line: the plan is made again with each thing that could be changed, by the least that does."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from itertools import zip_longest

import polars as pl

from pipeline.job import Job
from pipeline.scheduling.asked import Asked, Good, Spent
from pipeline.scheduling.due_dates import later_due_dates
from pipeline.scheduling.hold_ups import HoldUp
from pipeline.scheduling.remedies import Remedies, Remedy
from pipeline.scheduling.search import stages_left
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.trials import Trial, Trials, Tried, quick

MOST_WORK = 60_000
"""How often lots may be tried in all the plans that are made to find out what would mend the late lines of a job."""

TO_MAKE_SURE = 25_000
"""The same for making whole plans of what was found, where others are late still: the trials are searched for less
long than the plan itself."""

FOR_DUE_DATES = 50_000
"""The same for later due dates."""

NOT_ALL = "more was not looked into"
"""Said where not all was tried."""

NOTHING = "nothing alone that was tried"
"""What would mend a line that nothing would have in time, a later due date neither."""

NONE_LATE = ", and no line is late"
"""Said of an amount with which no line is late, where less of it may have the line itself in time."""


def mends(
    job: Job,
    pieces: pl.DataFrame,
    shop: Shop,
    late: Mapping[int, int],
    held: Mapping[int, HoldUp],
    shop_of: Callable[[Job], Shop],
    made: list[Trial] | None = None,
) -> dict[int, str]:
    """For each late line (its place in the orders, and the days it is late) what alone would have it in time, in words.

    ``shop`` is that of the job, whose lines ``pieces`` counts; ``held`` is what ``hold_ups`` found, which says what is
    worth looking into; ``shop_of`` makes the shop of a changed job; what was ``made`` is not made again. Whatever is
    named was found in time by planning again with it, by the least amount that does: with one step less the line was
    found late, or another where it is said that then no line is. All these plans take no more work than ``MOST_WORK``,
    those that make sure of it ``TO_MAKE_SURE``, and later due dates ``FOR_DUE_DATES``; and then it is said that there
    may be more. Lines that are late for one reason share them.
    """
    made = [] if made is None else made
    # In a large job with many late lines a plan more is not made for dates that the plan itself tells.
    dates = Trials(FOR_DUE_DATES if len(late) == 1 or quick(shop) <= MOST_WORK else 0, made=made)
    asked = Asked(shop_of, Trials(MOST_WORK, made=made), Trials(TO_MAKE_SURE, made=made), shop)
    if 2 * stages_left(shop) > MOST_WORK:
        return dict.fromkeys(late, NOT_ALL)
    found = {line: _Found(line, days, asked) for line, days in late.items()}
    known = Remedies(job, pieces, shop)
    ways = [[remedy for remedy in known.of_line(line) if remedy.eases in (None, *held[line].mended)] for line in late]
    for at_length in (False, True):
        for turn in zip_longest(*ways):
            for one, remedy in zip(found.values(), turn, strict=True):
                if remedy is not None and not (at_length and (one.words or one.unsure)):
                    one.look_into(remedy, at_length=at_length)
    for one in found.values():
        one.make_sure_of_one()
    for one in found.values():
        one.make_sure_of_all()
    later, dates_tried = _later(job, late, Asked(shop_of, dates, dates, shop))
    return {line: one.told(later.get(line), dates_tried=dates_tried) for line, one in found.items()}


def _later(job: Job, late: Mapping[int, int], asked: Asked) -> tuple[Mapping[int, str], bool]:
    """Later due dates in words, and whether they were looked into to the end."""
    try:
        return later_due_dates(job, late, asked), True
    except Spent:
        return {}, False


@dataclass
class _Found:
    """What was found to have a line in time that is so many days late, in words by the remedy's name; what may but has
    to be made sure of (``unsure``), as others are late still; and whether all was tried.
    """

    line: int
    days: int
    asked: Asked
    words: dict[tuple[object, ...], str] = field(default_factory=dict)
    unsure: list[Remedy] = field(default_factory=list)
    all_tried: bool = True

    def told(self, later: str | None, *, dates_tried: bool) -> str:
        """What alone would have the line in time, in words; ``later``: a later due date."""
        words = [*self.words.values()] if later is None else [*self.words.values(), later]
        if self.all_tried and later is not None and not self.words:
            return f"only {later}"
        if dates_tried and self.all_tried:
            return "; ".join(words) or NOTHING
        return "; ".join([*words, NOT_ALL])

    def look_into(self, remedy: Remedy, *, at_length: bool) -> None:
        """Looks into a remedy: whether its most does, and how little of it does if no line is late with its most.

        Quickly, and at length if that nearly does; or ``at_length`` in any case.
        """
        if remedy.unless in self.words or not remedy.most:
            return
        try:
            most = self.asked.quickly(remedy, remedy.most)
            if not most.in_time(self.line) and (at_length or most.nearly(self.line, self.days)):
                most = self.asked.at_length(remedy, remedy.most)
            if most.none_late:
                self._name(remedy, lambda tried: tried.none_late)
            elif most.in_time(self.line):
                self.unsure.append(remedy)
        except Spent:
            self.all_tried = False

    def make_sure_of_one(self) -> None:
        """Makes sure of the first remedy that may have the line in time, if none is known to."""
        if not self.words and self.unsure:
            self._make_sure(self.unsure.pop(0))

    def make_sure_of_all(self) -> None:
        """Makes sure of all others."""
        while self.unsure:
            self._make_sure(self.unsure.pop(0))

    def _make_sure(self, remedy: Remedy) -> None:
        try:
            self._name(remedy, self._in_time)
        except Spent:
            self.all_tried = False

    def _in_time(self, tried: Tried) -> bool:
        return tried.in_time(self.line)

    def _name(self, remedy: Remedy, good: Good) -> None:
        """Names the least of a remedy that is good, as its most is; or of what may do with less than that."""
        name = remedy.name
        while True:
            amount = self.asked.least(remedy, good)
            if amount is None or not good(self.asked.surely(remedy, amount)):
                raise Spent
            less = self.asked.known(remedy, amount - 1)
            self.words[name] = remedy.words(amount) + (NONE_LATE if less and less.in_time(self.line) else "")
            if remedy.closer is None:
                return
            remedy = remedy.closer(amount)
            if not good(self.asked.quickly(remedy, remedy.most)):
                return
