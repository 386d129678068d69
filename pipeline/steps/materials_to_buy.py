"""What to buy of glaze materials, wax and packaging."""

from __future__ import annotations

import polars as pl

from pipeline.clay import GRAM, to_kg, to_mg
from pipeline.glazing import glaze_on_pieces, other_materials
from pipeline.lines import LINE
from pipeline.money import at_price, exact_price
from pipeline.routes import routes
from pipeline.steps.glaze_batches import WATER
from pipeline.stock import on_hand
from schemas.settings import BOUGHT, Settings
from schemas.sheet import POLARS_TYPE, shaped, types
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
    others = pl.DataFrame(other_materials(pieces, orders, form_materials), schema=TAKEN, orient="row")
    glaze = pl.DataFrame(glaze_on_pieces(pieces, forms, route, glazes), schema=TAKEN, orient="row")
    needed = _needed(others, glaze_batches)
    stock = on_hand(materials, item="material", pack="pack")
    listed = stock.join(needed, on="material", how="full", coalesce=True, maintain_order="left_right").with_columns(
        pl.col("hand_mg", "keep_mg", "need_mg", "spare_mg").fill_null(0),
        pl.col("pack_kg").fill_null(PACK_KG),
        pl.col("lead_days").fill_null(0),
    )
    pack = to_mg(pl.col("pack_kg"))
    short = (pl.col("need_mg") + pl.col("keep_mg") - pl.col("hand_mg")).clip(lower_bound=0)
    counted = listed.with_columns(short_mg=short, packs_to_buy=-(-short // pack)).with_columns(
        free_mg=pl.col("hand_mg") - pl.col("keep_mg") + pl.col("spare_mg"), bought_mg=pl.col("packs_to_buy") * pack
    )
    runs_out = _runs_out(pl.concat([glaze, others]), route, schedule, counted)
    dated = counted.join(runs_out, on="material", how="left", maintain_order="left")
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


TAKEN = dict.fromkeys((*LINE, "material", "stage"), POLARS_TYPE["text"]) | {"grams": POLARS_TYPE["whole"]}
"""The columns of what each line takes of each material."""


def _needed(others: pl.DataFrame, glaze_batches: pl.DataFrame) -> pl.DataFrame:
    """A row a material that is needed: ``need_mg``, to be mixed or taken as it is; ``spare_mg``, in the buckets less
    what has to be left there.
    """
    # Batches round each material by itself, so they may hold a gram less of one than the pieces take of it.
    lacking = pl.max_horizontal(pl.col("mixed_g"), pl.col("needed_g") + pl.col("keep_g") - pl.col("in_bucket_g"))
    mixed = (
        glaze_batches.filter(pl.col("material") != WATER)
        .group_by("material", maintain_order=True)
        .agg(need_g=lacking.sum(), spare_g=(pl.col("in_bucket_g") - pl.col("keep_g")).sum())
    )
    return (
        pl.concat([mixed, others.select("material", need_g=pl.col("grams").cast(pl.Float64))], how="diagonal")
        .group_by("material", maintain_order=True)
        .agg(
            need_mg=(pl.col("need_g") * GRAM).round().cast(pl.Int64).sum(),
            spare_mg=(pl.col("spare_g").fill_null(0) * GRAM).round().cast(pl.Int64).sum(),
        )
    )


def _runs_out(taken: pl.DataFrame, route: pl.DataFrame, schedule: pl.DataFrame, counted: pl.DataFrame) -> pl.DataFrame:
    """For each material the first ``date`` on which the pieces have taken more than is free. What is taken once a piece
    is sold counts on the day of its last stage.
    """
    last = route.group_by("form").agg(at=pl.col("stage").last())
    at_stage = [*LINE, "stage"]
    done = schedule.filter(pl.col("task") != "unload").group_by(*at_stage, "date").agg(pl.col("pieces").sum())
    return (
        taken.join(last, on="form", how="left")
        .group_by(*LINE, "material", stage=pl.coalesce("stage", "at"))
        .agg(pl.col("grams").sum())
        .join(done, on=at_stage, nulls_equal=True)
        .with_columns(share=pl.col("pieces") / pl.col("pieces").sum().over(*at_stage, "material"))
        .group_by("material", "date")
        .agg((pl.col("grams") * pl.col("share")).sum())
        .sort("date")
        .with_columns(used=pl.col("grams").cum_sum().over("material"))
        .join(counted.select("material", "free_mg"), on="material")
        # Shares of a gram are not exact, so all that is free is not yet more than is free.
        .filter(pl.col("used") * GRAM > pl.col("free_mg") + 1)
        .group_by("material")
        .agg(pl.col("date").min())
    )
