"""Forms that differ from their method."""

from __future__ import annotations

from schemas.fields import Link, minutes, percent, text, whole
from schemas.sheet import Sheet


class FormMinutes(Sheet):
    """A form that is slower, faster or riskier at a stage than its method says."""

    class Config:
        """A form's stage stands once."""

        unique = ["form", "stage"]

    form: str = text("the form", example="beaker", needed=True, link=Link((("forms", "form"),)))
    stage: str = text("the stage", example="turn", needed=True, link=Link((("stages", "stage"),)))
    minutes_each: float = minutes("hands-on time for a piece", example="3", ge=0, default="as the stage")
    setup_minutes: float = minutes("time once a date and form", example="5", ge=0, default="as the stage")
    loss_pct: float = percent("share lost of the pieces that enter", example="8", ge=0, lt=100, default="as the stage")
    most_per_day: int = whole("most pieces of this form in a day", example="24", ge=1, default="no limit")
    wait_days: int = whole("least days until the next stage", unit="days", example="2", ge=0, default="as the stage")
    wait_days_max: int = whole("most days until the next stage", unit="days", example="3", ge=0, default="as the stage")
