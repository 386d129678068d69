"""Days without work."""

from __future__ import annotations

import polars as pl

from schemas.fields import day, text
from schemas.sheet import Sheet


class ClosedDays(Sheet):
    """Days without work, from one date to another."""

    from_: pl.Date = day("first closed day", example="2027-04-02", needed=True, alias="from")
    to: pl.Date = day("last closed day", example="2027-04-09", default="the same day")
    note: str = text("why", example="holiday")
