"""What goes into the pieces, and what it costs."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.clay import MG, line_clay, to_mg
from pipeline.lines import LINE, in_turn
from pipeline.money import amount
from pipeline.routes import routes
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings
from schemas.sheet import POLARS_TYPE, shaped, types
from schemas.sheets_out.materials_cost import MaterialsCost

TO_BUY = "to buy"
RECLAIM = "reclaim"
"""Lots that are not in the stock yet. Reclaim costs nothing: the pieces it was trimmed from have paid for it."""

EACH_PIECE = "packaging and the like"
"""The material that a form's ``other_cost`` stands for."""

Taken = tuple[str, str | None, Fraction, str, Decimal]
"""Material, lot, how much, of which unit, price of one."""


@dataclass(slots=True)
class Lot:
    """Clay of one price."""

    name: str | None
    left_mg: int
    kg_price: Decimal


def materials_cost(
    pieces: pl.DataFrame,
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    clay_stock: pl.DataFrame,
    clay_blends: pl.DataFrame,
    clay_to_buy: pl.DataFrame,
    glazes: pl.DataFrame,
    materials: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """The materials still to go into each line: clay by lot, glaze by its recipe, packaging for the good pieces.

    Clay is taken from the oldest lot first, the reserve left alone, then from reclaim, then from what is bought; the
    lines take it in their turn. Glaze = pieces that enter glazing x glaze_g, split by the recipe's parts. A cost is
    quantity x unit cost, rounded. A price that nobody gave counts as nought and is told in ``assumptions``.

    18.480 kg at 13.80 a bag of 12.5 kg: 13.80 / 12.5 = 1.104, x 18.480 = 20.40 (20.40192).
    """
    lots = _lots(clay_stock, clay_to_buy)
    taken: dict[tuple[object, ...], list[Taken]] = defaultdict(list)
    clay = line_clay(pieces, forms, clay_blends, settings).filter(pl.col("mg") > 0)
    turn = in_turn(orders.with_row_index("line")).with_row_index("turn").select("turn", *LINE)
    clay = clay.join(turn, on=LINE, how="left", nulls_equal=True, maintain_order="left").sort(
        "turn", maintain_order=True
    )
    for *line, part, mg in clay.select(*LINE, "part", "mg").iter_rows():
        for lot, some in _take(lots[part], mg):
            taken[tuple(line)].append((part, lot.name, Fraction(some, MG), "kg", lot.kg_price))
    for *line, material, kg, price in _glaze(pieces, forms, stages, form_minutes, glazes, materials).iter_rows():
        taken[tuple(line)].append((material, None, Fraction(kg).limit_denominator(10**6), "kg", price))
    each = dict(forms.select("form", "other_cost").iter_rows())
    rows = []
    for *line, quantity in orders.select(*LINE, "quantity").iter_rows():
        if each[line[1]]:
            taken[tuple(line)].append((EACH_PIECE, None, Fraction(quantity), "piece", each[line[1]]))
        for (material, lot_name, unit, price), number in _together(taken[tuple(line)]).items():
            cost = amount(number * Fraction(price), settings.minor_digits)
            rows.append((*line, material, lot_name, float(number), unit, price, cost))
    return shaped(MaterialsCost, pl.DataFrame(rows, schema=types(MaterialsCost), orient="row"))


def _together(taken: list[Taken]) -> dict[tuple[str, str | None, str, Decimal], Fraction]:
    """How much of each material, lot, unit and price; lots without a number that cost the same are one."""
    sums: dict[tuple[str, str | None, str, Decimal], Fraction] = defaultdict(Fraction)
    for material, lot, number, unit, price in taken:
        sums[material, lot, unit, price] += number
    return sums


def price_of_kg(price: Decimal, kilograms: float) -> Decimal:
    """The price of a kilogram, to six places, of a bag or pack at a price."""
    return amount(Fraction(price) / Fraction(str(kilograms)), MONEY_DIGITS)


def _lots(clay_stock: pl.DataFrame, clay_to_buy: pl.DataFrame) -> dict[str, deque[Lot]]:
    """Each clay's lots in the order of use; the reserve is kept back from the newest lots."""
    reserve = dict(clay_stock.group_by("clay").agg(to_mg(pl.col("keep_kg")).sum()).iter_rows())
    lots: dict[str, deque[Lot]] = defaultdict(deque)
    oldest_first = clay_stock.sort("received", nulls_last=False, maintain_order=True)
    for row in oldest_first.with_columns(
        mg=to_mg(pl.col("bag_kg")) * pl.col("bags") + to_mg(pl.col("loose_kg"))
    ).iter_rows(named=True):
        lots[row["clay"]].append(Lot(row["lot"], row["mg"], price_of_kg(row["bag_price"], row["bag_kg"])))
    for clay, own in lots.items():
        for lot in reversed(own):
            kept = min(lot.left_mg, reserve[clay])
            lot.left_mg -= kept
            reserve[clay] -= kept
    for clay, again, bought, bag_kg, price in clay_to_buy.select(
        "clay", to_mg(pl.col("reclaim_kg")), to_mg(pl.col("bought_kg")), "bag_kg", "bag_price"
    ).iter_rows():
        lots[clay].append(Lot(RECLAIM, again, Decimal(0)))
        lots[clay].append(Lot(TO_BUY, bought, price_of_kg(price, bag_kg)))
    return lots


def _take(lots: deque[Lot], mg: int) -> Iterator[tuple[Lot, int]]:
    """Takes clay from the lots in their order; of the last, which is to be bought, as much as it takes."""
    while mg:
        some = mg if len(lots) == 1 else min(mg, lots[0].left_mg)
        if some:
            yield lots[0], some
            lots[0].left_mg -= some
            mg -= some
        if len(lots) > 1 and not lots[0].left_mg:
            lots.popleft()


def _glaze(
    pieces: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    glazes: pl.DataFrame,
    materials: pl.DataFrame,
) -> pl.DataFrame:
    """The dry glaze materials of each line: order, form, glaze, material, kilograms (to the gram), price of one."""
    at = glazing_stage(routes(forms, stages, form_minutes))
    glazed = (
        pieces.filter(pl.col("glaze").is_not_null())
        .join(at, on=["form", "stage"], how="semi", maintain_order="left")
        .join(forms.select("form", "glaze_g"), on="form", how="left", validate="m:1", maintain_order="left")
        .select(*LINE, grams=(pl.col("pieces_in") - pl.col("already_done")) * pl.col("glaze_g"))
        .filter(pl.col("grams") > 0)
    )
    parts = glazes.with_columns(share=pl.col("percent") / pl.col("percent").sum().over("glaze"))
    newest = materials.unique("material", keep="last", maintain_order=True)
    price = newest.select("material", "pack_price", "pack_kg").with_columns(
        price=pl.struct("pack_price", "pack_kg").map_elements(
            lambda pack: price_of_kg(pack["pack_price"] or Decimal(0), pack["pack_kg"]),
            return_dtype=POLARS_TYPE["price"],
        )
    )
    recipe = parts.join(price, on="material", how="left", validate="m:1", maintain_order="left")
    return (
        glazed.join(recipe.select("glaze", "material", "share", "price"), on="glaze", how="left", maintain_order="left")
        .with_columns(
            material=pl.coalesce("material", pl.format("glaze {}", "glaze")),
            kg=(pl.col("grams") * pl.col("share").fill_null(1.0)).round(0, mode="half_away_from_zero") / 1000,
            price=pl.col("price").fill_null(Decimal(0)),
        )
        .filter(pl.col("kg") > 0)
        .select(*LINE, "material", "kg", "price")
    )


def glazing_stage(route: pl.DataFrame) -> pl.DataFrame:
    """The stage at which each form is glazed, as form and stage: that named `glaze`, or else the one before its last
    firing, or else its last.
    """
    by_hand = route.filter(pl.col("firing").is_null())
    fired = route.filter(pl.col("firing").is_not_null()).group_by("form").agg(last=pl.col("step").max())
    before = by_hand.join(fired, on="form", how="left", maintain_order="left").filter(
        pl.col("last").is_null() | (pl.col("step") < pl.col("last"))
    )
    named = pl.col("stage").str.to_lowercase() == "glaze"
    return (
        before.sort(named, "step", maintain_order=True)
        .group_by("form", maintain_order=True)
        .agg(pl.col("stage").last())
    )
