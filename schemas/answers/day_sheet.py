"""What is done on a day, in the order of the day."""

from __future__ import annotations

import polars as pl

from schemas.fields import choice, day, grams, minutes, text, whole
from schemas.sheet import Sheet


class DaySheet(Sheet):
    """A batch at a stage on a date, by one worker."""

    class Config:
        """A date's rows are counted from 1."""

        unique = ["date", "place"]

    date: pl.Date = day("the day", needed=True)
    weekday: str = text("Mon to Sun", needed=True)
    place: int = whole("its place in the order of the day: unloading, then the stages, then loading", needed=True, ge=1)
    stage: str = text("the stage", needed=True)
    task: str = choice("`work`; at a firing `load` or `unload`", ("work", "load", "unload"), needed=True)
    batch: str = text("the batch", needed=True)
    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    pieces: int = whole("pieces that enter the stage", needed=True, ge=0)
    ball_g: float = grams("clay in a ball, where balls are weighed out and used", gt=0)
    minutes: float = minutes("working time, set-ups included", needed=True, ge=0)
    worker: str = text("who does it; blank where no time is needed")
    kiln: str = text("the kiln")
    load: str = text("the kiln load")
