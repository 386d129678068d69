"""What a plan rests on without a sheet saying so."""

from __future__ import annotations

from schemas.fields import text
from schemas.sheet import Sheet


class Assumptions(Sheet):
    """A default or a reading that the plan rests on."""

    what: str = text("what was taken", needed=True)
    value: str = text("as what", needed=True)
    why: str = text("why, and what would change it", needed=True)
