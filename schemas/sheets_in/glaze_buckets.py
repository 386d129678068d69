"""The buckets of mixed glaze."""

from __future__ import annotations

from schemas.fields import Link, grams, number, text
from schemas.sheet import Sheet


class GlazeBuckets(Sheet):
    """A bucket of glaze to dip in."""

    class Config:
        """A glaze has one bucket."""

        unique = ["glaze"]

    glaze: str = text("the glaze", example="oat", needed=True, link=Link((("glazes", "glaze"),)))
    in_bucket_ml: float = number("mixed glaze in it now", unit="ml", example="6000", ge=0, default="0")
    keep_ml: float = number(
        "mixed glaze that has to be left in it, deep enough to dip the largest piece",
        unit="ml",
        example="5000",
        ge=0,
        default="0",
    )
    litre_g: float = grams("weight of a litre of it, stirred", example="1450", gt=1000, default="1450")
    dry_density: float = number(
        "how many times as heavy as water its dry materials are", example="2.6", gt=1, default="2.6"
    )
    batch_g: float = grams("dry glaze mixed at a time", example="5000", gt=0, default="just what is needed")
