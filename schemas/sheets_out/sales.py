"""Sales, and the deposits held on them."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, amount, day, price, text, whole
from schemas.sheet import Sheet


class Sales(Sheet):
    """An order line, as it is sold on the day when it is ready."""

    class Config:
        """A line stands once."""

        unique = ["order", "form", "glaze"]

    order: str = text("the order", needed=True)
    customer: str = text("who ordered it")
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    ready: pl.Date = day("day on which it can be delivered, as in `promises`", needed=True)
    quantity: int = whole("good pieces wanted", needed=True, ge=1)
    unit_price: Money = price("what one piece sells for, without tax; blank if nobody has given it", ge=0)
    net: Money = amount("pieces at that price; blank without one", ge=0)
    tax: Money = amount("`tax_pct` of that", ge=0)
    gross: Money = amount("net and tax: what the customer pays", ge=0)
    deposit_held: Money = amount("paid already: owed to the customer until delivery, no sale", needed=True, ge=0)
    still_owed: Money = amount("gross less the deposit; below 0 if more was paid")
