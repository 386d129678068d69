"""Stock by lot: what there is of a clay or material at which price, and what is taken of which lot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.clay import MG, to_mg
from pipeline.coins import MONEY, of_coins
from pipeline.money import amount, product_units, share_units
from schemas.fields import MONEY_DIGITS
from schemas.settings import AVERAGE, Settings

TO_BUY = "to buy"
"""What a lot is called that is not in the studio yet."""

IN_BUCKET = "in the bucket"
"""The lot of a material that is mixed already."""

RECLAIM = "reclaim"
"""The lot of clay turned off in this plan. It costs nothing: the pieces it was trimmed from have paid for it."""

Pool = tuple[str, str | None, Decimal]
"""What shares one sum of money: a material, its lot (or ``AVERAGE``), and the price of a kilogram."""

Lots = Mapping[str, Sequence["Lot"]]
"""By clay or material its lots, in the order in which they are used."""


@dataclass(frozen=True, slots=True)
class Lot:
    """A clay or material of one price: its number, how much of it may be used, and the exact price of a kilogram.

    ``kept_mg`` is what of it is kept as a reserve, on top of ``mg``.
    """

    name: str | None
    mg: int
    kg_price: Fraction
    kept_mg: int = 0


def price_of_kg(money: Decimal, kilograms: float) -> Fraction:
    """The exact price of a kilogram of so many at a price."""
    return Fraction(money) / Fraction(str(kilograms))


def on_hand(stock: pl.DataFrame, *, item: str, pack: str) -> pl.DataFrame:
    """A row an item of ``clay_stock`` (item ``clay``, pack ``bag``) or ``materials`` (``material``, ``pack``), in the
    order of the sheet: ``hand_mg`` and the reserve ``keep_mg`` in milligrams, and the supplier, pack, price and lead
    days of its newest lot. Of lots of one date, or of none, the one further down the sheet is the newer.
    """
    return (
        oldest_first(stock.with_row_index("place"))
        .group_by(item, maintain_order=True)
        .agg(
            pl.col("place").min(),
            pl.col("supplier", f"{pack}_kg", f"{pack}_price", "lead_days").last(),
            hand_mg=_there(pack).sum(),
            keep_mg=to_mg(pl.col("keep_kg")).sum(),
        )
        .sort("place")
    )


def oldest_first(stock: pl.DataFrame) -> pl.DataFrame:
    """Lots in the order in which they are used: one without a date is the oldest of all."""
    return stock.sort("received", nulls_last=False, maintain_order=True)


def _there(pack: str) -> pl.Expr:
    """What there is of a lot, packs and loose, in milligrams."""
    return to_mg(pl.col(f"{pack}_kg")) * pl.col(f"{pack}s") + to_mg(pl.col("loose_kg"))


def lots_in_stock(stock: pl.DataFrame, *, item: str, pack: str) -> dict[str, list[Lot]]:
    """The lots of ``clay_stock`` (item ``clay``, pack ``bag``) or ``materials`` (``material``, ``pack``), oldest first,
    all there is of them. A price that nobody gave counts as nought, and is told.
    """
    found: dict[str, list[Lot]] = {}
    lots = oldest_first(stock).select(item, "lot", f"{pack}_price", f"{pack}_kg", mg=_there(pack))
    for name, lot, price, kg, there in lots.iter_rows():
        found.setdefault(name, []).append(Lot(lot, there, price_of_kg(price or Decimal(0), kg)))
    return found


def kept_back(lots: Sequence[Lot], reserve_mg: int) -> list[Lot]:
    """The lots less a reserve, which is kept of the newest."""
    found = []
    for lot in reversed(lots):
        kept = min(lot.mg, reserve_mg)
        reserve_mg -= kept
        found.append(replace(lot, mg=lot.mg - kept, kept_mg=lot.kept_mg + kept))
    return found[::-1]


def clay_lots(clay_stock: pl.DataFrame, clay_to_buy: pl.DataFrame, packs_to_buy: pl.DataFrame) -> dict[str, list[Lot]]:
    """Each clay's lots: the oldest first, the reserve kept back; then reclaim; then what is bought, with carriage."""
    lots = lots_in_stock(clay_stock, item="clay", pack="bag")
    bought: dict[str, list[Lot]] = {}
    for clay, lot, mg, cost, kg in packs_to_buy.select(
        "clay", "lot", to_mg(pl.col("bought_kg")), "cost", kg="bought_kg"
    ).iter_rows():
        bought.setdefault(clay, []).append(Lot(lot, mg, price_of_kg(cost, kg)))
    for clay, keep, again, price, kg in clay_to_buy.select(
        "clay", to_mg(pl.col("keep_kg")), to_mg(pl.col("reclaim_kg")), "bag_price", "bag_kg"
    ).iter_rows():
        new = bought.get(clay) or [Lot(TO_BUY, 0, price_of_kg(price, kg))]
        lots[clay] = [*kept_back(lots[clay], keep), Lot(RECLAIM, again, Fraction(0)), *new]
    return lots


