"""Who works for what, and what it costs."""

from __future__ import annotations

from schemas.fields import Money, amount, minutes, price, text, yes_no
from schemas.sheet import Sheet


class Labour(Sheet):
    """A worker at a stage of a line, at one rate; at a firing, in one load."""

    class Config:
        """A worker and rate stand once a line, stage and load."""

        unique = ["worker", "hourly_rate", "own_time", "order", "form", "glaze", "stage", "load"]

    worker: str = text("who works", needed=True)
    own_time: bool = yes_no("whether it is the owner's own unpaid time", needed=True)
    hourly_rate: Money = price("cost of an hour; blank if nobody gave it", ge=0)
    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    stage: str = text("the stage", needed=True)
    load: str = text("the kiln load, at a firing")
    minutes: float = minutes("working time, set-ups included", needed=True, gt=0)
    paid_labour: Money = amount("that time at its rate, where it is paid for", ge=0)
    own_labour: Money = amount("that time at its rate, where it is the owner's own", ge=0)
