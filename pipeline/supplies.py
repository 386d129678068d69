"""What is free of the materials beside clay, mixed in the buckets or not, and what is taken of it."""

from __future__ import annotations

from dataclasses import dataclass

import polars as pl

from pipeline.clay import to_mg
from pipeline.glazing import Use
from pipeline.steps.glaze_batches import WATER
from pipeline.stock import on_hand


@dataclass(frozen=True)
class Supplies:
    """What is free, in milligrams: of each material on the shelf, less its reserve; and of each glaze and material in
    the glaze's bucket, less what has to be left there to dip in, which may be more than there is.
    """

    shelf: dict[str, int]
    buckets: dict[tuple[str | None, str], int]

    def take(self, use: Use, mg: int) -> int:
        """Takes so much for a use, of the bucket first if it is glaze; gives how much of it was there.

        What the bucket lacks of what has to be left there is mixed before anything is dipped.
        """
        place = (use.glaze, use.material)
        in_bucket = self.buckets.get(place, 0) if use.dipped else 0
        mixed = min(mg, max(in_bucket, 0))
        lacking = max(-in_bucket, 0)
        if in_bucket:
            self.buckets[place] = max(in_bucket, 0) - mixed
        free = self.shelf.get(use.material, 0)
        self.shelf[use.material] = free - (mg - mixed) - lacking
        return mg if mg == mixed else min(mg, mixed + max(free - lacking, 0))


def supplies(materials: pl.DataFrame, glaze_batches: pl.DataFrame) -> Supplies:
    """What is free before the plan begins."""
    stock = on_hand(materials, item="material", pack="pack")
    mixed = glaze_batches.filter(pl.col("material") != WATER)
    spare = to_mg((pl.col("in_bucket_g") - pl.col("keep_g")) / 1000)
    return Supplies(
        {name: hand - keep for name, hand, keep in stock.select("material", "hand_mg", "keep_mg").iter_rows()},
        {(glaze, name): mg for glaze, name, mg in mixed.select("glaze", "material", spare).iter_rows()},
    )
