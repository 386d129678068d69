"""Finished goods, from the cost put in to what is sold and left."""

from __future__ import annotations

from schemas.fields import Money, amount, number, text
from schemas.sheet import Sheet

SECONDS = "seconds"
"""The lot of pieces that sell as seconds."""


class FinishedGoods(Sheet):
    """An order line, the seconds of a form, or goods that were finished before."""

    class Config:
        """A line stands once, and so do the seconds of a form."""

        unique = ["order", "form", "glaze", "lot"]

    order: str = text("the order; blank of goods for none")
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    lot: str = text("`seconds` if they are, valued at what they fetch; else blank")
    opening_part_made: Money = amount("its part-made goods when the books open", needed=True)
    materials: Money = amount("materials put in, packaging with them", needed=True, ge=0)
    paid_labour: Money = amount("paid labour put in", needed=True, ge=0)
    firing: Money = amount("energy and wear put in", needed=True, ge=0)
    overhead: Money = amount("overhead put in, if `stock_overhead` has it", needed=True, ge=0)
    seconds_value: Money = amount("what its seconds fetch, which comes off the good pieces", needed=True)
    abnormal_loss: Money = amount("what is lost beyond the normal, an expense", needed=True)
    closing_part_made: Money = amount("its part-made goods when the books close", needed=True)
    made_value: Money = amount(
        "cost of what is finished: opening and put in, less seconds, abnormal loss and closing", needed=True
    )
    opening: float = number("finished pieces when the books open", unit="pieces", needed=True, ge=0)
    made: float = number("pieces finished, of good ones those wanted", unit="pieces", needed=True, ge=0)
    sold: float = number("all of a line once it is ready, if it has a price", unit="pieces", needed=True, ge=0)
    closing: float = number("finished pieces when the books close", unit="pieces", needed=True, ge=0)
    opening_value: Money = amount("what the opening is worth", needed=True, ge=0)
    sold_value: Money = amount("what the pieces sold cost", needed=True)
    closing_value: Money = amount("opening and made, less sold, in value", needed=True)
