"""What each line's part of each firing costs."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.coins import MONEY, of_coins
from pipeline.in_places import in_places
from pipeline.kiln_counts import kiln_counts, room
from pipeline.lines import LINE, known_across, known_total
from pipeline.money import product_units, share_units
from schemas.settings import Settings
from schemas.sheet import shaped
from schemas.sheets_out.firing_costs import FiringCosts

LOAD = ("load", "firing", "kiln", "load_on", "unload_on")
"""What is told of a load."""

PERCENT_DIGITS = 4
"""Decimal places of per cent."""

WHOLE = 100 * 10**PERCENT_DIGITS
"""All of the room, in units of the last of those."""


def firing_costs(
    kiln_loads: pl.DataFrame,
    labour: pl.DataFrame,
    forms: pl.DataFrame,
    firings: pl.DataFrame,
    kilns: pl.DataFrame,
    kiln_fit: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """The energy, wear and attendance of every load, shared over its lines by the room that their pieces take.

    Room of a line = its pieces / the pieces of its form that fill the kiln alone; ``room_pct`` is its part of the room
    that is filled, to four places. Energy and wear of a load are rounded and split by ``room_pct``, so that everybody
    can do the sum again, and the parts add up to them, by largest remainder. The schedule has shared the time of
    loading and unloading by the room, too, so a line's attendance is what ``labour`` has of it in that load. Without a
    price of energy its cost is blank, and so is the cost of a firing of which nothing else is known.

    A load that costs 12.00, a quarter of its filled room taken by one line and the rest by another: 3.00 and 9.00.
    """
    counts = kiln_counts(forms, firings, kilns, kiln_fit)
    digits = settings.minor_digits
    costs = {
        (firing, kiln): (_energy(kwh, settings), product_units(wear, digits=digits))
        for firing, kiln, kwh, wear in firings.select("firing", "kiln", "kwh", "other_cost").iter_rows()
    }
    loads = (
        kiln_loads.group_by(*LOAD, *LINE, maintain_order=True)
        .agg(pl.col("pieces").sum())
        .group_by(LOAD, maintain_order=True)
        .agg(*LINE, "pieces")
    )
    percents: list[int] = []
    energies: list[int | None] = []
    wears: list[int | None] = []
    for firing, kiln, names, pieces in loads.select("firing", "kiln", "form", "pieces").iter_rows():
        alone = [counts[firing, kiln, form].pieces for form in names]
        parts = share_units(WHOLE, room(pieces, alone)[0])
        energy, wear = costs[firing, kiln]
        percents += parts
        energies += [None] * len(parts) if energy is None else share_units(energy, parts)
        wears += share_units(wear, parts)
    nothing = pl.lit(Decimal(0), MONEY)
    no_hands = {"attendance_minutes": pl.lit(0.0), "paid_labour": nothing, "own_labour": nothing}
    return shaped(
        FiringCosts,
        loads.explode(*LINE, "pieces")
        .with_columns(
            room_pct=in_places(pl.lit(pl.Series(percents, dtype=pl.Int64)), PERCENT_DIGITS),
            energy=of_coins(energies, digits),
            wear=of_coins(wears, digits),
        )
        .join(
            _attendance(labour),
            on=["load", *LINE],
            how="left",
            nulls_equal=True,
            validate="m:1",
            maintain_order="left",
        )
        .with_columns(pl.when("attended").then(name).otherwise(none).alias(name) for name, none in no_hands.items())
        .with_columns(cost=known_across("energy", "wear"))
        .with_columns(total=known_across("cost", "paid_labour", "own_labour")),
    )


def _energy(kwh: float, settings: Settings) -> int | None:
    """What the energy of a firing costs, in the smallest coin; None if nobody gave its price."""
    if settings.energy_price is None:
        return None
    return product_units(Fraction(str(kwh)), settings.energy_price, digits=settings.minor_digits)


def _attendance(labour: pl.DataFrame) -> pl.DataFrame:
    """By load and line the minutes of loading and unloading, and what they cost, paid and own; ``attended``: true."""
    hands = labour.filter(pl.col("load").is_not_null()).group_by("load", *LINE)
    return hands.agg(
        attendance_minutes=pl.col("minutes").sum().round(2),
        paid_labour=known_total("paid_labour"),
        own_labour=known_total("own_labour"),
        attended=pl.lit(True),
    )
