"""The journal: the plan as double entries."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from pipeline.accounts import names_of, packing_materials
from pipeline.books.entries import Entry, all_entries
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.journal import Journal


def journal(
    orders: pl.DataFrame,
    form_materials: pl.DataFrame,
    glazes: pl.DataFrame,
    accounts: pl.DataFrame,
    opening_balances: pl.DataFrame,
    schedule: pl.DataFrame,
    overhead: pl.DataFrame,
    purchases: pl.DataFrame,
    costs_put_in: pl.DataFrame,
    finished_goods: pl.DataFrame,
    stock_differences: pl.DataFrame,
    sales: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """Balanced double entries of what the books take in, by date, with the codes of ``accounts``.

    What is bought is stock and owed to suppliers from the day on which it is first needed. What is used of it, paid
    work, firings and overhead absorbed become part-made goods, those finished goods, and those a cost of sales; this is
    summed up on the last day. A line is sold on the day when it is ready; a deposit is owed to the customer until then
    and no sale. What is lost beyond the normal and overhead that the pieces do not bear are expenses (IAS 2,
    Inventories, paragraphs 13 and 16). So an account's opening and its entries give what it closes with:
    ``closing_balances``.

    60 tumblers at 16.00 and 20 % of tax, 300.00 paid before: customers 1,152.00 to sales 960.00 and tax 192.00, and
    deposits held 300.00 to customers.
    """
    packing = packing_materials(form_materials, glazes)
    entries = all_entries(
        orders, opening_balances, schedule, overhead, purchases, costs_put_in, finished_goods, stock_differences, sales,
        packing, settings,
    )  # fmt: skip
    return sides_of(entries, accounts)


def sides_of(entries: Sequence[Entry], accounts: pl.DataFrame, *, moved: bool = True) -> pl.DataFrame:
    """The accounts that entries move as rows of the journal; or, not ``moved``, those that they leave as they are."""
    named = names_of(accounts)
    rows = [
        (number, day, for_what, what, *named(what), money if money > 0 else None, -money if money < 0 else None)
        for number, (day, for_what, sides) in enumerate(entries, 1)
        for what, money in sorted(sides.items(), key=lambda side: side[1] < 0)
        if bool(money) == moved
    ]
    return shaped(Journal, pl.DataFrame(rows, schema=types(Journal), orient="row"))
