"""At what prices a clay can be bought, from the price list or, where that is silent, from the stock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

import polars as pl

from pipeline.clay import MG

MICRO = 1_000_000
"""Money is reckoned here in whole millionths: a price has six decimal places."""


@dataclass(frozen=True, slots=True)
class Price:
    """What each pack costs if from ``least`` to ``most`` packs are bought (None is no end), in millionths of money."""

    least: int
    most: int | None
    pack: int
    carriage: int = 0
    lead_days: int = 0
    row: int | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """A pack of a clay from a supplier, in milligrams, with its prices from the fewest packs to the most."""

    supplier: str | None
    pack_mg: int
    prices: tuple[Price, ...]

    def price_of(self, packs: int) -> Price | None:
        """The price at which so many packs are sold; None if so few are not."""
        return next((price for price in reversed(self.prices) if packs >= price.least), None)

    def within(self, carriage: int | None) -> Offer:
        """The offer without the prices whose carriage is dearer; without any if None."""
        kept = () if carriage is None else tuple(price for price in self.prices if price.carriage <= carriage)
        return self if len(kept) == len(self.prices) else replace(self, prices=kept)


def offers_by_clay(stock: pl.DataFrame, clay_prices: pl.DataFrame) -> dict[str, tuple[Offer, ...]]:
    """Each clay's offers in the order of the sheet.

    A clay that is not in ``clay_prices`` is bought as its newest lot was: ``stock`` has a row a clay with clay,
    supplier, bag_kg, bag_price and lead_days. That price holds carriage already.
    """
    found: dict[str, tuple[Offer, ...]] = {}
    for clay, supplier, bag_kg, price, lead in stock.select(
        "clay", "supplier", "bag_kg", "bag_price", "lead_days"
    ).iter_rows():
        found[clay] = (Offer(supplier, _mg(bag_kg), (Price(1, None, micro(price), lead_days=lead),)),)
    listed: dict[str, dict[tuple[str, int], list[Price]]] = {}
    for row in clay_prices.iter_rows(named=True):
        price = Price(
            row["from_packs"], None, micro(row["pack_price"]), micro(row["carriage"]), row["lead_days"], row["row"]
        )
        listed.setdefault(row["clay"], {}).setdefault((row["supplier"], _mg(row["pack_kg"])), []).append(price)
    return found | {clay: tuple(_offers(packs)) for clay, packs in listed.items()}


def _offers(packs: Mapping[tuple[str, int], list[Price]]) -> Iterable[Offer]:
    for (supplier, pack_mg), prices in packs.items():
        rising = sorted(prices, key=lambda price: price.least)
        ends = [price.least - 1 for price in rising[1:]]
        yield Offer(
            supplier, pack_mg, tuple(replace(p, most=end) for p, end in zip(rising, [*ends, None], strict=True))
        )


def micro(money: Decimal) -> int:
    """Money in whole millionths."""
    return int(money * MICRO)


def _mg(kilograms: float) -> int:
    return round(kilograms * MG)
