"""What goes into the pieces, and what it costs."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.alike import once_each
from pipeline.clay import GRAM, MG, line_clay, to_kg
from pipeline.coins import MONEY
from pipeline.glazing import material_uses
from pipeline.lines import LINE, in_turn
from pipeline.money import product
from pipeline.routes import routes
from pipeline.stock import Lot, Lots, clay_lots, material_lots, taken_in_turn
from pipeline.taken_at import EACH_PIECE
from schemas.settings import Settings
from schemas.sheet import shaped
from schemas.sheets_out.materials_cost import MaterialsCost

A_MG = Fraction(1, MG)
"""A milligram in kilograms."""


def materials_cost(
    pieces: pl.DataFrame,
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    clay_stock: pl.DataFrame,
    clay_blends: pl.DataFrame,
    clay_to_buy: pl.DataFrame,
    packs_to_buy: pl.DataFrame,
    glazes: pl.DataFrame,
    form_materials: pl.DataFrame,
    materials: pl.DataFrame,
    glaze_batches: pl.DataFrame,
    materials_to_buy: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """The materials still to go into each line: clay, glaze by its recipe and other materials by lot, packaging.

    Clay is taken from the oldest lot first, the reserve left alone, then from reclaim, then from what is bought; glaze
    materials from the bucket, the oldest lot, then from what is bought. The lines take them in their turn. What is
    taken of a lot comes to its money, rounded once and split over the lines by weight, so that a cost is quantity x
    unit cost, rounded, and at most the smallest coin of ``rounding``. By the setting ``stock_value`` the unit cost is
    the average of all lots. A price that nobody gave counts as nought and is told.

    18.480 kg at 13.80 a bag of 12.5 kg: 13.80 / 12.5 = 1.104, x 18.480 = 20.40 (20.40192).
    """
    route = routes(forms, stages, form_minutes)
    clay = line_clay(pieces, forms, clay_blends, settings).select(*LINE, "mg", material="part")
    uses = material_uses(pieces, orders, forms, route, glazes, form_materials)
    others = uses.select(*LINE, "material", mg=pl.col("grams") * GRAM)
    kinds = (
        (clay, clay_lots(clay_stock, clay_to_buy, packs_to_buy)),
        (others, with_bare(material_lots(materials, materials_to_buy, glaze_batches), others)),
    )
    return valued(orders, forms, kinds, orders.select(*LINE, packs="quantity"), settings)


def with_bare(lots: Lots, asked: pl.DataFrame) -> Lots:
    """The lots, and one without a price of each material asked for that has none."""
    bare = Lot(None, 0, Fraction(0))
    return {**lots, **{name: [bare] for name in asked["material"].unique(maintain_order=True) if name not in lots}}


def valued(
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    kinds: Iterable[tuple[pl.DataFrame, Lots]],
    packed: pl.DataFrame,
    settings: Settings,
) -> pl.DataFrame:
    """A sheet ``materials_cost`` of what the lines ask for (``material``, ``mg``), of each kind of lots in the lines'
    turn, and of packaging for the pieces that ``packed`` says (``packs``).
    """
    digits = settings.minor_digits
    numbered = orders.with_row_index("number")
    turn = in_turn(numbered).select(*LINE, "number").with_row_index("turn")
    parts = []
    for asked, lots in kinds:
        in_order = asked.join(turn, on=LINE, nulls_equal=True, validate="m:1", maintain_order="left").sort(
            "turn", maintain_order=True
        )
        parts.append(taken_in_turn(in_order.select("number", "material", "mg"), lots, settings))
    taken = pl.concat(parts)
    alone = once_each(taken.select("mg", "unit_cost"), lambda *row: product(*row, A_MG, digits=digits), MONEY)
    weighed = taken.with_columns(quantity=to_kg(pl.col("mg")), unit=pl.lit("kg"), rounding=pl.col("cost") - alone)
    boxed = packed.filter(pl.col("packs") > 0).join(
        forms.filter(pl.col("other_cost") != 0).select("form", unit_cost="other_cost"), on="form", validate="m:1"
    )
    packaging = boxed.join(turn, on=LINE, nulls_equal=True, validate="1:1", maintain_order="left").select(
        "number",
        "unit_cost",
        material=pl.lit(EACH_PIECE),
        quantity=pl.col("packs").cast(pl.Float64),
        unit=pl.lit("piece"),
        rounding=pl.lit(Decimal(0), MONEY),
        cost=once_each(boxed.select("packs", "unit_cost"), lambda *row: product(*row, digits=digits), MONEY),
    )
    rows = pl.concat([weighed, packaging], how="diagonal").sort("number", maintain_order=True)
    named = rows.join(numbered.select("number", *LINE), on="number", validate="m:1", maintain_order="left")
    return shaped(MaterialsCost, named)
