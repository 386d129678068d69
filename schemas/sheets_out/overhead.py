"""The overhead of the plan's days, and how much of it the pieces bear."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, amount, day, number, price
from schemas.sheet import Sheet


class Overhead(Sheet):
    """The days of the plan, from its first to its last with work."""

    first_day: pl.Date = day("first day of the plan", needed=True)
    last_day: pl.Date = day("last day with work", needed=True)
    hours: float = number("hours of work planned", unit="h", needed=True, ge=0)
    normal_hours: float = number("hours that are normal for those days", unit="h", gt=0)
    overhead: Money = amount("overhead of those days", ge=0)
    rate: Money = price("overhead that an hour of work bears; blank if nobody gave any", ge=0)
    absorbed: Money = amount("what the lines bear: their hours at that rate", ge=0)
    unabsorbed: Money = amount("the rest: an expense of those days, not a cost of pieces")
