"""Bodies mixed from two or more clays."""

from __future__ import annotations

from schemas.fields import Link, percent, text
from schemas.sheet import Sheet


class ClayBlends(Sheet):
    """A part of a mixed body."""

    class Config:
        """A part stands once in a blend."""

        unique = ["clay", "part"]

    clay: str = text("the blend's name", example="speckled half", needed=True)
    part: str = text(
        "a clay it is mixed from", example="buff stoneware", needed=True, link=Link((("clay_stock", "clay"),))
    )
    share_pct: float = percent("its share of the weight", example="50", needed=True, gt=0, le=100)
