"""Choices that hold for the whole job."""

from __future__ import annotations

from schemas.fields import text
from schemas.sheet import Sheet


class SettingsSheet(Sheet):
    """A choice."""

    class Config:
        """A choice is made once."""

        unique = ["name"]

    name: str = text("which choice", example="start", needed=True)
    value: str = text("what is chosen", example="2027-03-01", default="as if the row were not there")
