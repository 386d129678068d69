"""What is free of the materials beside clay, mixed in the buckets or not, and what is taken of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.clay import GRAM, to_mg
from pipeline.glazing import Use, glaze_on_pieces, other_materials
from pipeline.job import Job
from pipeline.lines import LINE, in_turn
from pipeline.steps.glaze_batches import WATER, glaze_batches
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


Supplied = Mapping[str, tuple[int, int]]
"""By stage how many of a line's pieces there is enough for, and the day from which there is for all of them."""


def materials_in_time(job: Job, pieces: pl.DataFrame, route: pl.DataFrame) -> list[Supplied]:
    """For each line the stages that have to wait for what is bought, and how many pieces need not.

    What has to be bought is taken to be ordered on the plan's first day. The lines take what is there in their turn.
    What a piece takes once it is sold holds up nothing: it can be finished without.
    """
    found: list[Supplied] = [{}] * job.orders.height
    lead: dict[str, int] = dict(
        on_hand(job.materials, item="material", pack="pack").select("material", "lead_days").iter_rows()
    )
    if not any(lead.values()):
        return found
    taken: dict[tuple[str, str, str | None], list[tuple[str, Use]]] = {}
    for use in (
        *glaze_on_pieces(pieces, job.forms, route, job.glazes),
        *other_materials(pieces, job.orders, job.form_materials),
    ):
        if use.stage is not None:
            taken.setdefault((use.order, use.form, use.glaze), []).append((use.stage, use))
    batches = glaze_batches(pieces, job.forms, job.stages, job.form_minutes, job.glazes, job.glaze_buckets)
    there = supplies(job.materials, batches)
    to_do = pieces.select(*LINE, "stage", count=pl.col("pieces_in") - pl.col("already_done"))
    counts = {(order, form, glaze, stage): count for order, form, glaze, stage, count in to_do.iter_rows()}
    start = job.settings.start.toordinal()
    for line, *key in in_turn(job.orders.with_row_index("line")).select("line", *LINE).iter_rows():
        stages: dict[str, tuple[int, int]] = {}
        for stage, use in taken.get(tuple(key), ()):
            wanted = use.grams * GRAM
            enough = there.take(use, wanted)
            if enough < wanted and lead.get(use.material):
                count = counts[*key, stage]
                before, day = stages.get(stage, (count, start))
                stages[stage] = min(before, count * enough // wanted), max(day, start + lead[use.material])
        found[line] = stages
    return found
