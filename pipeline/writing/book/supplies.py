"""The tabs of glaze and of what is bought beside clay."""

from __future__ import annotations

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.prices import Prices, exact_formula
from pipeline.writing.book.tables import BY_ROW, Table, exact, formula_of, heads, table_tab
from pipeline.writing.shown import FORMULA_PLACES
from schemas.settings import BOUGHT, Settings
from schemas.sheets_out.glaze_batches import GlazeBatches
from schemas.sheets_out.materials_to_buy import MaterialsToBuy


def glaze_tab(glaze_batches: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What to mix of each glaze, to hang beside the scales."""
    grid = Grid("glaze to mix")
    grid.head(
        "Glaze to mix",
        "One row is a material of a glaze, its water last. To mix = needed on the pieces + what has to be left in the "
        "bucket to dip in - what is in it now, in whole batches. For one batch weigh out what stands under batch g. "
        "Dry glaze is dust that harms the lungs: wear a fitted respirator.",
    )
    places = FORMULA_PLACES[settings.units]
    head = heads(
        GlazeBatches,
        settings,
        formulas={
            "mixed_g": f"ROUND({{batches}}*{{batch_g}},{places})",
            "left_g": f"ROUND({{in_bucket_g}}+{{mixed_g}}-{{needed_g}},{places})",
        },
    )
    frame = exact(GlazeBatches, glaze_batches, settings)
    return table_tab(grid, head, frame, settings, frozen=2, paints=[("{glaze}<>{glaze_above}", "new day")])


def supplies_tab(materials_to_buy: pl.DataFrame, prices: Prices, settings: Settings) -> tuple[Tab, Table]:
    """What to buy beside clay; a changed need, stock, pack or price moves packs and cost."""
    grid = Grid("materials to buy")
    grid.head(
        "Glaze materials, wax and packaging to buy",
        "One row is a material. Short = needed + reserve to keep - on hand, never below 0; packs are whole packs. "
        "Left = on hand + bought - needed.",
    )
    places = FORMULA_PLACES[settings.units]
    head = heads(
        MaterialsToBuy,
        settings,
        formulas={
            "short_kg": f"ROUND(MAX(0,{{needed_kg}}+{{keep_kg}}-{{on_hand_kg}}),{places})",
            "packs_to_buy": "ROUNDUP(ROUND({short_kg}/{pack_kg},9),0)",
            "bought_kg": f"ROUND({{packs_to_buy}}*{{pack_kg}},{places})",
            "left_kg": f"ROUND({{on_hand_kg}}+{{bought_kg}}-{{needed_kg}},{places})",
            "pack_price": BY_ROW,
            "cost": BY_ROW,
        },
        totals=("needed_kg", "on_hand_kg", "short_kg", "packs_to_buy", "bought_kg", "left_kg", "cost"),
    )
    typed = [prices.typed("newest", material) for material in materials_to_buy["material"]]
    cells = [prices.price("newest", material) for material in materials_to_buy["material"]]
    frame = exact(MaterialsToBuy, materials_to_buy, settings).with_columns(
        pl.Series(formula_of("pack_price"), [f'IF({cell}="","",{cell})' for cell in cells], dtype=pl.String),
        pl.Series(formula_of("cost"), [_cost(cell, settings) for cell in typed], dtype=pl.String),
    )
    return table_tab(grid, head, frame, settings)


def _cost(typed: str, settings: Settings) -> str:
    """The formula of what packs cost, of a price as the sheets have it."""
    each = exact_formula(typed, BOUGHT, settings)
    return f'IF({{pack_price}}="","",ROUND({{packs_to_buy}}*{each},{settings.minor_digits}))'
