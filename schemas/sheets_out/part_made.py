"""Part-made goods."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, amount, choice, day, number, percent, text
from schemas.sheet import Sheet

OPENING, CLOSING, LOST = "opening", "closing", "lost"


class PartMade(Sheet):
    """Pieces of a line after one stage: there when the books open, when they close, or lost beyond the normal."""

    class Config:
        """A line's pieces at a stage stand once a time."""

        unique = ["at", "order", "form", "glaze", "stage"]

    at: str = choice("`opening`, `closing`, or `lost`: the abnormal loss", (OPENING, CLOSING, LOST), needed=True)
    date: pl.Date = day("on the evening of this day; of a loss, the last day of the books", needed=True)
    order: str = text("the order; blank of pieces that no order needs")
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    stage: str = text("the last stage they have had", needed=True)
    pieces: float = number("how many; below nought of a loss that was less than normal", unit="pieces", needed=True)
    materials_pct: float = percent("how much of a finished piece's materials each has", needed=True, ge=0)
    conversion_pct: float = percent("how much of its work, firing and overhead", needed=True, ge=0)
    materials_units: float = number("finished pieces that they stand for in materials", needed=True)
    conversion_units: float = number("finished pieces that they stand for in work, firing and overhead", needed=True)
    materials: Money = amount("materials in them; blank if not known")
    conversion: Money = amount("work, firing and overhead in them; blank if not known")
    value: Money = amount("both; blank if not known")
