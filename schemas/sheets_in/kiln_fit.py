"""Kiln counts that the potter knows."""

from __future__ import annotations

from schemas.fields import Link, text, whole
from schemas.sheet import Sheet


class KilnFit(Sheet):
    """A count that the potter knows better than the shelf's size tells."""

    class Config:
        """A count stands once."""

        unique = ["firing", "kiln", "form"]

    firing: str = text("the firing", example="glaze", needed=True, link=Link((("firings", "firing"),)))
    kiln: str = text("the kiln", example="front kiln", default="every kiln", link=Link((("kilns", "kiln"),)))
    form: str = text("the form", example="beaker", needed=True, link=Link((("forms", "form"),)))
    pieces: int = whole("pieces that fill the kiln alone", example="88", needed=True, ge=1)
