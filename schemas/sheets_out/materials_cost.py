"""What goes into the pieces."""

from __future__ import annotations

from schemas.fields import Money, amount, number, price, text
from schemas.sheet import Sheet


class MaterialsCost(Sheet):
    """A material of a line."""

    class Config:
        """A lot of a material stands once a line and price."""

        unique = ["order", "form", "glaze", "material", "lot", "unit_cost"]

    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    material: str = text("clay, glaze material, or packaging and the like", needed=True)
    lot: str = text("the lot it is taken from")
    quantity: float = number("how much", needed=True, ge=0)
    unit: str = text("kg, or piece", needed=True)
    unit_cost: Money = price("cost of one unit", needed=True, ge=0)
    rounding: Money = amount("the smallest coin, where the rows of a lot would else not add up to it", needed=True)
    cost: Money = amount("quantity at that cost, and the rounding", needed=True, ge=0)
