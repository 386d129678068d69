"""The list of glaze materials, wax and packaging to buy."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, amount, day, kilograms, price, text, whole
from schemas.sheet import Sheet


class MaterialsToBuy(Sheet):
    """A glaze material, wax, packaging and the like."""

    class Config:
        """A material stands once."""

        unique = ["material"]

    material: str = text("the material", needed=True)
    supplier: str = text("who sold the newest lot")
    needed_kg: float = kilograms("weight that the batches of glaze and the pieces take", needed=True, ge=0)
    on_hand_kg: float = kilograms("in the studio, not yet mixed", needed=True, ge=0)
    keep_kg: float = kilograms("reserve not to be planned away", needed=True, ge=0)
    short_kg: float = kilograms("needed and reserve, less on hand", needed=True, ge=0)
    pack_kg: float = kilograms("weight of a pack of the newest lot", needed=True, gt=0)
    packs_to_buy: int = whole("whole packs", needed=True, ge=0)
    bought_kg: float = kilograms("weight of those packs", needed=True, ge=0)
    left_kg: float = kilograms("left when all is mixed and made", needed=True)
    pack_price: Money = price("price of a pack of the newest lot; blank if nobody has given it", ge=0)
    cost: Money = amount("packs to buy at that price; blank without one", ge=0)
    needed_by: pl.Date = day("day on which more than is in hand is first needed; blank if none is, and without a plan")
    order_by: pl.Date = day("last day to order it: that day less the lead days")
