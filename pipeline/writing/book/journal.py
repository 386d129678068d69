"""The tab of the journal: each amount read from the tab that it comes from, and every entry in balance."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

import polars as pl

from pipeline.books.entries import Days, Entry
from pipeline.books.method import method
from pipeline.job import Job
from pipeline.steps.journal import sides_of
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.opening import alike_numbers, sum_alike, sum_of_numbers
from pipeline.writing.book.tables import BY_ROW, LONG_WORDS, Head, Table, changed, exact, formula_of, heads, table_tab
from schemas import accounts as to
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings
from schemas.sheets_out.costs_put_in import FIRING, OTHER, OVERHEAD, PAID
from schemas.sheets_out.journal import Journal

ENTRY = Head("entry", "entry no.", "plain", "The number of the journal's entry that has the row.")
PAID_OFF = Head("paid_off", "deposit's entry", "plain", "The number of the journal's entry that pays off the deposit.")

KINDS = {
    "materials used": "",
    "other costs of pieces": OTHER,
    "paid labour": PAID,
    "firing": FIRING,
    "works overhead absorbed": OVERHEAD,
}
"""The entries of what is put in, and the kind of cost of each; that of materials goes by account."""

GOODS = {"abnormal loss": "abnormal_loss", "goods made": "made_value", "cost of goods sold": "sold_value"}
"""The entries of goods, and the column of finished goods that each adds up."""

Entries = Mapping[tuple[date, str], int]
"""By day and what it is for the number of an entry."""


def numbered(entries: Sequence[Entry]) -> Entries:
    """The numbers that the journal gives entries, and of those that nothing goes through the next ones."""
    return {(entry.day, entry.for_what): number for number, entry in enumerate(entries, 1)}


def purchase_entries(purchases: pl.DataFrame, entries: Entries, days: Days) -> pl.Series:
    """The entry of each purchase; none of what the books do not take in."""
    found = [
        entries.get((days.within(needed_by), f"purchases from {supplier or 'no named supplier'}"))
        if needed_by is None or needed_by <= days.last
        else None
        for needed_by, supplier in purchases.select("needed_by", "supplier").iter_rows()
    ]
    return pl.Series("entry", found, dtype=pl.Int64)


def sale_entries(sales: pl.DataFrame, entries: Entries, days: Days) -> list[pl.Series]:
    """The entry of each line that is delivered, and that of its deposit."""
    sold: list[int | None] = []
    paid: list[int | None] = []
    for ready, order, customer in sales.select("ready", "order", "customer").iter_rows():
        words = f"order {order}" if customer is None else f"order {order}, {customer}"
        delivered = ready is not None and ready <= days.last
        at = days.within(ready)
        sold.append(entries.get((at, f"sale: {words}")) if delivered else None)
        paid.append(entries.get((at, f"deposit paid off: {words}")) if delivered else None)
    return [pl.Series("entry", sold, dtype=pl.Int64), pl.Series("paid_off", paid, dtype=pl.Int64)]


def journal_tabs(
    journal: pl.DataFrame, entries: Sequence[Entry], job: Job, tables: Mapping[str, Table], settings: Settings
) -> tuple[tuple[Tab, Table], tuple[Tab, Table, pl.DataFrame]]:
    """The journal, and what it leaves out as nothing goes through it, with what that table holds.

    ``tables`` has purchases, sales, costs put in, finished goods, stock differences, overhead, orders and opening
    balances.
    """
    grid, more_grid = Grid("journal"), Grid("more entries")
    grid.head(
        "Journal",
        "One row is a side of an entry. Amounts are read from the tabs of purchases, sales, costs put in, finished "
        "goods, stock differences, overhead, orders and opening balances. "
        f"Balance = debits - credits of the entry, and is nought. {method(settings)}",
    )
    more_grid.head(
        "More entries",
        "One row is a side of an entry that nothing goes through as planned. An amount comes here when another price, "
        "rate, tax or deposit is typed: then the row belongs to the journal, to the entry of its number.",
    )
    more = sides_of(entries, job.accounts, moved=False)
    halves = ((grid, journal), (more_grid, more))
    balance = _balance([(each.name, each.next_row + 2, frame.height) for each, frame in halves])
    received = _received(job, tables)
    first, second = (_half(each, frame, balance, tables, received, settings) for each, frame in halves)
    return first, (*second, more)


def _balance(halves: Sequence[tuple[str, int, int]]) -> str:
    """The formula of an entry's debits less its credits, on all tabs: their names, first rows and how many rows."""

    def all_of(column: str) -> str:
        ranges = ((f"'{tab}'!$", f"${first}", f"${max(first, first + rows - 1)}") for tab, first, rows in halves)
        return "+".join(
            f"SUMIFS({at}{column}{top}:${column}{end},{at}A{top}:$A{end},{{entry}})" for at, top, end in ranges
        )

    return f"ROUND({all_of('G')}-({all_of('H')}),{MONEY_DIGITS})"


