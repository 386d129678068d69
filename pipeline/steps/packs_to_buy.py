"""Which packs of clay to buy, of whom, at what price."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.buying.advice import advice
from pipeline.buying.balance import clay_balance
from pipeline.buying.offers import MICRO, offers_by_clay
from pipeline.buying.orders import Bought, carriage_of, cheapest_order
from pipeline.clay import MG, batch_grams, begun_batches, line_clay
from pipeline.lines import LINE
from pipeline.money import amount, at_price, exact_price, known_sum, share_out
from pipeline.routes import routes
from pipeline.stock import TO_BUY
from pipeline.waits import drying_factors, latest_start, waits_by_form
from schemas.fields import MONEY_DIGITS
from schemas.settings import BOUGHT, Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.packs_to_buy import PacksToBuy


def packs_to_buy(
    pieces: pl.DataFrame,
    schedule: pl.DataFrame,
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    clay_stock: pl.DataFrame,
    clay_blends: pl.DataFrame,
    clay_prices: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    drying_months: pl.DataFrame,
    firings: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """The cheapest whole packs of every clay that is short, in the order of the clay stock; no row for the others.

    Of a clay in ``clay_prices`` any of its offers may be bought, together too, at the price for so many packs; of
    another, bags of its newest lot. Carriage counts once a supplier, however many clays come from there, at the highest
    of the prices bought at, and is shared over the packs by weight, so that costs add up.

    ``needed_by`` is the day on which clay that is not in hand is first needed: by the schedule, or, where that is empty
    because none is made, by the due dates. Then it is the last on which the first line that the clay in hand does not
    cover may be begun, waits and firings alone counted, and an ``order_by`` before the plan's first day says that the
    due date cannot be kept.

    230 kg short, bags of 12.5 kg at 13.80, or 12.60 from 20 on: 19 bags are 262.20, 20 are 252.00, so 20.
    """
    route = routes(forms, stages, form_minutes)
    lines = line_clay(pieces, forms, clay_blends, settings)
    balance = clay_balance(lines, clay_stock)
    bought = cheapest_order(dict(balance.select("clay", "short_mg").iter_rows()), offers_by_clay(balance, clay_prices))
    if schedule.is_empty():
        dated = lines.join(
            _begin_by(orders, route, firings, drying_months),
            on=LINE,
            how="left",
            nulls_equal=True,
            maintain_order="left",
        )
    else:
        batches = begun_batches(schedule, route)
        dated = batches.join(lines, on=LINE, how="left", nulls_equal=True).with_columns(mg=batch_grams() * 1000)
    rows = _rows(bought, settings)
    listed = rows.join(_runs_out(dated, balance), left_on="clay", right_on="part", how="left", maintain_order="left")
    return shaped(
        PacksToBuy,
        listed.with_columns(order_by=pl.col("needed_by") - pl.duration(days=pl.col("lead_days"))),
    )


def _rows(bought: Sequence[Bought], settings: Settings) -> pl.DataFrame:
    """What is bought as rows of the sheet, but for its dates."""
    digits = settings.minor_digits
    carriage = _shares(bought, digits)
    of_clay = Counter(row.clay for row in bought)
    so_far: Counter[str] = Counter()
    rows = []
    for row, share in zip(bought, carriage, strict=True):
        so_far[row.clay] += 1
        found = advice(row, bought, digits)
        price = amount(Fraction(row.price.pack, MICRO), MONEY_DIGITS)
        cost = at_price(row.packs, exact_price(price, BOUGHT, settings), digits)
        rows.append(
            {
                "clay": row.clay,
                "supplier": row.offer.supplier,
                "lot": TO_BUY if of_clay[row.clay] == 1 else f"{TO_BUY} {so_far[row.clay]}",
                "covers_kg": row.covers_mg / MG,
                "pack_kg": row.offer.pack_mg / MG,
                "from_packs": row.price.least,
                "packs": row.packs,
                "bought_kg": row.bought_mg / MG,
                "pack_price": price,
                "carriage": share,
                "cost": known_sum([cost, share]),
                "lead_days": row.price.lead_days,
                "advice": found and found.words,
                "saves": found and found.saves,
            }
        )
    known = types(PacksToBuy)
    return pl.DataFrame(rows, schema={name: kind for name, kind in known.items() if not name.endswith("_by")})


def _shares(bought: Sequence[Bought], digits: int) -> list[Decimal]:
    """Each row's share of its supplier's carriage, by weight, so that the shares add up to it."""
    shares = [amount(0, digits)] * len(bought)
    for supplier, carriage in carriage_of(bought).items():
        places = [at for at, row in enumerate(bought) if row.offer.supplier == supplier]
        parts = share_out(amount(Fraction(carriage, MICRO), digits), [bought[at].bought_mg for at in places], digits)
        for at, part in zip(places, parts, strict=True):
            shares[at] = part
    return shares


def _begin_by(
    orders: pl.DataFrame, route: pl.DataFrame, firings: pl.DataFrame, drying_months: pl.DataFrame
) -> pl.DataFrame:
    """For each line the last day to begin it, as ``date``; blank without a due date."""
    waits = waits_by_form(route, firings)
    factors = drying_factors(drying_months)
    asked = orders.select("form", "due").drop_nulls().unique(maintain_order=True)
    days = [date.fromordinal(latest_start(waits[form], due.toordinal(), factors)) for form, due in asked.iter_rows()]
    last = asked.with_columns(date=pl.Series(days, dtype=pl.Date))
    return orders.select(*LINE, "due").join(last, on=["form", "due"], how="left", maintain_order="left")


def _runs_out(dated: pl.DataFrame, balance: pl.DataFrame) -> pl.DataFrame:
    """For each clay the first day, ``needed_by``, on which more than is in hand is used up; ``dated`` says how much
    when.
    """
    return (
        dated.sort("date", nulls_last=True, maintain_order=True)
        .with_columns(used=pl.col("mg").cum_sum().over("part"))
        .join(balance.select("clay", "free_mg"), left_on="part", right_on="clay", how="left", maintain_order="left")
        .filter(pl.col("used") > pl.col("free_mg"), pl.col("mg") > 0)
        .group_by("part", maintain_order=True)
        .agg(needed_by=pl.col("date").first())
    )
