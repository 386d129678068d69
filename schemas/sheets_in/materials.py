"""Glaze materials, wax, packaging."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, day, kilograms, price, text, whole
from schemas.sheet import Sheet


class Materials(Sheet):
    """A lot of a glaze material, wax, packaging and the like, bought at one price."""

    class Config:
        """A lot of a material from a supplier stands once."""

        unique = ["material", "supplier", "lot"]

    material: str = text("the material's name", example="feldspar", needed=True)
    supplier: str = text("who sells it", example="North Yard Clays")
    pack_kg: float = kilograms("weight of a pack", example="10", gt=0, default="1")
    packs: int = whole("unopened packs", example="1", ge=0, default="0")
    loose_kg: float = kilograms("opened or loose", example="3.2", ge=0, default="0")
    pack_price: Money = price("price of a pack with carriage", example="11.00", ge=0)
    keep_kg: float = kilograms("reserve not to be planned away", example="1", ge=0, default="0")
    lot: str = text("the maker's batch number", example="F88")
    received: pl.Date = day("date it came; the oldest is used first", example="2026-11-09", default="oldest of all")
    lead_days: int = whole("days from ordering to having it", unit="days", example="7", ge=0, default="0")
