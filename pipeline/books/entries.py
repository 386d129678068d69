"""The entries of the journal: what happens, on which day, and which accounts it moves.

Those that nothing goes through are entries, too, as are accounts that an entry leaves as they are: another price or
tax rate may bring them to life. The journal leaves them out; the workbook keeps room for them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

import polars as pl

from pipeline.accounts import stock_account
from pipeline.books.period import closes, cut_short, unsold
from pipeline.money import amount
from pipeline.steps.overhead import months_between
from schemas import accounts as to
from schemas.settings import IN, Settings
from schemas.sheets_out.costs_put_in import FIRING, MATERIALS, OTHER, OVERHEAD, PAID

NOTHING = Decimal(0)

Sides = Mapping[str, Decimal]
"""By account what it is debited, below nought what it is credited; together they are nought."""


class Entry(NamedTuple):
    """An entry; an account that it leaves as it is stands among ``sides`` with nought."""

    day: date
    for_what: str
    sides: Sides

    @property
    def moves(self) -> bool:
        """Whether anything goes through it."""
        return any(self.sides.values())


class Days(NamedTuple):
    """The first and the last day of the books."""

    first: date
    last: date

    @classmethod
    def of(cls, schedule: pl.DataFrame, settings: Settings) -> Days:
        """Those of a plan's books."""
        return cls(settings.start, max(closes(schedule, settings), settings.start))

    def within(self, day: date | None) -> date:
        """The day of something that the books take in: no earlier than their first, no later than their last."""
        return self.first if day is None else min(max(day, self.first), self.last)


def all_entries(
    orders: pl.DataFrame,
    opening_balances: pl.DataFrame,
    schedule: pl.DataFrame,
    overhead: pl.DataFrame,
    purchases: pl.DataFrame,
    costs_put_in: pl.DataFrame,
    finished_goods: pl.DataFrame,
    stock_differences: pl.DataFrame,
    sales: pl.DataFrame,
    packing: set[str],
    settings: Settings,
) -> list[Entry]:
    """Every entry, by date, those first that anything goes through. ``packing`` are the materials that are packing."""
    days = Days.of(schedule, settings)
    if cut_short(schedule, settings):
        purchases = purchases.filter(pl.col("needed_by").is_null() | (pl.col("needed_by") <= days.last))
    entries = [
        *differences(stock_differences, opening_balances, days.first),
        *deposits_received(orders, opening_balances, days.first),
        *purchases_made(purchases, packing, days),
        *put_in(costs_put_in, packing, days.last),
        *not_absorbed(overhead, costs_put_in, days, settings),
        *goods(finished_goods, days.last),
        *deliveries(sales, days),
    ]
    return sorted(entries, key=lambda entry: (not entry.moves, entry.day))


def entry(day: date, for_what: str, *moves: tuple[str, Decimal]) -> Entry:
    """The entry of moves, debits above nought and credits below."""
    sides: dict[str, Decimal] = defaultdict(Decimal)
    for what, money in moves:
        sides[what] += money
    return Entry(day, for_what, sides)


def moved(day: date, for_what: str, money: Decimal, *, into: str, out_of: str) -> Entry:
    """The entry of money that goes out of one account into another; the other way round if it is below nought."""
    return entry(day, for_what, (into, money), (out_of, -money))


def differences(stock_differences: pl.DataFrame, opening_balances: pl.DataFrame, first: date) -> Iterator[Entry]:
    """What is there more or less than the last books closed with, one entry an account; none without those."""
    if opening_balances.is_empty():
        return
    found = sums(stock_differences, "what", "difference")
    for what in to.BALANCES:
        money = found.get(what, NOTHING)
        if what == to.DEPOSITS:  # a debt: less of it is a debit
            yield moved(first, "deposits no longer held", -money, into=what, out_of=to.DIFFERENCES)
        else:
            yield moved(first, f"stock differences in {what}", money, into=what, out_of=to.DIFFERENCES)


def deposits_received(orders: pl.DataFrame, opening_balances: pl.DataFrame, first: date) -> Iterator[Entry]:
    """Deposits that came in since the last books closed, one entry an order; none where those are not given."""
    if opening_balances.is_empty():
        return
    before = sums(opening_balances.filter(pl.col("what") == to.DEPOSITS), "order", "value")
    for order, money in sums(orders, "order", "deposit").items():
        more = max(money - before.get(order, NOTHING), NOTHING)
        yield moved(first, f"deposit received, order {order}", more, into=to.BANK, out_of=to.DEPOSITS)


