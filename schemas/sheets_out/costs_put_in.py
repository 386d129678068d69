"""What is put into the lines while the books last."""

from __future__ import annotations

from schemas.fields import Money, amount, choice, number, price, text
from schemas.sheet import Sheet

MATERIALS, OTHER, PAID, FIRING, OVERHEAD = "materials", "other", "paid labour", "firing", "overhead"
"""What is put in: clay and materials out of stock; what is in no lot; paid work; energy and wear; overhead absorbed."""

ELEMENTS = (MATERIALS, OTHER, PAID, FIRING, OVERHEAD)


class CostsPutIn(Sheet):
    """Something put into a line from the opening of the books to their close."""

    class Config:
        """A lot of a material at one price, a stage's work, a kiln load and the overhead stand once a line."""

        unique = ["order", "form", "glaze", "what", "item", "lot", "unit_cost"]

    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    what: str = choice("what kind of cost it is; `other` is in no lot of the stock", ELEMENTS, needed=True)
    item: str = text("the material, the stage that is worked, or the kiln load")
    lot: str = text("the lot of a material")
    unit_cost: Money = price("what one unit of a material costs", ge=0)
    quantity: float = number("kilograms, hours, or pieces", needed=True, ge=0)
    unit: str = text("kg, h, or piece", needed=True)
    cost: Money = amount("what it costs; blank if nobody gave its price or rate", ge=0)
