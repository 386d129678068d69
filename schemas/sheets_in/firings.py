"""The firings."""

from __future__ import annotations

from schemas.fields import Link, Money, amount, millimetres, minutes, number, percent, text, whole
from schemas.sheet import Sheet


class Firings(Sheet):
    """A kind of firing in a kiln."""

    class Config:
        """A firing stands once a kiln."""

        unique = ["firing", "kiln"]

    firing: str = text("the firing's name", example="bisque", needed=True)
    kiln: str = text("the kiln", example="front kiln", default="every kiln", link=Link((("kilns", "kiln"),)))
    days: int = whole("days from loading to unloading", unit="days", example="2", ge=1, default="2")
    kwh: float = number("energy of one firing", unit="kWh", example="48", ge=0, default="0")
    other_cost: Money = amount("wear of elements and shelves, a firing", example="4.50", ge=0, default="0")
    load_minutes: float = minutes("time to load the kiln", example="60", ge=0, default="0")
    unload_minutes: float = minutes("time to unload the kiln", example="30", ge=0, default="0")
    gap_mm: float = millimetres("room between pieces, and above them", example="6", ge=0, default="5")
    stack: int = whole("how many pieces may stand in one another's place", example="1", ge=1, default="1")
    least_fill_pct: float = percent(
        "fill below which the kiln waits, unless a due date forces it or waiting saves no firing",
        example="80",
        ge=0,
        le=100,
        default="80",
    )
