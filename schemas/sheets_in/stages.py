"""How a form is made."""

from __future__ import annotations

from schemas.fields import Link, choice, minutes, number, percent, text, whole
from schemas.sheet import Sheet


class Stages(Sheet):
    """A stage of a making method, in order."""

    class Config:
        """A method has one stage a step."""

        unique = ["method", "step"]

    method: str = text("the making method", example="thrown", needed=True)
    step: int = whole("the stage's place in the method: 1, 2, 3 …", example="2", needed=True, ge=1)
    stage: str = text("the stage's name", example="throw", needed=True)
    minutes_each: float = minutes("hands-on time for a piece", example="2.5", ge=0, default="0")
    minutes_per_kg: float = number(
        "hands-on time for a kilogram, as in wedging", unit="min/kg", example="2", ge=0, default="0"
    )
    setup_minutes: float = minutes("time once a date and form", example="10", ge=0, default="0")
    loss_pct: float = percent("share lost of the pieces that enter", example="2", ge=0, lt=100, default="0")
    wait_days: int = whole("least days until the next stage", unit="days", example="1", ge=0, default="0")
    wait_days_max: int = whole("most days until the next stage", unit="days", example="2", ge=0, default="no limit")
    bat: str = choice("`on`: goes onto a bat here; `off`: comes off", ("on", "off"), example="on")
    firing: str = text("the firing, if the stage is one", example="bisque", link=Link((("firings", "firing"),)))
    most_per_day: int = whole("most pieces of all forms in a day", example="60", ge=1, default="no limit")
