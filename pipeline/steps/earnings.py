"""What a line earns for the owner's own time, and other ways to look at its cost."""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from pipeline.clay import line_clay, to_kg
from pipeline.coins import MONEY, coins, money, nearest
from pipeline.in_places import in_places
from pipeline.lines import MILLION, known_across, with_number
from schemas.settings import Settings
from schemas.sheet import shaped
from schemas.sheets_out.earnings import Earnings

HOURS_DIGITS = 4
"""Decimal places of hours, as ``stage_hours`` has them."""


def earnings(
    job_costs: pl.DataFrame,
    labour: pl.DataFrame,
    stage_hours: pl.DataFrame,
    kiln_loads: pl.DataFrame,
    pieces: pl.DataFrame,
    forms: pl.DataFrame,
    clay_blends: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """What each line leaves for an hour of the owner's own time, the price that a wanted rate needs, and its full cost
    by the room that it takes in kilns and by its clay, to hold lines against each other.

    Left for own time = sales - book cost - overhead; earned an hour = that / own hours. Price needed = (book cost +
    overhead + own hours x the wanted rate) / quantity. A kiln load is a full one: two lines that fill half of it each
    have half a load. Of a line with pieces in the studio already all of it is blank, as what they have cost so far is
    not known.

    10 pieces at 14.00, 55.28 for the books, 16.88 of overhead, 4 own hours: 140.00 - 72.16 = 67.84, 16.96 an hour. For
    20.00 an hour a piece must bring (72.16 + 80.00) / 10 = 15.22.
    """
    digits, wanted = settings.minor_digits, settings.wanted_hourly_rate
    lines = with_number(job_costs, "hours", stage_hours, "hours")
    lines = with_number(lines, "own_minutes", labour.filter("own_time"), "minutes")
    lines = with_number(lines, "room_pct", kiln_loads, "share_pct")
    clay = line_clay(pieces, forms, clay_blends, settings).with_columns(kg=to_kg(pl.col("mg")))
    lines = with_number(lines, "kg", clay, "kg").with_columns(
        own=nearest(pl.col("own_minutes"), 60 * MILLION // 10**HOURS_DIGITS), wanted_rate=pl.lit(wanted, MONEY)
    )
    known = pl.when(pl.col("already_begun") == 0)
    costs = lines.with_columns(
        spent=known.then(known_across("book_cost", "overhead")),
        full_cost=known.then("full_cost"),
        margin=known.then("margin"),
    ).with_columns(left_for_own_time=pl.col("sales") - pl.col("spent"))
    return shaped(
        Earnings,
        costs.with_columns(
            hours=in_places(pl.col("hours"), 6),
            own_hours=in_places(pl.col("own"), HOURS_DIGITS),
            earned_an_hour=_for_each("left_for_own_time", "own", HOURS_DIGITS, digits),
            price_needed=_price_needed(wanted, digits),
            kiln_loads=in_places(pl.col("room_pct"), 8),
            clay_kg=in_places(pl.col("kg"), 6),
            full_cost_a_load=_for_each("full_cost", "room_pct", 8, digits),
            full_cost_a_kg=_for_each("full_cost", "kg", 6, digits),
            margin_a_load=_for_each("margin", "room_pct", 8, digits),
        ),
    )


def _for_each(cost: str, number: str, places: int, digits: int) -> pl.Expr:
    """Money / a number, which is in whole units of that decimal place, rounded; blank where there is none of either."""
    there = pl.when(pl.col(number) != 0).then(number)
    return money(nearest(coins(cost, digits) * 10**places, there), digits)


def _price_needed(wanted: Decimal | None, digits: int) -> pl.Expr:
    """(``spent`` + own hours x the wanted rate) / quantity, rounded."""
    if wanted is None:
        return pl.lit(None, MONEY)
    top, bottom = wanted.as_integer_ratio()
    whole = bottom * 10**HOURS_DIGITS
    needed = coins("spent", digits) * whole + pl.col("own") * (top * 10**digits)
    return money(nearest(needed, pl.col("quantity") * whole), digits)
