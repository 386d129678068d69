"""What the books close with, to be the next period's opening."""

from __future__ import annotations

from schemas.accounts import BALANCES
from schemas.fields import Money, amount, choice, number, text
from schemas.sheet import Sheet


class ClosingBalances(Sheet):
    """Something carried over to the next period: save the file there as `opening_balances.csv`."""

    class Config:
        """An item stands once."""

        unique = ["what", "item", "lot", "order", "glaze", "stage"]

    what: str = choice("what it is", BALANCES, needed=True)
    item: str = text("the clay or material; of goods the form; of a deposit the customer")
    lot: str = text("the lot of a clay or material; `seconds` of finished goods that are")
    order: str = text("the order that goods or a deposit are for")
    glaze: str = text("the glaze of goods")
    stage: str = text("the last stage that part-made goods have had")
    quantity: float = number("how much or how many", needed=True)
    unit: str = text("kg, or piece")
    materials: Money = amount("the materials in the value of part-made goods", needed=True, ge=0)
    value: Money = amount("what it is worth; blank if that is not known")
