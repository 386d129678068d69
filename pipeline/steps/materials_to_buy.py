"""What to buy of glaze materials, wax and packaging."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import polars as pl

from pipeline.clay import GRAM, to_kg, to_mg
from pipeline.glazing import Use, glaze_on_pieces, other_materials
from pipeline.lines import LINE
from pipeline.money import at_price, exact_price
from pipeline.routes import routes
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
    others = other_materials(pieces, orders, form_materials)
    uses = [*glaze_on_pieces(pieces, forms, route, glazes), *others]
    needed = _needed(others, glaze_batches)
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
    dated = counted.with_columns(date=pl.col("material").replace_strict(runs_out, default=None, return_dtype=pl.Date))
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


def _needed(others: Sequence[Use], glaze_batches: pl.DataFrame) -> pl.DataFrame:
    """A row a material that is needed: ``need_mg``, to be mixed or taken as it is."""
    # Batches round each material by itself, so they may hold a gram less of one than the pieces take of it.
    lacking = pl.max_horizontal(pl.col("mixed_g"), pl.col("needed_g") + pl.col("keep_g") - pl.col("in_bucket_g"))
    mixed = glaze_batches.filter(pl.col("material") != WATER).select("material", need_g=lacking)
    taken = pl.DataFrame(
        {"material": [use.material for use in others], "need_g": [float(use.grams) for use in others]},
        schema={"material": pl.String, "need_g": pl.Float64},
    )
    return (
        pl.concat([mixed, taken])
        .group_by("material", maintain_order=True)
        .agg(need_mg=(pl.col("need_g") * GRAM).round().cast(pl.Int64).sum())
    )


def _runs_out(uses: Sequence[Use], route: pl.DataFrame, schedule: pl.DataFrame, there: Supplies) -> dict[str, date]:
    """For each material the first day on which the pieces have taken more than is free. What is taken once a piece is
    sold counts on the day on which it is finished.
    """
    last = dict(route.group_by("form").agg(pl.col("stage").last()).iter_rows())
    done: dict[tuple[object, ...], list[tuple[date, int]]] = {}
    worked = schedule.group_by(*LINE, "stage", "task", "date").agg(pl.col("pieces").sum()).sort("date")
    for *key, task, day, pieces in worked.select(*LINE, "stage", "task", "date", "pieces").iter_rows():
        if task != "unload":
            done.setdefault((*key, "begun"), []).append((day, pieces))
        if task != "load":
            done.setdefault((*key, "finished"), []).append((day, pieces))
    taken: list[tuple[date, int, int]] = []
    for at, use in enumerate(uses):
        stage, when = (last[use.form], "finished") if use.stage is None else (use.stage, "begun")
        days = done.get((use.order, use.form, use.glaze, stage, when), [])
        whole, so_far, before = sum(pieces for _, pieces in days), 0, 0
        for day, pieces in days:
            so_far += pieces
            mg = use.grams * GRAM * so_far // whole
            taken.append((day, at, mg - before))
            before = mg
    found: dict[str, date] = {}
    for day, at, mg in sorted(taken):
        if there.take(uses[at], mg) < mg:
            found.setdefault(uses[at].material, day)
    return found
