"""The order sheet."""

from __future__ import annotations

import polars as pl

from schemas.fields import Link, Money, amount, day, price, text, whole
from schemas.sheet import Sheet


class Orders(Sheet):
    """An order line: so many of one form in one glaze."""

    class Config:
        """One line for each form and glaze of an order."""

        unique = ["order", "form", "glaze"]

    order: str = text("the order's number or name", example="Harbour 3", needed=True)
    customer: str = text("who ordered it", example="Harbour Kitchen")
    form: str = text("what is to be made", example="beaker", needed=True, link=Link((("forms", "form"),)))
    glaze: str = text("the glaze it gets", example="oat")
    quantity: int = whole("good pieces wanted", example="60", needed=True, ge=1)
    due: pl.Date = day("date by which they are finished", example="2027-04-30", default="after the dated lines")
    unit_price: Money = price("what one piece sells for; blank for what is made for stock", example="14.00", ge=0)
    deposit: Money = amount(
        "money already paid on this line (only added up on the orders tab)", example="100.00", ge=0, default="0"
    )
    priority: int = whole("1 goes first where dates are equal", example="1", ge=1, default="after the numbered lines")
    note: str = text("anything to remember", example="stamp on the foot")
