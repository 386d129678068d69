"""The entries of the journal: what happens, on which day, and which accounts it moves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import NamedTuple

import polars as pl

from pipeline.accounts import stock_account
from pipeline.books.period import unsold
from schemas import accounts as to
from schemas.sheets_out.costs_put_in import FIRING, MATERIALS, OTHER, OVERHEAD, PAID

NOTHING = Decimal(0)

Sides = Mapping[str, Decimal]
"""By account what it is debited, below nought what it is credited; together they are nought."""


class Entry(NamedTuple):
    """An entry; ``sides`` hold no account that does not move."""

    day: date
    for_what: str
    sides: Sides


class Days(NamedTuple):
    """The first and the last day of the books."""

    first: date
    last: date

    def within(self, day: date | None) -> date:
        """The day of something that the books take in: no earlier than their first, no later than their last."""
        return self.first if day is None else min(max(day, self.first), self.last)


def entry(day: date, for_what: str, *moves: tuple[str, Decimal]) -> Iterator[Entry]:
    """The entry of moves, debits above nought and credits below; none if nothing moves."""
    sides: dict[str, Decimal] = defaultdict(Decimal)
    for what, money in moves:
        sides[what] += money
    if moved := {what: money for what, money in sides.items() if money}:
        yield Entry(day, for_what, moved)


def moved(day: date, for_what: str, money: Decimal, *, into: str, out_of: str) -> Iterator[Entry]:
    """The entry of money that goes out of one account into another; the other way round if it is below nought."""
    return entry(day, for_what, (into, money), (out_of, -money))


def differences(stock_differences: pl.DataFrame, first: date) -> Iterator[Entry]:
    """What is there more or less than the last books closed with, one entry an account."""
    for what, money in sums(stock_differences, "what", "difference").items():
        if what == to.DEPOSITS:  # a debt: less of it is a debit
            yield from moved(first, "deposits no longer held", -money, into=what, out_of=to.DIFFERENCES)
        else:
            yield from moved(first, f"stock differences in {what}", money, into=what, out_of=to.DIFFERENCES)


def deposits_received(orders: pl.DataFrame, opening_balances: pl.DataFrame, first: date) -> Iterator[Entry]:
    """Deposits that came in since the last books closed, one entry an order; none where those are not given."""
    if opening_balances.is_empty():
        return
    before = sums(opening_balances.filter(pl.col("what") == to.DEPOSITS), "order", "value")
    for order, money in sums(orders, "order", "deposit").items():
        more = max(money - before.get(order, NOTHING), NOTHING)
        yield from moved(first, f"deposit received, order {order}", more, into=to.BANK, out_of=to.DEPOSITS)


def purchases_made(purchases: pl.DataFrame, packing: set[str], days: Days) -> Iterator[Entry]:
    """What is bought, one entry a supplier and day on which it comes in; what has no price is not posted."""
    moves: dict[tuple[date, str], list[tuple[str, Decimal]]] = defaultdict(list)
    priced = purchases.drop_nulls("net").select("needed_by", "supplier", "description", "net", "tax", "gross")
    for needed_by, supplier, material, net, tax, gross in priced.iter_rows():
        at = (days.within(needed_by), supplier or "no named supplier")
        moves[at] += [(stock_account(material, packing), net), (to.INPUT_TAX, tax), (to.SUPPLIERS, -gross)]
    for (day, supplier), sides in moves.items():
        yield from entry(day, f"purchases from {supplier}", *sides)


def put_in(costs_put_in: pl.DataFrame, packing: set[str], last: date) -> Iterator[Entry]:
    """What is put into the pieces, one entry a kind of cost."""
    of_stock = costs_put_in.filter(pl.col("what") == MATERIALS)
    moves = [(stock_account(item or "", packing), -cost) for item, cost in sums(of_stock, "item", "cost").items()]
    used = -sum((cost for _, cost in moves), NOTHING)
    yield from entry(last, "materials used", (to.PART_MADE, used), *moves)
    spent = sums(costs_put_in, "what", "cost")
    for kind, for_what, account in (
        (OTHER, "other costs of pieces", to.OTHER_COSTS),
        (PAID, "paid labour", to.WAGES),
        (FIRING, "firing", to.FIRING),
        (OVERHEAD, "works overhead absorbed", to.OVERHEAD),
    ):
        yield from moved(last, for_what, spent.get(kind, NOTHING), into=to.PART_MADE, out_of=account)


def goods(finished_goods: pl.DataFrame, last: date) -> Iterator[Entry]:
    """What is lost beyond the normal, made and sold."""
    money = finished_goods.select(pl.col("abnormal_loss", "made_value", "sold_value").sum())
    lost, made, sold = (total or NOTHING for total in money.row(0))
    yield from moved(last, "abnormal loss", lost, into=to.ABNORMAL_LOSS, out_of=to.PART_MADE)
    yield from moved(last, "goods made", made, into=to.FINISHED, out_of=to.PART_MADE)
    yield from moved(last, "cost of goods sold", sold, into=to.COST_OF_SALES, out_of=to.FINISHED)


def deliveries(sales: pl.DataFrame, days: Days) -> Iterator[Entry]:
    """What is sold, one entry an order and day of delivery, and the deposit that then pays off a part of it."""
    sold: dict[tuple[date, str], list[tuple[str, Decimal]]] = defaultdict(list)
    paid: dict[tuple[date, str], Decimal] = defaultdict(Decimal)
    delivered = sales.filter(pl.col("ready").is_not_null(), ~unsold(days.last))
    names = ("ready", "order", "customer", "net", "tax", "gross", "deposit_held")
    for ready, order, customer, net, tax, gross, deposit in delivered.select(names).iter_rows():
        at = (days.within(ready), f"order {order}" if customer is None else f"order {order}, {customer}")
        paid[at] += deposit
        sold[at] += [(to.CUSTOMERS, gross), (to.SALES, -net), (to.OUTPUT_TAX, -tax)]
    for (day, order), deposit in paid.items():
        yield from entry(day, f"sale: {order}", *sold[day, order])
        yield from moved(day, f"deposit paid off: {order}", deposit, into=to.DEPOSITS, out_of=to.CUSTOMERS)


def sums(frame: pl.DataFrame, by: str, money: str) -> dict[str, Decimal]:
    """The money of a sheet by a column, in the order in which it comes there; what is not known counts as nought."""
    found: dict[str, Decimal] = defaultdict(Decimal)
    for name, some in frame.select(by, money).iter_rows():
        found[name] += some or NOTHING
    return found
