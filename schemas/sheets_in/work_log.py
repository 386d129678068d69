"""What went into a stage and what came out."""

from __future__ import annotations

import polars as pl

from schemas.fields import Link, day, text, whole
from schemas.sheet import Sheet


class WorkLog(Sheet):
    """Pieces that went through a stage, as counted."""

    date: pl.Date = day("date of the count", example="2027-03-04")
    order: str = text("the order they are for", example="Harbour 3", link=Link((("orders", "order"),)))
    form: str = text("the form", example="beaker", needed=True, link=Link((("forms", "form"),)))
    glaze: str = text("the glaze, once they have it", example="oat")
    stage: str = text("the stage", example="turn", needed=True, link=Link((("stages", "stage"),)))
    pieces_in: int = whole("pieces that entered it", example="40", needed=True, ge=1)
    pieces_out: int = whole("good pieces that left it", example="37", needed=True, ge=0)
    seconds: int = whole("pieces that became seconds", example="1", ge=0, default="0")
