"""What was lost, and how much of it is no cost of pieces."""

from __future__ import annotations

from schemas.fields import Money, amount, number, price, text, whole
from schemas.sheet import Sheet


class Losses(Sheet):
    """A form at a stage, by the work log."""

    class Config:
        """A form stands once a stage."""

        unique = ["form", "stage"]

    form: str = text("the form", needed=True)
    stage: str = text("the stage", needed=True)
    pieces_in: int = whole("pieces that entered", needed=True, ge=1)
    pieces_out: int = whole("good pieces that left", needed=True, ge=0)
    seconds: int = whole("pieces that became seconds", needed=True, ge=0)
    lost: int = whole("pieces that became neither", needed=True, ge=0)
    normal_loss: float = number("pieces that are normally lost: the stage's share of those in", needed=True, ge=0)
    abnormal_loss: float = number("not good beyond that; below nought if it was less", needed=True)
    cost_each: Money = price("book cost of a good piece that leaves the stage; blank if not known")
    abnormal_cost: Money = amount("the abnormal loss at that cost: an expense, not a cost of pieces")
    seconds_value: Money = amount("what the seconds fetch; blank if nobody gave their price", ge=0)
    abnormal_seconds: Money = amount("what the seconds beyond the normal ones fetch")
    net_loss: Money = amount("abnormal cost less what those seconds fetch")
