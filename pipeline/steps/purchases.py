"""Purchases to make, with tax."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.accounts import label, names_of, packing_materials, stock_account
from pipeline.money import at_tax, exact_price
from pipeline.stock import TO_BUY
from schemas.settings import BOUGHT, Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.purchases import Purchases


def purchases(
    packs_to_buy: pl.DataFrame,
    materials_to_buy: pl.DataFrame,
    form_materials: pl.DataFrame,
    glazes: pl.DataFrame,
    accounts: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """What is bought for the plan, clay before materials, each row's tax rounded: on top of the net, or, of prices that
    hold it, what the gross has beyond the net.

    What costs a form so much a piece (``other_cost``) has no supplier and no pack, so it is not here. What pieces take
    only when they are sold is packing, all else raw materials; ``account`` has the code of ``accounts``.

    4 bags at 14.40 are 57.60 net; 20 % of that are 11.52, so 69.12 are to be paid.
    """
    asked = [
        *packs_to_buy.select(
            "supplier", "clay", "lot", "packs", "pack_kg", "pack_price", "carriage", "cost", "needed_by", "order_by"
        ).iter_rows(),
        *materials_to_buy.filter(pl.col("packs_to_buy") > 0)
        .select(
            "supplier", "material", pl.lit(TO_BUY).alias("lot"), "packs_to_buy", "pack_kg", "pack_price",
            pl.lit(Decimal(0)).alias("carriage"), "cost", "needed_by", "order_by",
        ).iter_rows(),
    ]  # fmt: skip
    named, packing = names_of(accounts), packing_materials(form_materials, glazes)
    rows = []
    for supplier, material, lot, packs, kilograms, price, carriage, net, needed, order in asked:
        each = exact_price(price, BOUGHT, settings)
        exact = None if each is None else packs * each + Fraction(carriage)
        what = (supplier, material, lot, packs, kilograms, price, carriage, net, *at_tax(net, exact, BOUGHT, settings))
        rows.append((*what, needed, order, label(named, stock_account(material, packing))))
    return shaped(Purchases, pl.DataFrame(rows, schema=types(Purchases), orient="row"))
