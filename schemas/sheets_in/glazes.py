"""Glaze recipes."""

from __future__ import annotations

from schemas.fields import Link, percent, text
from schemas.sheet import Sheet


class Glazes(Sheet):
    """A material of a glaze recipe."""

    class Config:
        """A material stands once in a recipe."""

        unique = ["glaze", "material"]

    glaze: str = text("the glaze", example="oat", needed=True)
    material: str = text("a material in it", example="feldspar", needed=True, link=Link((("materials", "material"),)))
    percent: float = percent("parts of it by dry weight", example="45", needed=True, gt=0)
