"""Dates, times and pieces as people say them."""

from __future__ import annotations

from datetime import date
from functools import cache

import polars as pl

WHAT = pl.format("{} ({})", pl.concat_str("pieces", "form", "glaze", separator=" ", ignore_nulls=True), "batch")
"""What a row of a schedule or of kiln loads is about: 22 mug oat (B1)."""


@cache
def in_words(day: date) -> str:
    """A date as people write it: Friday 5 March 2027."""
    return f"{day:%A} {day.day} {day:%B %Y}"


def clock(minutes: float) -> str:
    """Minutes as hours and minutes: 2 h 49 min; at least one where there is any."""
    whole = max(int(minutes + 0.5), 1) if minutes else 0
    hours, rest = divmod(whole, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"
