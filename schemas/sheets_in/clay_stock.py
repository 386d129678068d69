"""The clay in the studio."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, day, kilograms, percent, price, text, whole
from schemas.sheet import Sheet


class ClayStock(Sheet):
    """A lot of clay, bought at one price."""

    class Config:
        """A lot of a clay from a supplier stands once."""

        unique = ["clay", "supplier", "lot"]

    clay: str = text("the clay's name", example="buff stoneware", needed=True)
    supplier: str = text("who sells it", example="North Yard Clays")
    lot: str = text("the maker's batch number", example="L204")
    bag_kg: float = kilograms("clay in one bag", example="12.5", needed=True, gt=0)
    bags: int = whole("unopened bags", example="6", needed=True, ge=0)
    loose_kg: float = kilograms("opened or loose clay", example="4.5", ge=0, default="0")
    bag_price: Money = price("price of a bag with carriage", example="13.80", needed=True, ge=0)
    received: pl.Date = day("date it came; the oldest is used first", example="2026-11-09", default="oldest of all")
    keep_kg: float = kilograms("reserve not to be planned away", example="5", ge=0, default="0")
    lead_days: int = whole("days from ordering to having it", unit="days", example="7", ge=0, default="0")
    shrinkage_pct: float = percent(
        "shrinkage in length, wet to fired, on the wet size (for your records; no result uses it yet)",
        example="12",
        ge=0,
        lt=100,
    )
