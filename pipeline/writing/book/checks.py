"""The tab of checks: figures that two tabs must agree on, and the difference."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

import polars as pl

from pipeline.writing.book.cells import Look, Plain, Tab, live
from pipeline.writing.book.closed import LOTS_THEN
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.journal import KINDS
from pipeline.writing.book.tables import Table
from schemas.accounts import FINISHED, PACKING, PART_MADE, RAW
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings
from schemas.sheets_out.costs_put_in import MATERIALS
from schemas.sheets_out.part_made import CLOSING, LOST, OPENING


class Part(NamedTuple):
    """A part of a table's total: of the rows that are one of ``what`` in the column ``by``, and not nought in the
    column ``there``."""

    table: str
    column: str
    what: tuple[str, ...]
    there: str = ""
    by: str = "what"


Side = Sequence[tuple[str, str] | Part]
"""Totals that are added up: the table, its column; or parts of totals."""

STOCK = (RAW, PACKING, PART_MADE, FINISHED)
"""The closing balances that are goods: deposits are owed."""

ENTRIES = ("journal", "more entries")
"""The tabs of entries."""

Check = tuple[str, Side, Side]
"""What must agree, in words, and its two sides."""

BOUGHT: Side = [("materials ledger", "bought_value")]

WHOLE: tuple[Check, ...] = (("ledger, bought = purchases, net", BOUGHT, [("purchases", "net")]),)
"""What agrees if the books take in the whole plan."""

CUT: tuple[Check, ...] = (
    (
        "ledger, bought = purchases in the books, net",
        BOUGHT,
        [Part("purchases", "net", ("yes",), by="in_books")],
    ),
    (
        "lots at the close, cost of what is taken = ledger, used",
        [(LOTS_THEN, "cost")],
        [("materials ledger", "used_value")],
    ),
)
"""What agrees if they close before the plan ends."""

CARRIED: tuple[Check, ...] = (
    (
        "opening balances + stock differences = ledger and goods at the opening",
        [("opening balances", "of_stock"), Part("stock differences", "difference", STOCK)],
        [
            ("materials ledger", "opening_value"),
            ("finished goods", "opening_part_made"),
            ("finished goods", "opening_value"),
        ],
    ),
)
"""What agrees if something was carried over."""

CHECKS: tuple[Check, ...] = (
    (
        "purchases, net = packs of clay + materials to buy",
        [("purchases", "net")],
        [("packs to buy", "cost"), ("materials to buy", "cost")],
    ),
    (
        "purchases, gross = net + tax",
        [("purchases", "gross")],
        [("purchases", "net"), ("purchases", "tax")],
    ),
    (
        "ledger, used = costs put in, materials of lots",
        [("materials ledger", "used_value")],
        [Part("costs put in", "cost", (MATERIALS,))],
    ),
    (
        "materials of the lines = costs, materials",
        [("materials", "cost")],
        [("costs", "materials")],
    ),
    ("firings of the lines = costs, firing", [("firing costs", "cost")], [("costs", "firing")]),
    ("labour, paid = costs, paid labour", [("labour", "paid_labour")], [("costs", "paid_labour")]),
    ("labour, own time = costs, own labour", [("labour", "own_labour")], [("costs", "own_labour")]),
    ("sales, net = costs, sales", [("sales", "net")], [("costs", "sales")]),
    ("sales, gross = net + tax", [("sales", "gross")], [("sales", "net"), ("sales", "tax")]),
    ("lots, cost of what is taken = materials that are in a lot", [("lots", "cost")], [("materials", "of_lots")]),
    ("piece costs, materials = materials of the lines", [("piece costs", "materials_spent")], [("materials", "cost")]),
    ("piece costs, firing = firing costs", [("piece costs", "firing_spent")], [("firing costs", "cost")]),
    ("piece costs, paid labour = labour", [("piece costs", "paid_labour_spent")], [("labour", "paid_labour")]),
    ("piece costs, own labour = labour", [("piece costs", "own_labour_spent")], [("labour", "own_labour")]),
    (
        "costs put in = finished goods, put in",
        [("costs put in", "cost")],
        [("finished goods", name) for name in ("materials", "paid_labour", "firing", "overhead")],
    ),
    (
        "finished goods, opening + made = sold + closing",
        [("finished goods", "opening_value"), ("finished goods", "made_value")],
        [("finished goods", "sold_value"), ("finished goods", "closing_value")],
    ),
    (
        "part-made at the opening = finished goods, opening part-made",
        [Part("part-made", "value", (OPENING,), by="at")],
        [("finished goods", "opening_part_made")],
    ),
    (
        "part-made at the close = finished goods, closing part-made",
        [Part("part-made", "value", (CLOSING,), by="at")],
        [("finished goods", "closing_part_made")],
    ),
    (
        "part-made, lost = abnormal loss + what seconds beyond the normal fetch",
        [Part("part-made", "value", (LOST,), by="at")],
        [("finished goods", "abnormal_loss"), ("seconds", "more")],
    ),
    ("seconds, value = finished goods, less seconds", [("seconds", "value")], [("finished goods", "seconds_value")]),
    (
        "equivalent units, where it goes = to account for",
        [("where it goes", "value")],
        [("equivalent units", "whole")],
    ),
    ("cost of goods sold = finished goods, sold", [("cost of goods", "amount")], [("finished goods", "sold_value")]),
    (
        "stock differences, carried over + difference = value now",
        [("stock differences", "carried_value"), ("stock differences", "difference")],
        [("stock differences", "value")],
    ),
    (
        "closing balances, stock = ledger and goods at the close",
        [Part("closing balances", "value", STOCK)],
        [
            ("materials ledger", "closing_value"),
            ("finished goods", "closing_part_made"),
            ("finished goods", "closing_value"),
        ],
    ),
    (
        "stock count, value = closing balances of what is there",
        [("stock count", "value")],
        [Part("closing balances", "value", STOCK, "quantity")],
    ),
    (
        "costs put in = journal, put in",
        [("costs put in", "cost")],
        [Part(tab, "debit", tuple(KINDS), by="for_what") for tab in ENTRIES],
    ),
    (
        "closing balances, deposits = deposits held that are not paid off",
        [("closing balances", "owed")],
        [("sales", "held_on")],
    ),
    (
        "journal and more entries, debits = credits",
        [(tab, "debit") for tab in ENTRIES],
        [(tab, "credit") for tab in ENTRIES],
    ),
    ("deposits held = orders, deposit", [("sales", "deposit_held")], [("orders", "deposit")]),
)
"""What agrees in either case."""


def checks_tab(
    tables: Mapping[str, Table], results: Mapping[str, pl.DataFrame], settings: Settings, *, cut: bool
) -> tuple[Tab, str, int]:
    """Each check with both figures and their difference; a formula that counts those not nought, and its value.

    ``results`` are the sheets behind ``tables``. ``cut``: the books close before the plan ends.
    """
    grid = Grid("checks")
    grid.head(
        "Checks",
        "One row is a figure that two tabs must agree on. Every difference is a formula, and is nought; if one is not, "
        "something has been typed over on one side that the other does not follow.",
    )
    money = Look("amount", "heading")
    what = Plain("what must agree", Look("text", "heading"))
    grid.add(what, Plain("one side", money), Plain("the other", money), Plain("difference", money))
    figure, digits = Look("amount"), settings.minor_digits
    first, failed = grid.next_row + 1, 0
    carried = () if tables["opening balances"].is_empty else CARRIED
    for name, *sides in (*(CUT if cut else WHOLE), *carried, *CHECKS):
        at = grid.next_row + 1
        sums = [round(sum(_value(total, tables, results) for total in side), MONEY_DIGITS) for side in sides]
        formulas = ("+".join(_formula(total, tables) for total in side) for side in sides)
        cells = [live(formula, found, figure) for formula, found in zip(formulas, sums, strict=True)]
        difference = round(sums[0] - sums[1], digits)
        failed += difference != 0
        grid.add(Plain(name), *cells, live(f"ROUND(B{at}-C{at},{digits})", difference, figure))
    for column, width in enumerate((72.0, 16.0, 16.0, 14.0)):
        grid.widen(column, width)
    count = f"SUMPRODUCT(--('{grid.name}'!$D${first}:$D${grid.next_row}<>0))"
    return grid.tab(freeze=(first - 1, 1)), count, failed


def _formula(total: tuple[str, str] | Part, tables: Mapping[str, Table]) -> str:
    table = tables[total[0]]
    if not isinstance(total, Part):
        return f"N({table.total(total[1])})"
    place = table.place
    there = f',{place.cells(total.there)},"<>0"' if total.there else ""
    parts = (f'SUMIFS({place.cells(total.column)},{place.cells(total.by)},"{what}"{there})' for what in total.what)
    return "+".join(parts)


def _value(total: tuple[str, str] | Part, tables: Mapping[str, Table], results: Mapping[str, pl.DataFrame]) -> float:
    """What a total comes to; nought of an empty table."""
    if not isinstance(total, Part):
        return float(tables[total[0]].totals.get(total[1]) or 0)  # type: ignore[arg-type]
    rows = results[total.table.replace(" ", "_").replace("-", "_")].filter(pl.col(total.by).is_in(list(total.what)))
    if total.there:
        rows = rows.filter(pl.col(total.there) != 0)
    return float(sum(rows[total.column].drop_nulls(), Decimal(0)))
