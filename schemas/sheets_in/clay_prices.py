"""What clay can be bought for."""

from __future__ import annotations

from schemas.fields import Link, Money, amount, kilograms, price, text, whole
from schemas.sheet import Sheet


class ClayPrices(Sheet):
    """A price at which a clay can be bought: rows of one supplier and pack are its price breaks."""

    class Config:
        """A price break of a supplier's pack stands once."""

        unique = ["clay", "supplier", "pack_kg", "from_packs"]

    clay: str = text("the clay", example="buff stoneware", needed=True, link=Link((("clay_stock", "clay"),)))
    supplier: str = text("who sells it", example="North Yard Clays", needed=True)
    pack_kg: float = kilograms("clay in one pack", example="12.5", needed=True, gt=0)
    from_packs: int = whole("the price holds for every pack from so many on", example="20", ge=1, default="1")
    pack_price: Money = price("price of a pack, without carriage", example="12.60", needed=True, ge=0)
    carriage: Money = amount(
        "carriage of an order at this price; of several prices in one order to a supplier the highest counts, once",
        example="25.00",
        ge=0,
        default="0",
    )
    lead_days: int = whole("days from ordering to having it", unit="days", example="7", ge=0, default="0")
