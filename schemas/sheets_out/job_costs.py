"""What a line costs and earns."""

from __future__ import annotations

from schemas.fields import Money, amount, number, percent, price, text, whole
from schemas.sheet import Sheet


class JobCosts(Sheet):
    """An order line."""

    class Config:
        """A line stands once."""

        unique = ["order", "form", "glaze"]

    order: str = text("the order", needed=True)
    customer: str = text("who ordered it")
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    quantity: int = whole("good pieces wanted", needed=True, ge=1)
    pieces_to_start: int = whole("pieces still to begin", needed=True, ge=0)
    already_begun: int = whole(
        "pieces already in the studio; as what is in them is not known, figures each are blank", needed=True, ge=0
    )
    materials: Money = amount("clay, glaze, packaging", ge=0)
    firing: Money = amount("its share of the firings' energy and wear, by room in the kiln", ge=0)
    paid_labour: Money = amount("work that is paid for", ge=0)
    own_labour: Money = amount("the owner's own unpaid time", ge=0)
    overhead: Money = amount("overhead on the hours worked", ge=0)
    seconds: float = number("seconds to expect of the pieces still to do", needed=True, ge=0)
    second_price: Money = price("what a second sells for", ge=0)
    seconds_value: Money = amount("seconds at that price, which takes off the cost of the good pieces", ge=0)
    book_cost: Money = amount("materials, firing, paid labour, less the seconds' value: for the books")
    full_cost: Money = amount("book cost, own time and overhead: for pricing")
    book_cost_each: Money = amount("book cost of one good piece")
    full_cost_each: Money = amount("full cost of one good piece")
    unit_price: Money = price("what one piece sells for", ge=0)
    sales: Money = amount("quantity at that price", ge=0)
    margin: Money = amount("sales less full cost")
    margin_pct: float = percent("margin as a share of sales")
