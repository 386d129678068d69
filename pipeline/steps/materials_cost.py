"""What goes into the pieces, and what it costs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from functools import cache

import polars as pl

from pipeline.clay import GRAM, MG, line_clay
from pipeline.glazing import Use, glaze_on_pieces, other_materials
from pipeline.lines import LINE, Line, in_turn
from pipeline.money import product
from pipeline.routes import routes
from pipeline.stock import Lot, Lots, Taken, clay_lots, material_lots, taken_in_turn
from pipeline.taken_at import EACH_PIECE
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.materials_cost import MaterialsCost

A_MG = Fraction(1, MG)
"""A milligram in kilograms."""

Asked = tuple[Line, str, int]
"""A line, a material, and how much of it in milligrams."""


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
    clay = [
        ((order, form, glaze), part, mg)
        for order, form, glaze, part, mg in line_clay(pieces, forms, clay_blends, settings)
        .select(*LINE, "part", "mg")
        .iter_rows()
    ]
    uses = [*glaze_on_pieces(pieces, forms, route, glazes), *other_materials(pieces, orders, form_materials)]
    stocked = material_lots(materials, materials_to_buy, glaze_batches)
    bare = {use.material: [Lot(None, 0, Fraction(0))] for use in uses if use.material not in stocked}
    kinds = ((clay, clay_lots(clay_stock, clay_to_buy, packs_to_buy)), (list(_asked(uses)), stocked | bare))
    return valued(orders, forms, kinds, {}, settings)


def valued(
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    kinds: Iterable[tuple[Iterable[Asked], Lots]],
    packed: Mapping[Line, int],
    settings: Settings,
) -> pl.DataFrame:
    """A sheet ``materials_cost`` of what the lines ask for, of each kind of lots in the lines' turn, and of packaging
    for the good pieces wanted, or as many of them as ``packed`` says.
    """
    lines = list(orders.select(*LINE).iter_rows())
    turn = {line: at for at, line in enumerate(in_turn(orders).select(*LINE).iter_rows())}
    number = {line: at for at, line in enumerate(lines)}
    taken: list[list[Taken]] = [[] for _ in lines]
    for asked, lots in kinds:
        wanted = sorted(asked, key=lambda row: turn[row[0]])
        for some in taken_in_turn(((number[line], name, mg) for line, name, mg in wanted), lots, settings):
            taken[some.number].append(some)
    each = dict(forms.select("form", "other_cost").iter_rows())
    digits = settings.minor_digits

    @cache
    def alone(mg: int, unit_cost: Decimal) -> Decimal:
        return product(mg, A_MG, unit_cost, digits=digits)

    rows: list[tuple[object, ...]] = []
    for line, own, quantity in zip(lines, taken, orders["quantity"], strict=True):
        rows += [(*line, *_row(some, alone(some.mg, some.unit_cost))) for some in own]
        if (other := each[line[1]]) and (packs := packed.get(line, quantity)):
            cost = product(packs, other, digits=digits)
            rows.append((*line, EACH_PIECE, None, float(packs), "piece", other, Decimal(0), cost))
    return shaped(MaterialsCost, pl.DataFrame(rows, schema=types(MaterialsCost), orient="row"))


def _asked(uses: Sequence[Use]) -> Iterator[Asked]:
    for use in uses:
        yield (use.order, use.form, use.glaze), use.material, use.grams * GRAM


def _row(some: Taken, alone: Decimal) -> tuple[object, ...]:
    """What a line takes of a lot, which ``alone`` would cost so much, as cells from ``material`` on."""
    return some.material, some.lot, some.mg / MG, "kg", some.unit_cost, some.cost - alone, some.cost
