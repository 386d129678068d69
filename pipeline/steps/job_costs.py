"""What each line costs and earns."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.lines import LINE
from pipeline.money import amount, share_out
from pipeline.packing.fit import kiln_counts
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.job_costs import JobCosts

Line = tuple[str, str, str | None]


def job_costs(
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    pieces: pl.DataFrame,
    materials_cost: pl.DataFrame,
    stage_hours: pl.DataFrame,
    kiln_loads: pl.DataFrame,
    firings: pl.DataFrame,
    kilns: pl.DataFrame,
    kiln_fit: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """Costs still to come of each line, for the books and for pricing, and what is left of its price.

    book_cost = materials + firing + paid labour; full_cost = book_cost + the owner's own time + overhead. A firing's
    energy and wear are shared over its load by the room that each batch takes, to the last penny. A cost each is the
    cost / the good pieces wanted.

    A load that costs 12.00, a quarter of its filled room taken by one line and the rest by another: 3.00 and 9.00.
    """
    digits = settings.minor_digits
    firing = _firing_costs(kiln_loads, forms, firings, kilns, kiln_fit, settings)
    materials = _sums(materials_cost, "cost")
    labour, own_time = _sums(stage_hours, "labour_cost"), _sums(stage_hours, "own_labour")
    hours: dict[Line, Fraction] = defaultdict(Fraction)
    for *line, worked in stage_hours.select(*LINE, "hours").iter_rows():
        hours[_line(line)] += Fraction(str(worked))
    first = pieces.unique(LINE, keep="first", maintain_order=True)
    begun = {
        _line(line): entered - done for *line, entered, done in first.select(*LINE, "pieces_in", "already_done").rows()
    }
    rows = []
    for row in orders.iter_rows(named=True):
        key: Line = (row["order"], row["form"], row["glaze"])
        quantity, price = row["quantity"], row["unit_price"]
        own = own_time[key]
        paid = labour[key] - own
        overhead = amount(hours[key] * Fraction(settings.overhead_per_hour), digits)
        book = materials[key] + firing[key] + paid
        full = book + own + overhead
        sales = None if price is None else amount(Fraction(price) * quantity, digits)
        margin = None if sales is None else sales - full
        rows.append(
            {
                "order": row["order"],
                "customer": row["customer"],
                "form": row["form"],
                "glaze": row["glaze"],
                "quantity": quantity,
                "pieces_to_start": begun[key],
                "materials": materials[key],
                "firing": firing[key],
                "paid_labour": paid,
                "own_labour": own,
                "overhead": overhead,
                "book_cost": book,
                "full_cost": full,
                "book_cost_each": amount(Fraction(book) / quantity, digits),
                "full_cost_each": amount(Fraction(full) / quantity, digits),
                "unit_price": price,
                "sales": sales,
                "margin": margin,
                "margin_pct": _percent(margin, sales),
            }
        )
    return shaped(JobCosts, pl.DataFrame(rows, schema=types(JobCosts)))


def _percent(part: Decimal | None, whole: Decimal | None) -> float | None:
    """A part as a percentage of a whole, to two places; None where there is no whole."""
    return None if part is None or not whole else float(amount(Fraction(part) / Fraction(whole) * 100, 2))


def _line(values: list[str | None]) -> Line:
    order, form, glaze = values
    return str(order), str(form), glaze


def _sums(frame: pl.DataFrame, column: str) -> dict[Line, Decimal]:
    """The sum of a money column by line; nought for a line without a row."""
    sums: dict[Line, Decimal] = defaultdict(Decimal)
    for *line, value in frame.select(*LINE, column).iter_rows():
        sums[_line(line)] += value
    return sums


def _firing_costs(
    kiln_loads: pl.DataFrame,
    forms: pl.DataFrame,
    firings: pl.DataFrame,
    kilns: pl.DataFrame,
    kiln_fit: pl.DataFrame,
    settings: Settings,
) -> dict[Line, Decimal]:
    """What the firings of each line cost: each load's cost shared by room, so that the shares add up to it."""
    counts = kiln_counts(forms, firings, kilns, kiln_fit)
    digits = settings.minor_digits
    cost_of = {
        (firing, kiln): amount(Fraction(str(kwh)) * Fraction(settings.energy_price) + Fraction(other), digits)
        for firing, kiln, kwh, other in firings.select("firing", "kiln", "kwh", "other_cost").iter_rows()
    }
    costs: dict[Line, Decimal] = defaultdict(Decimal)
    for _, load in kiln_loads.group_by("load", maintain_order=True):
        batches = load.select(*LINE, "firing", "kiln", "pieces").rows()
        room = [Fraction(pieces, counts[firing, kiln, form].pieces) for _, form, _, firing, kiln, pieces in batches]
        _, _, _, firing, kiln, _ = batches[0]
        for (order, form, glaze, *_), share in zip(
            batches, share_out(cost_of[firing, kiln], room, digits), strict=True
        ):
            costs[order, form, glaze] += share
    return costs
