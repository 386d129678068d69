"""What the firings cost."""

from __future__ import annotations

import polars as pl

from schemas.fields import Money, amount, day, minutes, percent, text, whole
from schemas.sheet import Sheet


class FiringCosts(Sheet):
    """A line in a load."""

    class Config:
        """A line stands once in a load."""

        unique = ["load", "order", "form", "glaze"]

    load: str = text("the load", needed=True)
    firing: str = text("the firing", needed=True)
    kiln: str = text("the kiln", needed=True)
    load_on: pl.Date = day("day of loading", needed=True)
    unload_on: pl.Date = day("day of unloading", needed=True)
    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    pieces: int = whole("pieces of the line in this load", needed=True, ge=1)
    room_pct: float = percent("its part of the room that is filled; 100 for the load", needed=True, ge=0, le=100)
    energy: Money = amount("its part of the energy; blank if nobody gave its price", ge=0)
    wear: Money = amount("its part of the wear of elements and shelves", needed=True, ge=0)
    cost: Money = amount("energy and wear; blank if nothing is known of either", ge=0)
    attendance_minutes: float = minutes(
        "time of loading and unloading, the pieces' own handling with it", needed=True, ge=0
    )
    paid_labour: Money = amount("that time, where it is paid for; it is part of the line's labour", ge=0)
    own_labour: Money = amount("that time, where it is the owner's own; part of the line's labour", ge=0)
    total: Money = amount("cost and labour, as far as they are known", ge=0)
