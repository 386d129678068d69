"""Working hours."""

from __future__ import annotations

from schemas.fields import Money, amount, minutes, number, text, whole
from schemas.sheet import Sheet


class StageHours(Sheet):
    """A line at a stage."""

    class Config:
        """A line meets each stage of its method once."""

        unique = ["order", "form", "glaze", "stage"]

    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    stage: str = text("the stage", needed=True)
    pieces: int = whole("pieces still to do", needed=True, ge=0)
    minutes_each: float = minutes("hands-on time for a piece, wedging by its weight included", needed=True, ge=0)
    setups: int = whole("set-ups charged to this line, one a date and form", needed=True, ge=0)
    hours: float = number("hours of work, loading and unloading included", unit="h", needed=True, ge=0)
    labour_cost: Money = amount("those hours at their workers' rates; blank if no rate is known", ge=0)
    own_labour: Money = amount("the owner's own unpaid time in it", ge=0)
