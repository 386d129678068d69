"""What to buy of glaze materials, wax and packaging."""

from __future__ import annotations

import polars as pl

from pipeline.clay import GRAM, to_kg, to_mg
from pipeline.glazing import material_uses
from pipeline.lines import LINE
from pipeline.money import at_price, exact_price
from pipeline.routes import routes
from pipeline.running import first_of, increase, running
from pipeline.steps.glaze_batches import WATER
from pipeline.stock import on_hand
from pipeline.supplies import Supplies, supplies
from schemas.settings import BOUGHT, Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.materials_to_buy import MaterialsToBuy

PACK_KG = 1.0
"""The pack of a material that stands in a recipe alone, as in ``materials`` where it is blank."""


def materials_to_buy(
    pieces: pl.DataFrame,
    schedule: pl.DataFrame,
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    glazes: pl.DataFrame,
    glaze_batches: pl.DataFrame,
    form_materials: pl.DataFrame,
    materials: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """What to buy of each material, in whole packs of its newest lot, in the order of ``materials``.

    Needed is what the batches of glaze to mix and ``form_materials`` take; short = needed + reserve - on hand, never
    below nought; packs = short / pack, rounded up. A material that stands in a recipe alone comes last, in packs of
    1 kg without a price. ``needed_by`` is the first day of the schedule on which the pieces take more than what is in
    hand, mixed or not, less the reserves; blank where no schedule is made.

    1.5 kg needed, 0.2 kg on hand, 1 kg to keep, packs of 5 kg: 2.3 kg short, so 1 pack, and 3.7 kg are left.
    """
    route = routes(forms, stages, form_minutes)
    uses = material_uses(pieces, orders, forms, route, glazes, form_materials)
    needed = _needed(uses, glaze_batches)
    stock = on_hand(materials, item="material", pack="pack")
    listed = stock.join(needed, on="material", how="full", coalesce=True, maintain_order="left_right").with_columns(
        pl.col("hand_mg", "keep_mg", "need_mg").fill_null(0),
        pl.col("pack_kg").fill_null(PACK_KG),
        pl.col("lead_days").fill_null(0),
    )
    pack = to_mg(pl.col("pack_kg"))
    short = (pl.col("need_mg") + pl.col("keep_mg") - pl.col("hand_mg")).clip(lower_bound=0)
    counted = listed.with_columns(short_mg=short, packs_to_buy=-(-short // pack)).with_columns(
        bought_mg=pl.col("packs_to_buy") * pack
    )
    runs_out = _runs_out(uses, route, schedule, supplies(materials, glaze_batches))
    dated = counted.join(runs_out, on="material", how="left", validate="m:1", maintain_order="left")
    bought = pl.col("packs_to_buy") > 0
    return shaped(
        MaterialsToBuy,
        dated.with_columns(
            needed_kg=to_kg(pl.col("need_mg")),
            on_hand_kg=to_kg(pl.col("hand_mg")),
            keep_kg=to_kg(pl.col("keep_mg")),
            short_kg=to_kg(pl.col("short_mg")),
            bought_kg=to_kg(pl.col("bought_mg")),
            left_kg=to_kg(pl.col("hand_mg") + pl.col("bought_mg") - pl.col("need_mg")),
            cost=_costs(dated, settings),
            needed_by=pl.when(bought).then("date"),
            order_by=pl.when(bought).then(pl.col("date") - pl.duration(days=pl.col("lead_days"))),
        ),
    )


def _costs(bought: pl.DataFrame, settings: Settings) -> pl.Series:
    """What the packs of each material cost, as ``cost``; blank without a price."""
    prices = [exact_price(price, BOUGHT, settings) for price in bought["pack_price"]]
    packs = zip(bought["packs_to_buy"], prices, strict=True)
    costs = [None if price is None else at_price(count, price, settings.minor_digits) for count, price in packs]
    return pl.Series("cost", costs, dtype=types(MaterialsToBuy)["cost"])


def _needed(uses: pl.DataFrame, glaze_batches: pl.DataFrame) -> pl.DataFrame:
    """A row a material that is needed: ``need_mg``, to be mixed or taken as it is."""
    # Batches round each material by itself, so they may hold a gram less of one than the pieces take of it.
    lacking = pl.max_horizontal(pl.col("mixed_g"), pl.col("needed_g") + pl.col("keep_g") - pl.col("in_bucket_g"))
    mixed = glaze_batches.filter(pl.col("material") != WATER).select("material", need_g=lacking)
    taken = uses.filter(~pl.col("dipped")).select("material", need_g=pl.col("grams").cast(pl.Float64))
    return (
        pl.concat([mixed, taken])
        .group_by("material", maintain_order=True)
        .agg(need_mg=(pl.col("need_g") * GRAM).round().cast(pl.Int64).sum())
    )


def _runs_out(uses: pl.DataFrame, route: pl.DataFrame, schedule: pl.DataFrame, there: Supplies) -> pl.DataFrame:
    """For each material that runs out the first ``date`` on which the pieces have taken more than is free. What is
    taken once a piece is sold counts on the day on which it is finished.
    """
    key = [*LINE, "stage", "sold"]
    last = route.group_by("form").agg(last=pl.col("stage").last())
    asked = (
        uses.with_row_index("use")
        .join(last, on="form", how="left", validate="m:1", maintain_order="left")
        .with_columns(sold=pl.col("stage").is_null(), stage=pl.coalesce("stage", "last"))
    )
    tasks = ((False, schedule.filter(pl.col("task") != "unload")), (True, schedule.filter(pl.col("task") != "load")))
    done = pl.concat(
        rows.group_by(*LINE, "stage", "date").agg(pl.col("pieces").sum()).with_columns(sold=pl.lit(sold))
        for sold, rows in tasks
    )
    first = first_of(["use"])
    so_far = running("pieces", first).cast(pl.Int128)  # 64 bits hold no milligrams times pieces
    upto = (so_far * pl.col("grams") * GRAM // pl.col("pieces").sum().over("use")).cast(pl.Int64)
    taken = (
        asked.join(done, on=key, nulls_equal=True)
        .sort("use", "date")
        .with_columns(upto=upto)
        .with_columns(mg=increase("upto", first))
        .sort("date", "use")
    )
    short = taken.filter(there.there_for(taken) < taken["mg"])
    return short.unique("material", keep="first", maintain_order=True).select("material", "date")
