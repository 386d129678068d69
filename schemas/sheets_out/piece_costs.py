"""What a piece has cost by the time it leaves a stage."""

from __future__ import annotations

from schemas.fields import Money, percent, price, text, whole
from schemas.sheet import Sheet


class PieceCosts(Sheet):
    """A form at a stage."""

    class Config:
        """A form meets each step of its method once."""

        unique = ["form", "step"]

    form: str = text("the form", needed=True)
    step: int = whole("the stage's place in the method", needed=True, ge=1)
    stage: str = text("the stage", needed=True)
    pieces: int = whole("pieces still to do, over which the costs of the stage are spread", needed=True, ge=0)
    materials: Money = price("clay, glaze or packaging that the stage adds to a piece", ge=0)
    firing: Money = price("energy and wear for a piece", ge=0)
    paid_labour: Money = price("paid work on a piece", ge=0)
    own_labour: Money = price("the owner's own time on a piece", ge=0)
    overhead: Money = price("overhead on the hours of a piece", ge=0)
    loss_pct: float = percent("share of the pieces lost, which the good ones bear", needed=True, ge=0, lt=100)
    seconds_value: Money = price("what the seconds fetch, for each piece that enters", needed=True, ge=0)
    book_cost_each: Money = price("a good piece that leaves it, for the books; blank if not known")
    full_cost_each: Money = price("the same with own time and overhead, for pricing")
