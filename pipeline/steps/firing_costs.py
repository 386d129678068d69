"""What each line's part of each firing costs."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction
from typing import Any

import polars as pl

from pipeline.kiln_counts import kiln_counts
from pipeline.lines import LINE, Line
from pipeline.money import amount, known_sum, share_out
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.firing_costs import FiringCosts

LOAD = ("load", "firing", "kiln", "load_on", "unload_on")
"""What is told of a load."""

WHOLE = Decimal(100)
"""Per cent."""


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
        (firing, kiln): (_energy(kwh, settings), amount(wear, digits))
        for firing, kiln, kwh, wear in firings.select("firing", "kiln", "kwh", "other_cost").iter_rows()
    }
    attended = _attendance(labour)
    rows = []
    loads: dict[tuple[Any, ...], dict[Line, int]] = {}
    for *load, order, form, glaze, some in kiln_loads.select(*LOAD, *LINE, "pieces").iter_rows():
        inside = loads.setdefault(tuple(load), {})
        inside[order, form, glaze] = inside.get((order, form, glaze), 0) + some
    for (name, firing, kiln, *days), pieces in loads.items():
        room = [Fraction(some, counts[firing, kiln, line[1]].pieces) for line, some in pieces.items()]
        energy, wear = costs[firing, kiln]
        percents = share_out(WHOLE, room, 4)
        energies = [None] * len(room) if energy is None else share_out(energy, percents, digits)
        parts = zip(pieces, percents, energies, share_out(wear, percents, digits), strict=True)
        for line, part, of_energy, of_wear in parts:
            cost = known_sum([of_energy, of_wear])
            minutes, paid, own = attended.get((name, line), (0.0, Decimal(0), Decimal(0)))
            total = known_sum([cost, paid, own])
            rows.append(
                (
                    *(name, firing, kiln, *days, *line, pieces[line], float(part)),
                    *(of_energy, of_wear, cost, minutes, paid, own, total),
                )
            )
    return shaped(FiringCosts, pl.DataFrame(rows, schema=types(FiringCosts), orient="row"))


def _energy(kwh: float, settings: Settings) -> Decimal | None:
    """What the energy of a firing costs; None if nobody gave its price."""
    if settings.energy_price is None:
        return None
    return amount(Fraction(str(kwh)) * Fraction(settings.energy_price), settings.minor_digits)


def _attendance(labour: pl.DataFrame) -> dict[tuple[str, Line], tuple[float, Decimal | None, Decimal | None]]:
    """By load and line the minutes of loading and unloading, and what they cost, paid and own."""
    found: dict[tuple[str, Line], list[tuple[float, Decimal | None, Decimal | None]]] = defaultdict(list)
    columns = ("load", *LINE, "minutes", "paid_labour", "own_labour")
    for load, order, form, glaze, *amounts in labour.filter(pl.col("load").is_not_null()).select(columns).iter_rows():
        found[load, (order, form, glaze)].append(tuple(amounts))
    return {
        at: (
            round(sum(row[0] for row in rows), 2),
            known_sum(row[1] for row in rows),
            known_sum(row[2] for row in rows),
        )
        for at, rows in found.items()
    }
