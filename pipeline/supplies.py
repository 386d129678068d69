"""What is free of the materials beside clay, mixed in the buckets or not, and what is taken of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import polars as pl

from pipeline.clay import GRAM, to_mg
from pipeline.glazing import material_uses
from pipeline.job import Job
from pipeline.lines import LINE, in_turn
from pipeline.steps.glaze_batches import WATER, glaze_batches
from pipeline.stock import on_hand


class Supplies(NamedTuple):
    """What is free, in milligrams: of each material on the ``shelf`` (``material``, ``free``), less its reserve; and of
    each glaze and material in the glaze's bucket (``glaze``, ``material``, ``spare``), less what has to be left there
    to dip in, which may be more than there is.
    """

    shelf: pl.DataFrame
    buckets: pl.DataFrame

    def there_for(self, uses: pl.DataFrame) -> pl.Series:
        """How much of the ``mg`` of each use there is, the uses taking it in their order, of the bucket first if it is
        glaze.

        What the bucket lacks of what has to be left there is mixed before anything is dipped.
        """
        bucket = ("glaze", "material", "dipped")
        spare = pl.col("spare").fill_null(0)
        off_shelf = (pl.col("mg").cum_sum().over(bucket) - spare.clip(0)).clip(0)
        first = pl.int_range(pl.len()).over(bucket) == 0
        taken = (
            uses.join(
                self.buckets.with_columns(dipped=pl.lit(True)),
                on=bucket,
                how="left",
                validate="m:1",
                maintain_order="left",
            )
            .join(self.shelf, on="material", how="left", validate="m:1", maintain_order="left")
            .with_columns(upto=off_shelf, lacking=pl.when(first).then((-spare).clip(0)).otherwise(0))
            .with_columns(dry=pl.col("upto") - pl.col("upto").shift(1, fill_value=0).over(bucket))
        )
        used = (pl.col("dry") + pl.col("lacking")).cum_sum().over("material")
        before = pl.col("free").fill_null(0) - used + pl.col("dry")
        return taken.select(there=pl.col("mg") - pl.col("dry") + before.clip(0, pl.col("dry")))["there"]


def supplies(materials: pl.DataFrame, glaze_batches: pl.DataFrame) -> Supplies:
    """What is free before the plan begins."""
    stock = on_hand(materials, item="material", pack="pack")
    mixed = glaze_batches.filter(pl.col("material") != WATER)
    return Supplies(
        stock.select("material", free=pl.col("hand_mg") - pl.col("keep_mg")),
        mixed.select("glaze", "material", spare=to_mg((pl.col("in_bucket_g") - pl.col("keep_g")) / 1000)),
    )


Supplied = Mapping[str, tuple[int, int]]
"""By stage how many of a line's pieces there is enough for, and the day from which there is for all of them."""


def materials_in_time(job: Job, pieces: pl.DataFrame, route: pl.DataFrame) -> Sequence[Supplied]:
    """For each line the stages that have to wait for what is bought, and how many pieces need not.

    What has to be bought is taken to be ordered on the plan's first day. The lines take what is there in their turn.
    What a piece takes once it is sold holds up nothing: it can be finished without.
    """
    found: list[dict[str, tuple[int, int]]] = [{} for _ in range(job.orders.height)]
    stock = on_hand(job.materials, item="material", pack="pack")
    awaited = stock.filter(pl.col("lead_days") > 0).select("material", "lead_days")
    if awaited.is_empty():
        return found
    key = [*LINE, "stage"]
    turn = in_turn(job.orders.with_row_index("line")).select("line", *LINE).with_row_index("turn")
    uses = (
        material_uses(pieces, job.orders, job.forms, route, job.glazes, job.form_materials)
        .filter(pl.col("stage").is_not_null())
        .with_columns(mg=pl.col("grams") * GRAM)
        .join(turn, on=LINE, how="left", nulls_equal=True, validate="m:1", maintain_order="left")
        .sort("turn", maintain_order=True)
    )
    batches = glaze_batches(pieces, job.forms, job.stages, job.form_minutes, job.glazes, job.glaze_buckets)
    there = supplies(job.materials, batches).there_for(uses)
    to_do = pieces.select(*key, count=pl.col("pieces_in") - pl.col("already_done"))
    short = (
        uses.with_columns(there=there)
        .filter(pl.col("there") < pl.col("mg"))
        .join(awaited, on="material", maintain_order="left")
        .join(to_do, on=key, nulls_equal=True, validate="m:1", maintain_order="left")
        # In 128 bits: pieces times milligrams are more than 64 hold.
        .with_columns(enough=(pl.col("count").cast(pl.Int128) * pl.col("there") // pl.col("mg")).cast(pl.Int64))
        .group_by("line", "stage", maintain_order=True)
        .agg(pl.col("enough").min(), pl.col("lead_days").max())
    )
    start = job.settings.start.toordinal()
    for line, stage, enough, days in short.iter_rows():
        found[line][stage] = enough, start + days
    return found
