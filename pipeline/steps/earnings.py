"""What a line earns for the owner's own time, and other ways to look at its cost."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.clay import MG, line_clay
from pipeline.lines import Line, line_numbers
from pipeline.money import amount, known_sum
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.earnings import Earnings

NONE = Fraction(0)

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
    hours = line_numbers(stage_hours, "hours")
    own = line_numbers(labour.filter("own_time"), "minutes")
    room = line_numbers(kiln_loads, "share_pct")
    clay = line_numbers(line_clay(pieces, forms, clay_blends, settings), "mg")
    rows = []
    for row in job_costs.iter_rows(named=True):
        line: Line = (row["order"], row["form"], row["glaze"])
        own_hours = Fraction(amount(own.get(line, NONE) / 60, HOURS_DIGITS))
        loads, kilograms = room.get(line, NONE) / 100, clay.get(line, NONE) / MG
        known = not row["already_begun"]
        spent = known_sum([row["book_cost"], row["overhead"]]) if known else None
        full, margin = (row["full_cost"], row["margin"]) if known else (None, None)
        left = None if spent is None or row["sales"] is None else row["sales"] - spent
        needed = None
        if spent is not None and wanted is not None:
            needed = amount((Fraction(spent) + own_hours * Fraction(wanted)) / row["quantity"], digits)
        rows.append(
            {name: row[name] for name in ("order", "customer", "form", "glaze", "quantity", "unit_price")}
            | {
                "hours": float(hours.get(line, NONE)),
                "own_hours": float(own_hours),
                "left_for_own_time": left,
                "earned_an_hour": _for_each(left, own_hours, digits),
                "wanted_rate": wanted,
                "price_needed": needed,
                "kiln_loads": float(loads),
                "clay_kg": float(kilograms),
                "full_cost_a_load": _for_each(full, loads, digits),
                "full_cost_a_kg": _for_each(full, kilograms, digits),
                "margin_a_load": _for_each(margin, loads, digits),
            }
        )
    return shaped(Earnings, pl.DataFrame(rows, schema=types(Earnings)))


def _for_each(money: Decimal | None, number: Fraction, digits: int) -> Decimal | None:
    """Money / a number, rounded; None where there is none of either."""
    return None if money is None or not number else amount(Fraction(money) / number, digits)
