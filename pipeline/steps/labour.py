"""Who works how long for which line at which stage, and what it costs."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.alike import once_each
from pipeline.calendar import HUNDREDTHS, MINUTE_DIGITS, calendar
from pipeline.in_places import in_places
from pipeline.lines import LINE
from pipeline.money import product
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.labour import Labour

NOTHING = Decimal(0)

HOUR = Fraction(1, 60 * HUNDREDTHS)
"""A hundredth of a minute in hours."""


def labour(
    schedule: pl.DataFrame, labour_hours: pl.DataFrame, closed_days: pl.DataFrame, *, settings: Settings
) -> pl.DataFrame:
    """The working time of the schedule by worker and rate, line, stage and kiln load, and what it costs.

    A row's time x its rate is rounded once; it is either paid for or the owner's own, and the other of the two is
    nought. Without a rate the cost is blank. Every sum of labour elsewhere is a sum of these rows.

    Ada 20 minutes at 16.00 an hour: 16.00 x 20 / 60 = 5.33 (5.3333).
    """
    shifts = calendar(labour_hours, closed_days, settings.start)
    money = types(Labour)["paid_labour"]
    on_day = [
        (day, place, worker.name, shift.own, shift.rate)
        for day in schedule["date"].unique()
        for place, (worker, shift) in enumerate(zip(shifts.workers, shifts.shifts(day.toordinal()), strict=True))
    ]
    shift_types = {name: types(Labour)[name] for name in ("worker", "own_time", "hourly_rate")}
    worked = (
        schedule.filter(pl.col("worker").is_not_null(), pl.col("minutes") != 0)
        .join(
            pl.DataFrame(on_day, schema={"date": pl.Date, "place": pl.Int64, **shift_types}, orient="row"),
            on=["date", "worker"],
            how="left",
            validate="m:1",
            maintain_order="left",
        )
        .group_by("place", "worker", "own_time", "hourly_rate", *LINE, "stage", "load", maintain_order=True)
        .agg(time=(pl.col("minutes") * HUNDREDTHS).round().cast(pl.Int64).sum())
        .sort("place", maintain_order=True)
    )

    def cost_of(time: int, rate: Decimal | None) -> Decimal | None:
        return None if rate is None else product(time, rate, HOUR, digits=settings.minor_digits)

    cost = once_each(worked.select("time", "hourly_rate"), cost_of, money)
    nothing = pl.lit(NOTHING, dtype=money)
    return shaped(
        Labour,
        worked.with_columns(
            minutes=in_places(pl.col("time"), MINUTE_DIGITS),
            paid_labour=pl.when("own_time").then(nothing).otherwise(cost),
            own_labour=pl.when("own_time").then(cost).otherwise(nothing),
        ),
    )
