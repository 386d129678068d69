"""Later due dates for late lines: what always has them in time, if all who wait are told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

import polars as pl

from pipeline.job import Job
from pipeline.scheduling.asked import Asked
from pipeline.scheduling.remedies import Remedy, in_days

LATEST = 365
"""Days by which a due date is moved at most."""

MOST_MOVES = 4
"""How often due dates are moved to the days on which the lines would be ready, as moving them moves the plan."""

EACH_LATE_LINE = ", with such a date for each late line"
"""Said where several are late: their due dates are moved together."""


def later_due_dates(job: Job, late: Mapping[int, int], asked: Asked) -> dict[int, str]:
    """For each of the late lines (its place in the orders, and the days it is late) a due date that is kept, in words,
    if those of all of them are moved; none if no such dates are found.

    The days on which they are ready in the plan are such dates. But as the turn of the lines goes by their dates, the
    plan with them may be another, so it is made; and what is late in it is moved again by as many days. Raises Spent if
    that cannot be found out.
    """
    days = dict(late)
    for _ in range(MOST_MOVES):
        if max(days.values()) > LATEST:
            break
        moved = _moved(job, days)
        tried = asked.at_length(moved, 1)
        if not tried.sure:
            tried = asked.surely(moved, 1)
        if all(tried.in_time(line) for line in days):
            return {line: _words(job, line, number) + EACH_LATE_LINE * (len(days) > 1) for line, number in days.items()}
        days = {line: number + max(0, tried.days.get(line, 1)) for line, number in days.items()}
    return {}


def _moved(job: Job, days: Mapping[int, int]) -> Remedy:
    """Due dates so many days later for the lines."""
    due = [date + timedelta(days=days[line]) if line in days else date for line, date in enumerate(job.orders["due"])]
    moved = replace(job, orders=job.orders.with_columns(due=pl.Series(due, dtype=pl.Date)))
    return Remedy(("due", *days.items()), None, 1, lambda _: moved, lambda _: "later due dates")


def _words(job: Job, line: int, days: int) -> str:
    return f"a due date {in_days(days)} later ({job.orders['due'][line] + timedelta(days=days)})"
