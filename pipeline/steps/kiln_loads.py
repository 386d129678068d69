"""What goes into the kiln together."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter

import polars as pl

from pipeline.kiln_counts import kiln_counts, room
from pipeline.money import share_units
from schemas.sheet import shaped
from schemas.sheets_out.kiln_loads import KilnLoads


def kiln_loads(
    schedule: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    firings: pl.DataFrame,
    kilns: pl.DataFrame,
    kiln_fit: pl.DataFrame,
) -> pl.DataFrame:
    """The batches of each load of the schedule, with the room that they take of the kiln.

    A batch's share = its pieces / the pieces of its form that fill the kiln alone. The shares of a load are rounded so
    that they never add up to more than the load itself is filled.

    12 of 48 cups and 9 of 12 plates: 25 % and 75 %, a full kiln.
    """
    method_stages = (
        forms.select("form", "method").join(stages, on="method", how="inner").select("form", "stage", "firing")
    )
    tasks = schedule.filter(pl.col("load").is_not_null()).with_row_index("place")
    unloaded = tasks.filter(pl.col("task") == "unload").group_by("load").agg(unload_on=pl.col("date").first())
    batches = (
        tasks.filter(pl.col("task") == "load")
        .group_by("load", "batch", "order", "form", "glaze", "stage", "kiln", maintain_order=True)
        .agg(load_on=pl.col("date").first(), pieces=pl.col("pieces").sum())
        .join(unloaded, on="load", how="left", validate="m:1", maintain_order="left")
        .join(method_stages, on=["form", "stage"], how="left", validate="m:1", maintain_order="left")
    )
    number = pl.col("load").str.slice(1).cast(pl.Int64)
    batches = batches.sort(number, maintain_order=True)
    counts = kiln_counts(forms, firings, kilns, kiln_fit)
    shares: list[float] = []
    inside = batches.select("load", "firing", "kiln", "form", "pieces").iter_rows()
    for _, load in groupby(inside, key=itemgetter(0)):
        taken = [(pieces, counts[firing, kiln, form].pieces) for _, firing, kiln, form, pieces in load]
        parts, whole = room(*zip(*taken, strict=True))
        shares += [share / 100 for share in share_units(sum(parts) * 10_000 // whole, parts)]
    return shaped(KilnLoads, batches.with_columns(share_pct=pl.Series(shares, dtype=pl.Float64)))
