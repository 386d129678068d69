"""The glaze to mix."""

from __future__ import annotations

from schemas.fields import grams, percent, text, whole
from schemas.sheet import Sheet


class GlazeBatches(Sheet):
    """A material of a glaze, and last the water to mix it with."""

    class Config:
        """A material stands once a glaze."""

        unique = ["glaze", "material"]

    glaze: str = text("the glaze", needed=True)
    material: str = text("a material of its recipe, or water", needed=True)
    share_pct: float = percent("parts of it in a hundred of dry glaze", needed=True, ge=0)
    needed_g: float = grams("on the pieces that are still to be glazed", needed=True, ge=0)
    keep_g: float = grams("has to be left in the bucket, deep enough to dip", needed=True, ge=0)
    in_bucket_g: float = grams("in the bucket now", needed=True, ge=0)
    to_mix_g: float = grams("needed and left, less what is in the bucket", needed=True, ge=0)
    batches: int = whole("batches to mix", needed=True, ge=0)
    batch_g: float = grams("weigh out for one batch", needed=True, ge=0)
    mixed_g: float = grams("in those batches", needed=True, ge=0)
    left_g: float = grams("in the bucket when all is glazed", needed=True)
