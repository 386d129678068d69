"""Bats, boards and waiting pieces."""

from __future__ import annotations

import polars as pl

from schemas.fields import choice, day, text, whole
from schemas.sheet import Sheet


class Space(Sheet):
    """What stands in the studio on the night after a date."""

    class Config:
        """An item stands once a date."""

        unique = ["date", "kind", "item"]

    date: pl.Date = day("the day", needed=True)
    kind: str = choice("bats, boards, or pieces waiting", ("bat", "board", "waiting"), needed=True)
    item: str = text("the bat's size; `board`; or the stage that the pieces wait for", needed=True)
    in_use: int = whole("bats or boards in use, or pieces waiting", needed=True, ge=0)
    owned: int = whole("bats or boards owned", ge=0)
