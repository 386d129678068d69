"""The pace that each due date asks for."""

from __future__ import annotations

import polars as pl

from schemas.fields import choice, day, number, text, whole
from schemas.sheet import Sheet

NO_DAY_LEFT = "no day left"
TOO_FEW_HOURS = "too few hours"
ABOVE_MOST = "above the most a day"


class Pace(Sheet):
    """A line with a due date at a stage that it still has to go through."""

    class Config:
        """A line meets each step of its method once."""

        unique = ["order", "form", "glaze", "step"]

    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    due: pl.Date = day("date by which they are wanted", needed=True)
    step: int = whole("the stage's place in the method", needed=True, ge=1)
    stage: str = text("the stage", needed=True)
    pieces: int = whole("pieces still to do", unit="pieces", needed=True, ge=1)
    hours: float = number(
        "their hands-on time, set-ups and the kiln's loading not counted", unit="h", needed=True, ge=0
    )
    first_day: pl.Date = day("first day on which they can come there; blank if that is after the due date")
    last_day: pl.Date = day("last day on which the stage may end, at a firing the loading; blank if it is over")
    days_left: int = whole(
        "days from the first to the last on which somebody who does the stage works", unit="days", needed=True, ge=0
    )
    pieces_a_day: float = number("pieces to do on each of them", unit="pieces", ge=0)
    hours_a_day: float = number("hours to work on each of them, the set-up with them", unit="h", ge=0)
    in_the_way: str = choice(
        "why that pace cannot be kept, even if nothing else were made", (NO_DAY_LEFT, TOO_FEW_HOURS, ABOVE_MOST)
    )
