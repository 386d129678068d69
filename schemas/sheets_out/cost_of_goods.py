"""The cost of goods made and sold."""

from __future__ import annotations

from schemas.fields import Money, amount, text, whole
from schemas.sheet import Sheet


class CostOfGoods(Sheet):
    """A line of the statement, from opening raw materials to the cost of goods sold."""

    class Config:
        """A line stands once."""

        unique = ["line"]

    line: int = whole("its number", needed=True, ge=1)
    what: str = text("what it is", needed=True)
    amount: Money = amount("the amount; below nought where it is taken off", needed=True)
    found_in: str = text("the sheet and column, or the lines, that it comes from", needed=True)
