"""The ledger of clay and materials by lot."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.books.period import closes, cut_short
from pipeline.books.stock_then import Bought, bought_by
from pipeline.clay import MG, to_mg
from pipeline.money import amount, known_sum
from pipeline.stock import IN_BUCKET, RECLAIM, TO_BUY, Lot, Lots, clay_lots, material_lots
from schemas.fields import MONEY_DIGITS
from schemas.settings import AVERAGE, Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.costs_put_in import MATERIALS
from schemas.sheets_out.materials_ledger import MaterialsLedger

Key = tuple[str, str | None]
"""A clay or material, and its lot."""


@dataclass(slots=True)
class _Moved:
    """What comes in and goes out of a lot, in milligrams and money; ``opening`` is exact, ``costs`` a purchase each."""

    opening_mg: int = 0
    bought_mg: int = 0
    reclaimed_mg: int = 0
    used_mg: int = 0
    opening: Fraction = Fraction(0)
    costs: list[Decimal | None] = field(default_factory=list)
    used: Decimal = Decimal(0)
    priced: bool = True


def materials_ledger(
    clay_stock: pl.DataFrame,
    materials: pl.DataFrame,
    clay_to_buy: pl.DataFrame,
    packs_to_buy: pl.DataFrame,
    materials_to_buy: pl.DataFrame,
    glaze_batches: pl.DataFrame,
    costs_put_in: pl.DataFrame,
    schedule: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """Every lot with something in it: opening + bought + reclaimed - used = closing, in weight and in money, from the
    opening of the books to their close.

    Bought is what ``packs_to_buy`` and ``materials_to_buy`` cost, as far as it is needed by then, used is what
    ``costs_put_in`` has of the lot, both to the penny; so what the closing is worth is the rest, reserves and all. With
    ``stock_value`` average all lots of a material but reclaim are one. Money of a lot is blank where it rests on a
    price that nobody gave. What costs a form so much a piece, and a glaze without a recipe, are in no lot: they are the
    ``other`` rows of ``costs_put_in``, and with what is used here they come to all materials put in.

    42 kg at 13.80 a bag of 12.5 kg are 46.37 (1.104 x 42 = 46.368); 20.40 used leave 25.97.
    """
    digits, average = settings.minor_digits, settings.stock_value == AVERAGE
    taken = costs_put_in.filter(pl.col("what") == MATERIALS).select(
        "item", "lot", pl.col("cost").fill_null(0), mg=to_mg(pl.col("quantity"))
    )
    if cut_short(schedule, settings):
        used = dict(taken.group_by("item").agg(pl.col("mg").sum()).iter_rows())
        lists = bought_by(Bought(clay_to_buy, packs_to_buy, materials_to_buy), used, closes(schedule, settings))
        clay_to_buy, packs_to_buy, materials_to_buy = lists
    clays = clay_lots(clay_stock, clay_to_buy, packs_to_buy)
    others = material_lots(materials, materials_to_buy, glaze_batches)
    bought = {(clay, lot): cost for clay, lot, cost in packs_to_buy.select("clay", "lot", "cost").iter_rows()}
    bought |= {
        (name, TO_BUY): cost
        for name, cost in materials_to_buy.filter(pl.col("packs_to_buy") > 0).select("material", "cost").iter_rows()
    }
    unpriced = _unpriced(clay_stock, materials, others) | {key for key, cost in bought.items() if cost is None}
    found: dict[Key, _Moved] = {}
    held: dict[tuple[Key, Decimal], Fraction] = defaultdict(Fraction)
    for key, lot in _each_lot(clays, others):
        moved = found.setdefault(_pool(key, average), _Moved())
        if lot.name == RECLAIM:
            moved.reclaimed_mg += lot.mg
        elif key in bought:
            moved.bought_mg += lot.mg
            moved.costs.append(bought[key])
        else:
            there = lot.mg + lot.kept_mg
            moved.opening_mg += there
            held[key, amount(lot.kg_price, MONEY_DIGITS)] += there * lot.kg_price / MG
        moved.priced &= key not in unpriced or not lot.mg + lot.kept_mg
    for (key, _), exact in held.items():
        # What has one name and price is rounded once, as what is taken of it is; on average all lots are.
        found[_pool(key, average)].opening += exact if average else Fraction(amount(exact, digits))
    for material, lot, mg, cost in taken.select("item", "lot", "mg", "cost").iter_rows():
        moved = found[_pool((material, lot), average)]
        moved.used_mg += mg
        moved.used += cost
    rows = [(*key, *_cells(moved, digits)) for key, moved in found.items() if _anything(moved)]
    return shaped(MaterialsLedger, pl.DataFrame(rows, schema=types(MaterialsLedger), orient="row"))


def _each_lot(*kinds: Lots) -> Iterator[tuple[Key, Lot]]:
    for lots in kinds:
        for name, own in lots.items():
            for lot in own:
                yield (name, lot.name), lot


def _pool(key: Key, average: bool) -> Key:
    material, lot = key
    return (material, AVERAGE) if average and lot != RECLAIM else key


def _unpriced(clay_stock: pl.DataFrame, materials: pl.DataFrame, others: Lots) -> set[Key]:
    """The lots in stock whose price nobody gave; a bucket is priced as the lot after it."""
    found: set[Key] = set()
    for stock, name, price in ((clay_stock, "clay", "bag_price"), (materials, "material", "pack_price")):
        found |= set(stock.filter(pl.col(price).is_null()).select(name, "lot").iter_rows())
    for material, own in others.items():
        if len(own) > 1 and own[0].name == IN_BUCKET and (material, own[1].name) in found:
            found.add((material, IN_BUCKET))
    return found


def _anything(moved: _Moved) -> bool:
    return any((moved.opening_mg, moved.bought_mg, moved.reclaimed_mg, moved.used_mg))


def _cells(moved: _Moved, digits: int) -> tuple[float | Decimal | None, ...]:
    """The cells of a lot from ``opening_kg`` on."""
    closing_mg = moved.opening_mg + moved.bought_mg + moved.reclaimed_mg - moved.used_mg
    weights = (moved.opening_mg, moved.bought_mg, moved.reclaimed_mg, moved.used_mg, closing_mg)
    opening, bought = amount(moved.opening, digits), known_sum(moved.costs)
    used = moved.used if moved.priced or moved.used else None
    closing = None if bought is None or used is None else opening + bought - used
    money = (opening, bought, used, closing) if moved.priced else (None, bought, used, None)
    return (*(mg / MG for mg in weights), *money)
