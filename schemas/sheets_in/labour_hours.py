"""When people work."""

from __future__ import annotations

from schemas.fields import Link, Money, number, price, text, words, yes_no
from schemas.sheet import Sheet


class LabourHours(Sheet):
    """When somebody works."""

    class Config:
        """A worker's day stands once."""

        unique = ["worker", "day"]

    worker: str = text("who works", example="Ada", needed=True)
    day: str = text(
        "weekday (`Mon`), weekdays (`Mon-Fri`, `Tue, Thu`) or a date, which overrides the weekday's hours "
        "(and what it says else)",
        example="Mon-Fri",
        needed=True,
    )
    hours: float = number("hours of work on such a day", unit="h", example="5", needed=True, ge=0, le=24)
    hourly_rate: Money = price("cost of an hour", example="16.00", ge=0, default="not counted")
    own_time: bool = yes_no("the owner's own unpaid time: a cost for pricing, not for the books", example="yes")
    stages: str = words(
        "stages this person does, `;` between",
        example="turn; glaze",
        default="all",
        link=Link((("stages", "stage"), ("firings", "firing"))),
    )
