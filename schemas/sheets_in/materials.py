"""Glaze materials, wax, packaging."""

from __future__ import annotations

from schemas.fields import Money, kilograms, price, text, whole
from schemas.sheet import Sheet


class Materials(Sheet):
    """A glaze material, wax, packaging and the like."""

    class Config:
        """A material stands once."""

        unique = ["material"]

    material: str = text("the material's name", example="feldspar", needed=True)
    supplier: str = text("who sells it", example="North Yard Clays")
    pack_kg: float = kilograms("weight of a pack", example="10", gt=0, default="1")
    packs: int = whole("unopened packs", example="1", ge=0, default="0")
    loose_kg: float = kilograms("opened or loose", example="3.2", ge=0, default="0")
    pack_price: Money = price("price of a pack with carriage", example="11.00", ge=0)
    keep_kg: float = kilograms("reserve not to be planned away", example="1", ge=0, default="0")
