"""The packs of clay to buy, by supplier."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, amount, day, kilograms, price, text, whole
from schemas.sheet import Sheet


class PacksToBuy(Sheet):
    """A clay to buy at one price."""

    class Config:
        """A pack of a supplier stands once a clay."""

        unique = ["clay", "supplier", "pack_kg"]

    clay: str = text("the clay", needed=True)
    supplier: str = text("who sells it")
    lot: str = text("its name among the materials until it has come", needed=True)
    covers_kg: float = kilograms("of what is short, the part that these packs are for", needed=True, ge=0)
    pack_kg: float = kilograms("clay in one pack", needed=True, gt=0)
    from_packs: int = whole("the price holds from so many packs on", needed=True, ge=1)
    packs: int = whole("whole packs to buy", needed=True, ge=1)
    bought_kg: float = kilograms("clay in those packs", needed=True, ge=0)
    pack_price: Money = price("price of a pack", needed=True, ge=0)
    carriage: Money = amount("their share of the carriage, by weight", needed=True, ge=0)
    cost: Money = amount("packs at that price, and the carriage", needed=True, ge=0)
    lead_days: int = whole("days from ordering to having it", unit="days", needed=True, ge=0)
    needed_by: pl.Date = day("day on which clay that is not in hand is first needed; blank if none needs it")
    order_by: pl.Date = day("last day to order it: that day less the lead days")
    advice: str = text("what the price breaks save, or would save")
    saves: Money = amount("how much that is", ge=0)