def material_lots(
    materials: pl.DataFrame, materials_to_buy: pl.DataFrame, glaze_batches: pl.DataFrame
) -> dict[str, list[Lot]]:
    """Each material's lots: what is in the glaze buckets, then the oldest in stock, what has to stay in the buckets and
    the reserve kept back; then what is bought. What it cost to fill a bucket nobody knows any more: it counts at the
    price of the oldest lot.
    """
    lots = lots_in_stock(materials, item="material", pack="pack")
    buckets = {
        material: (in_bucket, keep)
        for material, in_bucket, keep in glaze_batches.group_by("material")
        .agg(to_mg(pl.col("in_bucket_g") / 1000).sum(), to_mg(pl.col("keep_g") / 1000).sum())
        .iter_rows()
    }
    for material, keep, mg, price, kg in materials_to_buy.select(
        "material", to_mg(pl.col("keep_kg")), to_mg(pl.col("bought_kg")), "pack_price", "pack_kg"
    ).iter_rows():
        new = Lot(TO_BUY, mg, price_of_kg(price or Decimal(0), kg))
        own = lots.get(material, [])
        in_bucket, stays = buckets.get(material, (0, 0))
        if in_bucket:
            own = [Lot(IN_BUCKET, in_bucket, own[0].kg_price if own else new.kg_price), *own]
        lots[material] = [*kept_back(own, keep + stays), new]
    return lots


def taken_in_turn(asked: pl.DataFrame, lots: Lots, settings: Settings) -> pl.DataFrame:
    """Takes what is asked for, of the lots in their order, and values it. ``asked`` has a row for each who takes
    (``number``), ``material`` and ``mg``; the result a row for each number, material, ``lot`` and ``unit_cost``, with
    the ``mg`` of it and the ``cost``.

    Of its last lot a material may be taken without end. What is taken of a lot comes to its share of the lot's money,
    rounded once: it is split over those who take it, by weight, so that it adds up (the largest remainder, of equal
    ones that of the lower number). Lots without a number that cost the same are one. By the setting ``stock_value`` all
    lots of a material but reclaim are one, at their average price.

    100 kg at 10.00 and 50 kg at 13.00 are 1,650.00; 120 kg are 1,000.00 and 260.00 oldest first, 1,320.00 on average.
    """
    pooled, prices = _pooled(lots, average=settings.stock_value == AVERAGE)
    part = ("pool", "number", "material", "lot", "unit_cost")
    taken = _drawn(asked, pooled).group_by(part, maintain_order=True).agg(pl.col("mg").sum())
    return taken.with_columns(cost=_costs(taken, prices, settings.minor_digits))


def _pooled(lots: Lots, *, average: bool) -> tuple[pl.DataFrame, list[Fraction]]:
    """The lots that there is anything of, and each material's last: ``material``, ``lot``, ``unit_cost``, ``there`` in
    milligrams (blank: without end), and ``pool``, the place of its exact price in the list beside them.
    """
    pools: dict[Pool, int] = {}
    prices: list[Fraction] = []
    rows = []
    for material, own in lots.items():
        mean = average_price(own) if average else None
        for lot in own:
            if not lot.mg and lot is not own[-1]:
                continue
            one = mean is not None and lot.name != RECLAIM
            price = mean if mean is not None and one else lot.kg_price
            unit_cost = amount(price, MONEY_DIGITS)
            pool = pools.setdefault((material, AVERAGE if one else lot.name, unit_cost), len(pools))
            if pool == len(prices):
                prices.append(price)
            rows.append((material, lot.name, unit_cost, pool, None if lot is own[-1] else lot.mg))
    kinds = {"material": pl.String(), "lot": pl.String(), "unit_cost": MONEY, "pool": pl.Int64(), "there": pl.Int64()}
    return pl.DataFrame(rows, schema=kinds, orient="row"), prices


def _costs(taken: pl.DataFrame, prices: Sequence[Fraction], digits: int) -> pl.Series:
    """The money of each pool, of which a kilogram comes to its price, shared over those who take of it."""
    by_pool = taken.with_row_index("row").sort("pool", "number", maintain_order=True)
    coins: list[int] = []
    for (pool,), part in by_pool.group_by("pool", maintain_order=True):
        mg = part["mg"].to_list()
        coins += share_units(product_units(prices[pool], Fraction(sum(mg), MG), digits=digits), mg)
    return by_pool.select("row", cost=of_coins(coins, digits)).sort("row")["cost"]


def average_price(lots: Sequence[Lot]) -> Fraction:
    """The exact price of a kilogram on average of all there is, reserve with it, but reclaim; of the last lot if there
    is nothing.
    """
    weighed = [(lot.mg + lot.kept_mg, lot.kg_price) for lot in lots if lot.name != RECLAIM]
    whole = sum(mg for mg, _ in weighed)
    return sum(mg * price for mg, price in weighed) / Fraction(whole) if whole else lots[-1].kg_price


def _drawn(asked: pl.DataFrame, lots: pl.DataFrame) -> pl.DataFrame:
    """``asked`` with the lot that each takes of: a row for each lot, with ``mg`` of it.

    Laid end to end by their weights, what is asked of a material and its lots (``there``; blank: without end) have ends
    that cut it into parts; the next ends, of each kind, say who has the part and of which lot.
    """
    placed = lots.with_row_index("place")
    to_end = pl.col("mg").cum_sum().over("material").alias("end")
    ends = [
        asked.with_row_index("asked").with_columns(to_end).drop("mg"),
        placed.select("place", "material", mg="there").with_columns(to_end).drop("mg"),
    ]
    return (
        pl.concat(ends, how="diagonal")
        .sort("material", "end", nulls_last=True, maintain_order=True)
        .with_columns(pl.col("asked", "number", "place").backward_fill().over("material"))
        .with_columns(mg=pl.col("end") - pl.col("end").shift(1, fill_value=0).over("material"))
        .filter(pl.col("mg") > 0, pl.col("asked").is_not_null())
        .join(placed.drop("material", "there"), on="place", validate="m:1")
        .sort("asked", "place")
    )
