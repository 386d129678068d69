"""Work that already stands in the studio."""

from __future__ import annotations

import polars as pl

from schemas.fields import Link, day, text, whole
from schemas.sheet import Sheet


class InProgress(Sheet):
    """Pieces that already stand in the studio, and the last stage they have had."""

    order: str = text("the order they are for", example="Harbour 3", default="any", link=Link((("orders", "order"),)))
    form: str = text("the form", example="beaker", needed=True, link=Link((("forms", "form"),)))
    glaze: str = text("the glaze, once they have it", example="oat", default="any")
    stage_done: str = text("the last stage done", example="throw", needed=True, link=Link((("stages", "stage"),)))
    pieces: int = whole("how many pieces", example="18", needed=True, ge=1)
    date: pl.Date = day(
        "date on which that stage was done; of a firing that is not over, the day on which it comes out",
        example="2027-03-04",
        default="the day before the plan",
    )
    kiln: str = text(
        "the kiln that they are in, if that stage is a firing that is not over",
        example="front kiln",
        default="the first that does the firing",
        link=Link((("kilns", "kiln"),)),
    )
