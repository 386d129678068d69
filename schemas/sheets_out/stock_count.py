"""The sheet for counting stock by hand."""

from __future__ import annotations

from schemas.fields import Money, amount, choice, number, price, text
from schemas.sheet import Sheet

RAW, PART_MADE, FINISHED, PACKING = "raw", "part-made", "finished", "packing"


class StockCount(Sheet):
    """Something to count on the evening on which the books close."""

    type: str = choice("what kind of stock it is", (RAW, PART_MADE, FINISHED, PACKING), needed=True)
    item: str = text("the clay, material or form", needed=True)
    description: str = text("its lot; of goods the order, glaze and last stage")
    unit: str = text("unit counted", needed=True)
    expected: float = number("what the books expect", needed=True)
    counted: float = number("to be filled in: what is there")
    condition: str = text("to be filled in: sound, damaged, old")
    place: str = text("to be filled in: where it stands")
    unit_cost: Money = price("what one of them cost by the books; blank if not known", ge=0)
    value: Money = amount("what those expected are worth; blank if not known")
