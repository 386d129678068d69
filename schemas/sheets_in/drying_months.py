"""Months that dry slower or faster."""

from __future__ import annotations

from schemas.fields import month, number
from schemas.sheet import Sheet


class DryingMonths(Sheet):
    """A month that dries slower or faster."""

    class Config:
        """A month stands once."""

        unique = ["month"]

    month: int = month("the month, 1 to 12 or its name", example="11", needed=True)
    wait_factor: float = number(
        "times the drying waits; 1 is as the stages say", example="1.5", needed=True, gt=0, le=10
    )
