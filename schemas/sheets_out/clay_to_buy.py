"""The clay-buying list."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, amount, day, kilograms, price, text, whole
from schemas.sheet import Sheet


class ClayToBuy(Sheet):
    """A clay."""

    class Config:
        """A clay stands once."""

        unique = ["clay"]

    clay: str = text("the clay", needed=True)
    supplier: str = text("who sells what is bought, or sold the newest lot")
    needed_kg: float = kilograms("clay the orders take, handles and spare clay included", needed=True, ge=0)
    on_hand_kg: float = kilograms("clay in the studio", needed=True, ge=0)
    keep_kg: float = kilograms("reserve not to be planned away", needed=True, ge=0)
    reclaim_kg: float = kilograms("reclaim counted on", needed=True, ge=0)
    short_kg: float = kilograms("needed and reserve, less on hand and reclaim", needed=True, ge=0)
    bag_kg: float = kilograms("clay in one bag; blank if packs of several prices are bought", gt=0)
    bags_to_buy: int = whole("whole bags, or packs of any size", needed=True, ge=0)
    bought_kg: float = kilograms("clay in those bags", needed=True, ge=0)
    left_kg: float = kilograms("clay left when all is made", needed=True)
    bag_price: Money = price("price of a bag; blank if packs of several prices are bought", ge=0)
    cost: Money = amount("what they cost, with carriage", needed=True, ge=0)
    order_by: pl.Date = day(
        "last day to order it for the plan's dates, or by `buy` for the due dates; blank if none needs it"
    )