def purchases_made(purchases: pl.DataFrame, packing: set[str], days: Days) -> Iterator[Entry]:
    """What is bought, one entry a supplier and day on which it comes in; what has no price moves nothing."""
    moves: dict[tuple[date, str], list[tuple[str, Decimal]]] = defaultdict(list)
    columns = purchases.select("needed_by", "supplier", "description", _noughts("net", "tax", "gross"))
    for needed_by, supplier, material, net, tax, gross in columns.iter_rows():
        at = (days.within(needed_by), supplier or "no named supplier")
        moves[at] += [(stock_account(material, packing), net), (to.INPUT_TAX, tax), (to.SUPPLIERS, -gross)]
    for (day, supplier), sides in moves.items():
        yield entry(day, f"purchases from {supplier}", *sides)


def put_in(costs_put_in: pl.DataFrame, packing: set[str], last: date) -> Iterator[Entry]:
    """What is put into the pieces, one entry a kind of cost."""
    of_stock = costs_put_in.filter(pl.col("what") == MATERIALS)
    moves = [(stock_account(item or "", packing), -cost) for item, cost in sums(of_stock, "item", "cost").items()]
    used = -sum((cost for _, cost in moves), NOTHING)
    yield entry(last, "materials used", (to.PART_MADE, used), *moves)
    spent = sums(costs_put_in, "what", "cost")
    for kind, for_what, account in (
        (OTHER, "other costs of pieces", to.OTHER_COSTS),
        (PAID, "paid labour", to.WAGES),
        (FIRING, "firing", to.FIRING),
        (OVERHEAD, "works overhead absorbed", to.OVERHEAD),
    ):
        if kind in spent:
            yield moved(last, for_what, spent[kind], into=to.PART_MADE, out_of=account)


def not_absorbed(overhead: pl.DataFrame, costs_put_in: pl.DataFrame, days: Days, settings: Settings) -> Iterator[Entry]:
    """The overhead of the books' days beyond what the pieces bear; none if they bear none. Nought where it is not
    known."""
    if settings.stock_overhead != IN:
        return
    cost = overhead["overhead"][0] if overhead.height else None
    if cost is not None and settings.books_to is not None:
        spanned = months_between(days.first, days.last)
        cost = amount(spanned * Fraction(settings.overhead_per_month or 0), settings.minor_digits)
    absorbed = sums(costs_put_in, "what", "cost").get(OVERHEAD, NOTHING)
    money = NOTHING if cost is None else cost - absorbed
    yield moved(days.last, "works overhead not absorbed", money, into=to.UNABSORBED, out_of=to.OVERHEAD)


def goods(finished_goods: pl.DataFrame, last: date) -> Iterator[Entry]:
    """What is lost beyond the normal, made and sold."""
    money = finished_goods.select(pl.col("abnormal_loss", "made_value", "sold_value").sum())
    lost, made, sold = (total or NOTHING for total in money.row(0))
    yield moved(last, "abnormal loss", lost, into=to.ABNORMAL_LOSS, out_of=to.PART_MADE)
    yield moved(last, "goods made", made, into=to.FINISHED, out_of=to.PART_MADE)
    yield moved(last, "cost of goods sold", sold, into=to.COST_OF_SALES, out_of=to.FINISHED)


def deliveries(sales: pl.DataFrame, days: Days) -> Iterator[Entry]:
    """What is sold, one entry an order and day of delivery, and the deposit that then pays off a part of it. A line
    without a price is not sold: it moves nothing."""
    sold: dict[tuple[date, str], list[tuple[str, Decimal]]] = defaultdict(list)
    paid: dict[tuple[date, str], Decimal] = defaultdict(Decimal)
    paid_off = pl.when(~unsold(days.last)).then("deposit_held").otherwise(NOTHING).alias("paid_off")
    delivered = sales.filter(pl.col("ready") <= days.last).select(
        "ready", "order", "customer", _noughts("net", "tax", "gross"), paid_off
    )
    for ready, order, customer, net, tax, gross, deposit in delivered.iter_rows():
        at = (days.within(ready), f"order {order}" if customer is None else f"order {order}, {customer}")
        paid[at] += deposit
        sold[at] += [(to.CUSTOMERS, gross), (to.SALES, -net), (to.OUTPUT_TAX, -tax)]
    for (day, order), deposit in paid.items():
        yield entry(day, f"sale: {order}", *sold[day, order])
        yield moved(day, f"deposit paid off: {order}", deposit, into=to.DEPOSITS, out_of=to.CUSTOMERS)


def _noughts(*names: str) -> pl.Expr:
    """Columns of money; what is not known is nought."""
    return pl.col(names).fill_null(NOTHING)


def sums(frame: pl.DataFrame, by: str, money: str) -> dict[str, Decimal]:
    """The money of a sheet by a column, in the order in which it comes there; what is not known counts as nought."""
    return dict(frame.group_by(by, maintain_order=True).agg(pl.col(money).sum()).iter_rows())
