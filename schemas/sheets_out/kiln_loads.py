"""What goes into the kiln together."""

from __future__ import annotations

import polars as pl

from schemas.fields import day, percent, text, whole
from schemas.sheet import Sheet


class KilnLoads(Sheet):
    """A batch in a load."""

    class Config:
        """A batch stands once in a load."""

        unique = ["load", "batch"]

    load: str = text("the load", needed=True)
    firing: str = text("the firing", needed=True)
    kiln: str = text("the kiln", needed=True)
    load_on: pl.Date = day("day of loading", needed=True)
    unload_on: pl.Date = day("day of unloading", needed=True)
    batch: str = text("the batch", needed=True)
    order: str = text("the order", needed=True)
    form: str = text("the form", needed=True)
    glaze: str = text("the glaze")
    pieces: int = whole("pieces of the batch in this load", needed=True, ge=1)
    share_pct: float = percent("room they take of the kiln", needed=True, gt=0, le=100)
