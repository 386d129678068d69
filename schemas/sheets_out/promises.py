"""When each line is ready."""

from __future__ import annotations

import polars as pl

from schemas.fields import day, text, whole
from schemas.sheet import Sheet


class Promises(Sheet):
    """An order line."""

    class Config:
        """A line stands once."""

        unique = ["order", "form", "glaze"]

    order: str = text("the order", needed=True)
    customer: str = text("who ordered it")
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    quantity: int = whole("good pieces wanted", needed=True, ge=1)
    due: pl.Date = day("date by which they are wanted")
    ready: pl.Date = day("date on which the last piece is finished, or was", needed=True)
    days_late: int = whole("days after the due date, 0 if in time; blank without one", unit="days", ge=0)
    latest_start: pl.Date = day(
        "last day to begin and be in time, all else as planned; blank without a due date or if it is finished"
    )
    slack_days: int = whole("days in hand; below 0 if late; blank without a due date", unit="days")
    held_up_by: str = text("if late: what, taken away, would help most")
    mended_by: str = text(
        "if late: what alone would have it in time, the least that does, or later dates for all late lines; found by "
        "planning with it"
    )
