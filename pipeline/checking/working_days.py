"""Who works when, and on which days there is work at all."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import polars as pl

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
ONE_DAY = dt.timedelta(days=1)


@dataclass(frozen=True)
class Shift:
    """A worker's hours on a date and the stages that they do in them; ``stages`` None means every stage."""

    hours: float
    stages: frozenset[str] | None


NO_SHIFT = Shift(0.0, frozenset())


class WorkingDays:
    """The working calendar of a job: its ``labour_hours`` and ``closed_days``; ``workers`` are all that it names."""

    def __init__(self, labour_hours: pl.DataFrame, closed_days: pl.DataFrame) -> None:
        rows = [(_days_meant(row["day"]), row) for row in labour_hours.rows(named=True)]
        # The narrower a row, the more it says: a date goes before a weekday, a weekday before a range of them.
        rows.sort(key=lambda pair: len(pair[0]), reverse=True)
        rows.sort(key=lambda pair: isinstance(pair[0][0], dt.date))
        self._shifts: dict[tuple[str, int | dt.date], Shift] = {}
        for days, row in rows:
            for day in days:
                self._shifts[row["worker"], day] = Shift(row["hours"], _stages_named(row["stages"]))
        self.workers = list(dict.fromkeys(labour_hours["worker"].to_list()))
        self._closed = [(row["from"], row["to"]) for row in closed_days.rows(named=True)]
        dates = [day for _, day in self._shifts if isinstance(day, dt.date)]
        self._last_exception = max([*dates, *(last for _, last in self._closed)], default=dt.date.min)

    def shift(self, worker: str, day: dt.date) -> Shift:
        """The worker's hours on a date, closed days not regarded; none for somebody unknown."""
        weekly = self._shifts.get((worker, day.weekday()), NO_SHIFT)
        return self._shifts.get((worker, day), weekly)

    def has_work(self, day: dt.date) -> bool:
        """Whether the date is not closed and somebody works on it."""
        if any(first <= day <= last for first, last in self._closed):
            return False
        return any(self.shift(worker, day).hours > 0 for worker in self.workers)

    def first_with_work(self, day: dt.date) -> dt.date | None:
        """The first date with work at or after ``day``; None if there never is one."""
        # After the last date that any sheet names, all weeks are alike: seven days more tell everything.
        last = max(day, self._last_exception) + 7 * ONE_DAY
        while day <= last:
            if self.has_work(day):
                return day
            day += ONE_DAY
        return None


def _days_meant(day: str) -> list[int] | list[dt.date]:
    """``Mon`` -> [0]; ``Sat-Mon`` -> [5, 6, 0]; ``Tue, Thu`` -> [1, 3]; a date -> that date."""
    if day[:1].isdigit():
        return [dt.date.fromisoformat(day)]
    meant: set[int] = set()
    for span in day.split(","):
        first, _, last = (part.strip().title() for part in span.partition("-"))
        begin = WEEKDAYS.index(first)
        length = (WEEKDAYS.index(last or first) - begin) % 7 + 1
        meant |= {(begin + i) % 7 for i in range(length)}
    return sorted(meant)


def _stages_named(stages: str | None) -> frozenset[str] | None:
    if stages is None:
        return None
    return frozenset(name.strip() for name in stages.split(";"))
