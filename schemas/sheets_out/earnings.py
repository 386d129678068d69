"""What a line earns for the owner's time, and other ways to look at its cost."""

from __future__ import annotations

from schemas.fields import Money, amount, kilograms, number, price, text, whole
from schemas.sheet import Sheet


class Earnings(Sheet):
    """An order line."""

    class Config:
        """A line stands once."""

        unique = ["order", "form", "glaze"]

    order: str = text("the order", needed=True)
    customer: str = text("who ordered it")
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    quantity: int = whole("good pieces wanted", needed=True, ge=1)
    hours: float = number("hours of work still to come", unit="h", needed=True, ge=0)
    own_hours: float = number("the owner's own hours in it", unit="h", needed=True, ge=0)
    unit_price: Money = price("what one piece sells for", ge=0)
    left_for_own_time: Money = amount("sales less book cost and overhead")
    earned_an_hour: Money = amount("that for each hour of own time")
    wanted_rate: Money = price("what an hour of own time should earn", ge=0)
    price_needed: Money = amount("price of one piece that earns it")
    kiln_loads: float = number("room taken in kilns, in full loads, all firings together", needed=True, ge=0)
    clay_kg: float = kilograms("clay still to go into it", needed=True, ge=0)
    full_cost_a_load: Money = amount("full cost for each full load", ge=0)
    full_cost_a_kg: Money = amount("full cost for each kilogram of clay", ge=0)
    margin_a_load: Money = amount("margin for each full load")
