"""The overhead of the plan's days, and how much of it the pieces bear."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.coins import money, nearest
from pipeline.lines import MILLION, line_millionths
from pipeline.money import amount
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.overhead import Overhead


def overhead(stage_hours: pl.DataFrame, schedule: pl.DataFrame, *, settings: Settings) -> pl.DataFrame:
    """The overhead of the days from the plan's first to its last with work, what the lines bear of it, and the rest.

    The rate of an hour is the overhead of a month / the hours that are normal for one; a month that the plan covers in
    part counts by its days. If the plan has more hours than are normal, the rate is its overhead / its hours, so that
    the lines never bear more than there is; if it has fewer, the rest is an expense of those days and not a cost of
    pieces. Where these two settings are not both given, the rate is ``overhead_per_hour``, and nothing is known of a
    rest. Source: IAS 2, Inventories, paragraph 13.

    1,000 a month at 100 normal hours: 10 an hour. 80 hours in a month bear 800, and 200 are not absorbed.
    """
    last = schedule["date"].max()
    if not isinstance(last, date):
        return shaped(Overhead, pl.DataFrame(schema=types(Overhead)))
    digits = settings.minor_digits
    worked = line_millionths(stage_hours, "hours")
    hours = Fraction(int(worked["hours"].sum()), MILLION)
    rate, cost, normal = settings.overhead_per_hour, None, None
    if settings.overhead_per_month is not None and settings.normal_hours_per_month:
        months = months_between(settings.start, last)
        monthly, usual = Fraction(settings.overhead_per_month), Fraction(str(settings.normal_hours_per_month))
        cost, normal = amount(months * monthly, digits), months * usual
        rate = amount(Fraction(cost) / hours if hours > normal else monthly / usual, MONEY_DIGITS)
    absorbed = None if rate is None else worked.select(line_overhead("hours", rate, digits).sum()).item()
    unabsorbed = None if cost is None or absorbed is None else cost - absorbed
    row = (settings.start, last, float(hours), None if normal is None else float(normal))
    return shaped(
        Overhead, pl.DataFrame([(*row, cost, rate, absorbed, unabsorbed)], schema=types(Overhead), orient="row")
    )


def line_overhead(hours: str, rate: Decimal, digits: int) -> pl.Expr:
    """What each line bears of the overhead: its hours, a column of millionths, at the rate, rounded."""
    top, bottom = rate.as_integer_ratio()
    return money(nearest(pl.col(hours).cast(pl.Int128) * (top * 10**digits), bottom * MILLION), digits)


def months_between(first: date, last: date) -> Fraction:
    """How many months lie between two days, both counted; each day is its part of its month."""
    months, day = Fraction(0), first
    while day <= last:
        length = monthrange(day.year, day.month)[1]
        end = min(last, day.replace(day=length))
        months += Fraction((end - day).days + 1, length)
        day = end + timedelta(days=1)
    return months
