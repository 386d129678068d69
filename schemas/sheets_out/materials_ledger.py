"""What there is of each lot when the books open, what comes, what goes, and what is left when they close."""

from __future__ import annotations

from schemas.fields import Money, amount, kilograms, text
from schemas.sheet import Sheet


class MaterialsLedger(Sheet):
    """A lot of a clay or material."""

    class Config:
        """A lot stands once."""

        unique = ["material", "lot"]

    material: str = text("the clay or material", needed=True)
    lot: str = text("the lot, as `materials_cost` names it; `average` for all of them by that setting of `stock_value`")
    opening_kg: float = kilograms("there when the books open, in glaze buckets too", needed=True, ge=0)
    bought_kg: float = kilograms("bought for the plan, and needed by the time the books close", needed=True, ge=0)
    reclaimed_kg: float = kilograms("trimmings made clay again", needed=True, ge=0)
    used_kg: float = kilograms("put into the pieces while the books last", needed=True, ge=0)
    closing_kg: float = kilograms("opening and what came in, less used", needed=True)
    opening_value: Money = amount("what the opening cost; blank if nobody has given a price", ge=0)
    bought_value: Money = amount("net cost of what is bought, with carriage; blank without a price", ge=0)
    used_value: Money = amount("the lot's part of `costs_put_in`; blank if none of it has a price", ge=0)
    closing_value: Money = amount("opening and bought, less used; blank without a price")
