"""The wedging list."""

from __future__ import annotations

import polars as pl

from schemas.fields import day, grams, kilograms, minutes, text, whole
from schemas.sheet import Sheet


class ClayToWedge(Sheet):
    """A form's balls on the date when they are begun."""

    class Config:
        """A form stands once a date."""

        unique = ["date", "clay", "form"]

    date: pl.Date = day("the day", needed=True)
    clay: str = text("the clay or blend", needed=True)
    form: str = text("the form", needed=True)
    balls: int = whole("balls to weigh", needed=True, ge=0)
    ball_g: float = grams("weight of a ball", needed=True, gt=0)
    added_kg: float = kilograms("clay for handles, lids, knobs, spouts", needed=True, ge=0)
    spare_kg: float = kilograms("spare clay", needed=True, ge=0)
    total_kg: float = kilograms("balls, added and spare clay", needed=True, ge=0)
    minutes: float = minutes("working time of the stages that go by weight", needed=True, ge=0)
    parts: str = text("what a blend is mixed from")
