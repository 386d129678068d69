"""What of the plan's clay and materials has come in when the books close."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

import polars as pl

from pipeline.clay import to_kg, to_mg


class Bought(NamedTuple):
    """The plan's buying lists, as far as they have come in."""

    clay_to_buy: pl.DataFrame
    packs_to_buy: pl.DataFrame
    materials_to_buy: pl.DataFrame


def bought_by(lists: Bought, used_mg: Mapping[str, int], last: date) -> Bought:
    """The lists with only what has come in by the evening of ``last``; ``used_mg`` is what of each clay is used by
    then.

    What is bought comes in on the day on which it is first needed, or at once if no day needs it. Of the reclaim there
    is the same share as of the clay used, and never less than is used of it.
    """
    there = pl.col("needed_by").is_null() | (pl.col("needed_by") <= last)
    packs = lists.packs_to_buy.filter(there)
    came = packs.group_by("clay").agg(came=to_mg(pl.col("bought_kg")).sum())
    used = pl.DataFrame(
        {"clay": list(used_mg), "used": list(used_mg.values())}, schema={"clay": pl.String, "used": pl.Int64}
    )
    clay = (
        lists.clay_to_buy.join(came, on="clay", how="left", maintain_order="left")
        .join(used, on="clay", how="left", maintain_order="left")
        .with_columns(pl.col("came", "used").fill_null(0), again=to_mg(pl.col("reclaim_kg")))
    )
    needed = pl.max_horizontal(to_mg(pl.col("needed_kg")), 1)
    beyond = pl.col("used") - pl.col("came") - to_mg(pl.col("on_hand_kg")) + to_mg(pl.col("keep_kg"))
    share = pl.col("again") * pl.col("used") // needed
    clay = clay.with_columns(reclaim_kg=to_kg(pl.min_horizontal(pl.max_horizontal(share, beyond), "again")))
    none = {"packs_to_buy": 0, "bought_kg": 0.0, "cost": None}
    materials = lists.materials_to_buy.with_columns(
        pl.when(there).then(name).otherwise(pl.lit(value)).alias(name) for name, value in none.items()
    )
    return Bought(clay.select(lists.clay_to_buy.columns), packs, materials)
