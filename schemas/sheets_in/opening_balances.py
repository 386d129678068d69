"""What the last period's books closed with."""

from __future__ import annotations

from schemas.accounts import BALANCES
from schemas.fields import Money, amount, choice, number, text
from schemas.sheet import Sheet


class OpeningBalances(Sheet):
    """Something carried over from the last period: its `closing_balances.csv`, saved here as `opening_balances.csv`."""

    class Config:
        """An item stands once."""

        unique = ["what", "item", "lot", "order", "glaze", "stage"]

    what: str = choice("what it is", BALANCES, example="raw materials", needed=True)
    item: str = text("the clay or material; of goods the form; of a deposit the customer", example="buff stoneware")
    lot: str = text("the lot of a clay or material; `seconds` of finished goods that are", example="L204")
    order: str = text("the order that goods or a deposit are for", example="Harbour 3")
    glaze: str = text("the glaze of goods", example="oat")
    stage: str = text("the last stage that part-made goods have had", example="turn")
    quantity: float = number("how much or how many", example="42.5", ge=0, default="0")
    unit: str = text("kg, or piece", example="kg")
    materials: Money = amount("the materials in the value of part-made goods", example="0", ge=0, default="0")
    value: Money = amount("what it is worth; blank if that is not known", example="46.92", ge=0, default="not known")
