"""What pieces stand on."""

from __future__ import annotations

from schemas.fields import choice, text, whole
from schemas.sheet import Sheet


class BatsAndBoards(Sheet):
    """Bats or boards owned."""

    class Config:
        """A size stands once a kind."""

        unique = ["item", "kind"]

    item: str = text("size name of a bat, or name of a board", example="small", needed=True)
    kind: str = choice("bat or board", ("bat", "board"), example="bat", needed=True)
    count: int = whole("how many there are", example="40", needed=True, ge=0)
