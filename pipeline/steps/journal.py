"""The journal: the plan as double entries."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.accounts import names_of, packing_materials
from pipeline.books.entries import (
    Days,
    Entry,
    deliveries,
    deposits_received,
    differences,
    goods,
    moved,
    purchases_made,
    put_in,
    sums,
)
from pipeline.books.period import closes, cut_short
from pipeline.money import amount
from pipeline.steps.overhead import months_between
from schemas.accounts import OVERHEAD as WORKS_OVERHEAD
from schemas.accounts import UNABSORBED
from schemas.settings import IN, Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.costs_put_in import OVERHEAD
from schemas.sheets_out.journal import Journal

NOTHING = Decimal(0)


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
    days = Days(settings.start, max(closes(schedule, settings), settings.start))
    packing = packing_materials(form_materials, glazes)
    if cut_short(schedule, settings):
        purchases = purchases.filter(pl.col("needed_by").is_null() | (pl.col("needed_by") <= days.last))
    entries = [
        *differences(stock_differences, days.first),
        *deposits_received(orders, opening_balances, days.first),
        *purchases_made(purchases, packing, days),
        *put_in(costs_put_in, packing, days.last),
        *_not_absorbed(overhead, costs_put_in, days, settings),
        *goods(finished_goods, days.last),
        *deliveries(sales, days),
    ]
    named = names_of(accounts)
    rows = [
        (number, day, for_what, what, *named(what), *_debit_or_credit(money))
        for number, (day, for_what, sides) in enumerate(sorted(entries, key=lambda entry: entry.day), 1)
        for what, money in sorted(sides.items(), key=lambda side: side[1] < 0)
    ]
    return shaped(Journal, pl.DataFrame(rows, schema=types(Journal), orient="row"))


def _not_absorbed(
    overhead: pl.DataFrame, costs_put_in: pl.DataFrame, days: Days, settings: Settings
) -> Iterator[Entry]:
    """The overhead of the books' days beyond what the pieces bear; none if they bear none, or it is not known."""
    cost = overhead["overhead"][0] if overhead.height else None
    if settings.stock_overhead != IN or cost is None:
        return
    if settings.books_to is not None:
        spanned = months_between(days.first, days.last)
        cost = amount(spanned * Fraction(settings.overhead_per_month or 0), settings.minor_digits)
    absorbed = sums(costs_put_in, "what", "cost").get(OVERHEAD, NOTHING)
    for_what = "works overhead not absorbed"
    yield from moved(days.last, for_what, cost - absorbed, into=UNABSORBED, out_of=WORKS_OVERHEAD)


def _debit_or_credit(money: Decimal) -> tuple[Decimal | None, Decimal | None]:
    return (money, None) if money > 0 else (None, -money)
