"""When an order that is only thought of would be ready, and what it would move."""

from __future__ import annotations

import polars as pl

from schemas.fields import choice, day, text, whole
from schemas.sheet import Sheet

AFTER, BY_DUE = "after the others", "by its due date"


class Tried(Sheet):
    """The order tried, or a line that it makes ready later."""

    class Config:
        """A line stands once each way."""

        unique = ["way", "order", "form", "glaze"]

    way: str = choice("how the order is taken in", (AFTER, BY_DUE), needed=True)
    order: str = text("the order; the one tried comes first", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    quantity: int = whole("good pieces wanted", needed=True, ge=1)
    due: pl.Date = day("date by which they are wanted")
    ready_now: pl.Date = day("date on which the line is ready without the order tried; blank for that order itself")
    ready: pl.Date = day("date on which it is ready with it", needed=True)
    days_later: int = whole("days from the one to the other", unit="days", ge=1)
    days_late: int = whole("days after the due date; blank without one", unit="days", ge=0)
    held_up_by: str = text("if late: what, taken away, would help most")
    mended_by: str = text(
        "if late: what alone would have it in time, the least that does, or later dates for all late lines; found by "
        "planning with it"
    )
