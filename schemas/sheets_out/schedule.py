"""The dated schedule."""

from __future__ import annotations

import polars as pl

from schemas.fields import choice, day, minutes, text, whole
from schemas.sheet import Sheet


class Schedule(Sheet):
    """A batch at a stage on a date, by one worker."""

    date: pl.Date = day("the day", needed=True)
    weekday: str = text("Mon to Sun", needed=True)
    stage: str = text("the stage", needed=True)
    task: str = choice(
        "`work`; at a firing `load`, then `unload`, which counts no piece twice",
        ("work", "load", "unload"),
        needed=True,
    )
    batch: str = text("the pieces of one line thrown on one day", needed=True)
    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    pieces: int = whole("pieces that enter the stage", needed=True, ge=0)
    minutes: float = minutes("working time, set-ups included", needed=True, ge=0)
    worker: str = text("who does it; blank where no time is needed")
    kiln: str = text("the kiln")
    load: str = text("the kiln load")
