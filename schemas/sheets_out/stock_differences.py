"""Where the sheets differ from what the last books closed with."""

from __future__ import annotations

from schemas.accounts import BALANCES
from schemas.fields import Money, amount, choice, number, text
from schemas.sheet import Sheet


class StockDifferences(Sheet):
    """Something of which the sheets have more or less than the last period closed with."""

    class Config:
        """An item stands once."""

        unique = ["what", "item", "order", "glaze", "stage"]

    what: str = choice("what it is", BALANCES, needed=True)
    item: str = text("the clay or material; of goods the form; of a deposit the customer")
    order: str = text("the order that a deposit is for")
    glaze: str = text("the glaze of goods")
    stage: str = text("the last stage that part-made goods have had")
    unit: str = text("kg, or piece")
    carried: float = number("how much or how many the last period closed with", needed=True, ge=0)
    now: float = number("how much or how many the sheets have now", needed=True, ge=0)
    carried_value: Money = amount("what the last period closed with was worth", needed=True, ge=0)
    value: Money = amount("what is there now is worth", needed=True, ge=0)
    difference: Money = amount("value now less value carried over: the journal books it", needed=True)
