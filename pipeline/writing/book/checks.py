"""The tab of checks: figures that two tabs must agree on, and the difference."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

import polars as pl

from pipeline.writing.book.cells import Look, Plain, Tab, live
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import Table
from schemas.accounts import FINISHED, PACKING, PART_MADE, RAW
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings


class Part(NamedTuple):
    """A part of a table's total: of the rows that are one of ``what``, and not nought in the column ``there``."""

    table: str
    column: str
    what: tuple[str, ...]
    there: str = ""


Side = Sequence[tuple[str, str] | Part]
"""Totals that are added up: the table, its column; or parts of totals."""

STOCK = (RAW, PACKING, PART_MADE, FINISHED)
"""The closing balances that are goods: deposits are owed."""

CHECKS: tuple[tuple[str, Side, Side], ...] = (
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
        "ledger, bought = purchases, net",
        [("materials ledger", "bought_value")],
        [("purchases", "net")],
    ),
    (
        "ledger, used = materials that are in a lot",
        [("materials ledger", "used_value")],
        [("materials", "of_lots")],
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
        "part-made, value = finished goods, part-made and lost",
        [("part-made", "value")],
        [("finished goods", name) for name in ("opening_part_made", "closing_part_made", "abnormal_loss")],
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
    ("journal, debits = credits", [("journal", "debit")], [("journal", "credit")]),
    ("deposits held = orders, deposit", [("sales", "deposit_held")], [("orders", "deposit")]),
)
"""What must agree, in words and as totals of tabs."""


OF_THE_WHOLE_PLAN = ("ledger, bought = purchases, net", "ledger, used = materials that are in a lot")
"""What agrees only if the books do not close before the plan ends."""


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
    for name, *sides in CHECKS:
        if cut and name in OF_THE_WHOLE_PLAN:
            continue
        at = grid.next_row + 1
        sums = [round(sum(_value(total, tables, results) for total in side), MONEY_DIGITS) for side in sides]
        formulas = ("+".join(_formula(total, tables) for total in side) for side in sides)
        cells = [live(formula, found, figure) for formula, found in zip(formulas, sums, strict=True)]
        difference = round(sums[0] - sums[1], digits)
        failed += difference != 0
        grid.add(Plain(name), *cells, live(f"ROUND(B{at}-C{at},{digits})", difference, figure))
    for column, width in enumerate((52.0, 16.0, 16.0, 14.0)):
        grid.widen(column, width)
    count = f"SUMPRODUCT(--('{grid.name}'!$D${first}:$D${grid.next_row}<>0))"
    return grid.tab(freeze=(first - 1, 1)), count, failed


def _formula(total: tuple[str, str] | Part, tables: Mapping[str, Table]) -> str:
    table = tables[total[0]]
    if not isinstance(total, Part):
        return f"N({table.total(total[1])})"
    place = table.place
    there = f',{place.cells(total.there)},"<>0"' if total.there else ""
    parts = (f'SUMIFS({place.cells(total.column)},{place.cells("what")},"{what}"{there})' for what in total.what)
    return "+".join(parts)


def _value(total: tuple[str, str] | Part, tables: Mapping[str, Table], results: Mapping[str, pl.DataFrame]) -> float:
    """What a total comes to; nought of an empty table."""
    if not isinstance(total, Part):
        return float(tables[total[0]].totals.get(total[1]) or 0)  # type: ignore[arg-type]
    rows = results[total.table.replace(" ", "_")].filter(pl.col("what").is_in(list(total.what)))
    if total.there:
        rows = rows.filter(pl.col(total.there) != 0)
    return float(sum(rows[total.column].drop_nulls(), Decimal(0)))
