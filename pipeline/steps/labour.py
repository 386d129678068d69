"""Who works how long for which line at which stage, and what it costs."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.calendar import calendar
from pipeline.lines import LINE
from pipeline.money import amount
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.labour import Labour

NOTHING = Decimal(0)


def labour(
    schedule: pl.DataFrame, labour_hours: pl.DataFrame, closed_days: pl.DataFrame, *, settings: Settings
) -> pl.DataFrame:
    """The working time of the schedule by worker and rate, line, stage and kiln load, and what it costs.

    A row's time x its rate is rounded once; it is either paid for or the owner's own, and the other of the two is
    nought. Without a rate the cost is blank. Every sum of labour elsewhere is a sum of these rows.

    Ada 20 minutes at 16.00 an hour: 16.00 x 20 / 60 = 5.33 (5.3333).
    """
    shifts = calendar(labour_hours, closed_days, settings.start)
    places = {worker.name: place for place, worker in enumerate(shifts.workers)}
    time: dict[tuple[int, bool, Decimal | None, tuple[str | None, ...]], int] = defaultdict(int)
    for day, worker, minutes, *at in schedule.select("date", "worker", "minutes", *LINE, "stage", "load").iter_rows():
        if worker is not None and minutes:
            place = places[worker]
            shift = shifts.shifts(day.toordinal())[place]
            time[place, shift.own, shift.rate, tuple(at)] += round(minutes * 100)
    rows = []
    for (place, own, rate, line), hundredths in sorted(time.items(), key=lambda item: item[0][0]):
        cost = None if rate is None else amount(Fraction(hundredths, 6000) * Fraction(rate), settings.minor_digits)
        paid, owned = (NOTHING, cost) if own else (cost, NOTHING)
        rows.append((shifts.workers[place].name, own, rate, *line, hundredths / 100, paid, owned))
    return shaped(Labour, pl.DataFrame(rows, schema=types(Labour), orient="row"))
