"""Purchases to make, as a bookkeeper asks for them."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, amount, day, kilograms, price, text, whole
from schemas.sheet import Sheet


class Purchases(Sheet):
    """A clay or material to buy at one price."""

    supplier: str = text("who sells it")
    description: str = text("the clay or material", needed=True)
    lot: str = text("its name in `materials_ledger` until it has come", needed=True)
    quantity: int = whole("whole packs", unit="packs", needed=True, ge=1)
    pack_kg: float = kilograms("weight of a pack", needed=True, gt=0)
    unit_price: Money = price("price of a pack without tax; blank if nobody has given it", ge=0)
    carriage: Money = amount("its share of the carriage, without tax", needed=True, ge=0)
    net: Money = amount("packs at that price, and the carriage; blank without a price", ge=0)
    tax: Money = amount("`tax_pct` of that", ge=0)
    gross: Money = amount("net and tax: what is to be paid", ge=0)
    needed_by: pl.Date = day("day on which it is first needed; blank if none needs it")
    order_by: pl.Date = day("last day to order it")
    account: str = text("the account of its stock, by the code and name of `accounts`", needed=True)