def _half(
    grid: Grid,
    journal: pl.DataFrame,
    balance: str,
    tables: Mapping[str, Table],
    received: Mapping[str, str],
    settings: Settings,
) -> tuple[Tab, Table]:
    """A tab of entries."""
    digits = MONEY_DIGITS  # What was carried over may be finer than the coin.
    debits, credits_ = [], []
    for row in journal.iter_rows(named=True):
        money = next(iter(_money(row["for_what"], row["what"], tables, received)), "")
        debits.append(f'IF(ROUND({money},{digits})>0,ROUND({money},{digits}),"")' if money else "")
        credits_.append(f'IF(ROUND({money},{digits})<0,-ROUND({money},{digits}),"")' if money else "")
    head = heads(Journal, settings, formulas={"debit": BY_ROW, "credit": BY_ROW}, totals=("debit", "credit"))
    head = changed(head, "for_what", widest=LONG_WORDS)
    head.append(Head("balance", "balance", "amount", "Debits less credits of the entry.", balance))
    frame = exact(Journal, journal, settings).with_columns(
        pl.Series(formula_of("debit"), debits, dtype=pl.String),
        pl.Series(formula_of("credit"), credits_, dtype=pl.String),
        balance=pl.lit(0, pl.Decimal(38, 6)),
    )
    return table_tab(grid, head, frame, settings, frozen=1, paints=[("{entry}<>{entry_above}", "new day")])


def _received(job: Job, tables: Mapping[str, Table]) -> dict[str, str]:
    """By the words of their entry the formulas of the deposits that came in since the last books closed."""
    lines: dict[str, list[int]] = {}
    for line, order in enumerate(job.orders["order"], 1):
        lines.setdefault(order, []).append(line)
    before: dict[str | None, list[int]] = {}
    for number, (what, order) in enumerate(job.opening_balances.select("what", "order").iter_rows(), 1):
        if what == to.DEPOSITS:
            before.setdefault(order, []).append(number)
    opening, groups = tables["opening balances"], alike_numbers(job.opening_balances)
    return {
        f"deposit received, order {order}": f"MAX({sum_of_numbers(tables['orders'], 'deposit', own, 'line')}"
        f"-({sum_alike(opening, 'value', groups, before.get(order, []))}),0)"
        for order, own in lines.items()
    }


def _money(words: str, what: str, tables: Mapping[str, Table], received: Mapping[str, str]) -> Iterator[str]:
    """The formula of what an account is debited, below nought if it is credited."""

    def summed(tab: str, column: str, *keys: tuple[str, str]) -> str:
        place = tables[tab].place
        return f"SUMIFS({place.cells(column)},{','.join(f'{place.cells(key)},{value}' for key, value in keys)})"

    def total(tab: str, column: str) -> str:
        return f"N({tables[tab].total(column)})"

    entry = ("entry", "{entry}")
    if words.startswith("purchases from "):
        columns = {to.INPUT_TAX: "tax", to.SUPPLIERS: "gross"}
        found = summed("purchases", columns.get(what, "net"), entry, *_of_account(what, columns))
        yield f"-{found}" if what == to.SUPPLIERS else found
    elif words.startswith("sale: "):
        found = summed("sales", {to.CUSTOMERS: "gross", to.SALES: "net"}.get(what, "tax"), entry)
        yield found if what == to.CUSTOMERS else f"-{found}"
    elif words.startswith("deposit paid off: "):
        found = summed("sales", "deposit_held", ("paid_off", "{entry}"), ("sold", '">0"'))
        yield found if what == to.DEPOSITS else f"-{found}"
    elif words in KINDS:
        kind = f'"{KINDS[words]}"' if KINDS[words] else '"materials"'
        out = () if what == to.PART_MADE or KINDS[words] else (("account", f'"{what}"'),)
        found = summed("costs put in", "cost", ("what", kind), *out)
        yield found if what == to.PART_MADE else f"-{found}"
    elif words in GOODS:
        found = total("finished goods", GOODS[words])
        into = {"abnormal loss": to.ABNORMAL_LOSS, "goods made": to.FINISHED, "cost of goods sold": to.COST_OF_SALES}
        yield found if what == into[words] else f"-{found}"
    elif words in received:
        yield received[words] if what == to.BANK else f"-({received[words]})"
    elif words == "works overhead not absorbed":
        absorbed = summed("costs put in", "cost", ("what", f'"{OVERHEAD}"'))
        spent = tables["overhead"].cell("books_overhead", 0)
        found = f'IF({spent}="",0,{spent}-{absorbed})'
        yield found if what == to.UNABSORBED else f"-{found}"
    elif words == "deposits no longer held":
        found = summed("stock differences", "difference", ("what", f'"{to.DEPOSITS}"'))
        yield f"-{found}" if what == to.DEPOSITS else found
    elif words.startswith("stock differences in "):
        account = words.removeprefix("stock differences in ")
        found = summed("stock differences", "difference", ("what", f'"{account}"'))
        yield found if what == account else f"-{found}"


def _of_account(what: str, columns: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    return () if what in columns else (("stock", f'"{what}"'),)
