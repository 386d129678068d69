"""Who works when, on what, at which rate."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

import polars as pl

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

MINUTE_DIGITS = 2
"""Decimal places of minutes."""

HUNDREDTHS: int = 10**MINUTE_DIGITS
"""Working time is counted in whole hundredths of a minute, so that sums are exact."""

LONGEST_REST = 400
"""Days without any work after which nobody is expected to work again."""


def weekdays_named(day: str) -> list[int]:
    """The weekdays (0 = Monday) of ``Mon``, ``Mon-Fri`` or ``Mon-Wed, Sat``; a range may run over Sunday, as
    ``Sat-Mon``."""
    named = []
    for part in day.split(", "):
        first, _, last = part.partition("-")
        low = WEEKDAYS.index(first)
        high = WEEKDAYS.index(last) if last else low
        named += [(low + step) % 7 for step in range((high - low) % 7 + 1)]
    return list(dict.fromkeys(named))


def is_date(day: str) -> bool:
    """Whether a day of ``labour_hours`` is a date, and not weekdays."""
    return day[:1].isdigit()


def breadth(day: str) -> int:
    """How many days a row of ``labour_hours`` speaks of. The narrower of two rows holds: Wed before Mon-Fri."""
    return 1 if is_date(day) else len(weekdays_named(day))


def weekday(day: int) -> int:
    """The weekday (0 = Monday) of an ordinal: day 1, 1 January of year 1, is a Monday."""
    return (day - 1) % 7


@dataclass(frozen=True, slots=True)
class Shift:
    """A worker's day: time in hundredths of a minute, stages or firings done (None: all), cost of an hour (None: not
    known), own time."""

    time: int
    stages: frozenset[str] | None
    rate: Decimal | None
    own: bool

    def covers(self, stage: str, firing: str | None) -> bool:
        """Whether the stage is done in this shift, named by itself or by its firing."""
        return self.stages is None or stage in self.stages or (firing is not None and firing in self.stages)


IDLE = Shift(0, frozenset(), None, own=False)


@dataclass(frozen=True)
class Worker:
    """Somebody who works, and when: a date's shift overrides the weekday's."""

    name: str
    by_weekday: tuple[Shift, ...]
    by_date: dict[int, Shift]

    def shift(self, day: int) -> Shift:
        """The shift of a day (an ordinal), whether or not the studio is closed."""
        return self.by_date.get(day) or self.by_weekday[weekday(day)]


@dataclass
class Calendar:
    """Shifts by day (an ordinal), from a first day on; nobody works on closed days."""

    workers: tuple[Worker, ...]
    start: int
    closed: frozenset[int]
    _known: dict[int, tuple[Shift, ...]] = field(default_factory=dict, compare=False)
    _works: dict[int, bool] = field(default_factory=dict, compare=False)
    _next: dict[int, int | None] = field(default_factory=dict, compare=False)

    def shifts(self, day: int) -> tuple[Shift, ...]:
        """Each worker's shift of the day, in the order of ``workers``."""
        known = self._known.get(day)
        if known is None:
            if day < self.start or day in self.closed:
                known = (IDLE,) * len(self.workers)
            else:
                known = tuple(worker.shift(day) for worker in self.workers)
            self._known[day] = known
        return known

    def works(self, day: int) -> bool:
        """Whether anybody works on the day."""
        known = self._works.get(day)
        if known is None:
            known = self._works[day] = any(shift.time for shift in self.shifts(day))
        return known

    def next_work(self, day: int) -> int | None:
        """The first day with work at or after ``day``; None if nobody works for over a year."""
        if day not in self._next:
            first = max(day, self.start)
            self._next[day] = next((later for later in range(first, first + LONGEST_REST) if self.works(later)), None)
        return self._next[day]

    def last_work(self, day: int) -> int:
        """The last day with work at or before ``day``.

        If nobody works from ``start`` up to it, the day before ``start``: then it would have to be earlier than the
        plan. Of the days before that nobody knows, so each of them is its own.
        """
        while day >= self.start and not self.works(day):
            day -= 1
        return day


def closed_ordinals(closed_days: pl.DataFrame) -> frozenset[int]:
    """Every closed day."""
    spans = closed_days.select("from", "to").iter_rows()
    return frozenset(day for first, last in spans for day in range(first.toordinal(), last.toordinal() + 1))


def calendar(labour_hours: pl.DataFrame, closed_days: pl.DataFrame, start: date) -> Calendar:
    """The calendar of the sheets.

    A worker's date overrides the weekday, fewer weekdays (`Wed`) override more (`Mon-Fri`); of two rows of as many days
    the later holds.
    """
    workers = []
    for name in labour_hours["worker"].unique(maintain_order=True):
        by_weekday, by_date = [IDLE] * 7, {}
        rows = labour_hours.filter(pl.col("worker") == name).rows(named=True)
        for row in sorted(rows, key=lambda row: -breadth(row["day"])):
            named = None if row["stages"] is None else [part.strip() for part in row["stages"].split(";")]
            shift = Shift(
                round(row["hours"] * 60 * HUNDREDTHS),
                None if named is None else frozenset(part for part in named if part),
                row["hourly_rate"],
                row["own_time"],
            )
            if is_date(row["day"]):
                by_date[date.fromisoformat(row["day"]).toordinal()] = shift
            else:
                for day in weekdays_named(row["day"]):
                    by_weekday[day] = shift
        workers.append(Worker(name, tuple(by_weekday), by_date))
    return Calendar(tuple(workers), start.toordinal(), closed_ordinals(closed_days))
