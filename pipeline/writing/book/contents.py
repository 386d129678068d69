"""The tab of contents: every other tab with what it shows, a way into it, and the names of totals."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import zip_longest

from pipeline.writing.book.cells import Cell, Kind, Look, Plain, Print, Tab, live
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import Table

TOTALS: dict[str, tuple[str, str, Kind]] = {
    "clay_cost_total": ("clay to buy", "cost", "amount"),
    "materials_to_buy_total": ("materials to buy", "cost", "amount"),
    "hours_total": ("hours", "worked", "hours"),
    "book_cost_total": ("costs", "book_cost", "amount"),
    "full_cost_total": ("costs", "full_cost", "amount"),
    "sales_total": ("costs", "sales", "amount"),
    "purchases_net_total": ("purchases", "net", "amount"),
    "purchases_tax_total": ("purchases", "tax", "amount"),
    "purchases_gross_total": ("purchases", "gross", "amount"),
    "sales_net_total": ("sales", "net", "amount"),
    "sales_tax_total": ("sales", "tax", "amount"),
    "sales_gross_total": ("sales", "gross", "amount"),
    "closing_part_made_total": ("finished goods", "closing_part_made", "amount"),
    "closing_finished_total": ("finished goods", "closing_value", "amount"),
    "closing_stock_total": ("closing balances", "of_stock", "amount"),
    "closing_deposits_total": ("closing balances", "owed", "amount"),
    "cost_of_goods_sold_total": ("cost of goods", "amount", "amount"),
    "journal_debit_total": ("journal", "debit", "amount"),
    "journal_credit_total": ("journal", "credit", "amount"),
}
"""Names for totals that people look for, so that they can be jumped to and used in formulas of one's own: the table,
the column and what it holds."""

LONGEST = 72
"""Characters of what is said of a tab, so that the contents fit on a page."""

SAID = {
    "day by day": "What is done on each day, one row a stage or kiln load",
    "load sheets": "A page for each kiln load, to hang beside the kiln",
    "charts": "Hours, space and kiln loads",
    "stock differences": "What the last books closed with, held against what there is now",
    "more entries": "Room for entries that come in when something is typed over",
    "purchases": "What to buy of whom and by when: net, tax and gross",
    "costs put in": "What each order line has cost while the books last",
    "equivalent units": "How cost is spread over part-made, lost and finished pieces",
    "shares": "Amounts that several rows share, to the coin",
}
"""What is said of tabs that do not begin with it, or at length."""

LEFT = ("to do", "money")
"""The groups on the left; the others and the names stand beside them."""

WIDTHS = (20.0, 60.0, 3.0, 26.0, 60.0, 13.0)

HEADING = Look("text", "heading")

Row = tuple[Cell | None, ...]


def contents_tab(groups: Mapping[str, Sequence[Tab]], tables: Mapping[str, Table]) -> Tab:
    """Each group's tabs in their order, then the names of totals with what they come to."""
    grid = Grid("contents")
    grid.head(
        "Contents",
        "One row is a tab. Click its name to go there (in some programs with the Ctrl key held down). Totals have "
        "names, to jump to and to use in formulas of your own.",
    )
    left = [row for group in groups if group in LEFT for row in _group(group, groups[group])]
    right = [row for group in groups if group not in LEFT for row in _group(group, groups[group])]
    right += _names(tables)
    for one, other in zip_longest(left, right, fillvalue=(None, None)):
        grid.add(*one, None, *other)
    for at, width in enumerate(WIDTHS):
        grid.widen(at, width)
    return grid.tab(printed=Print(pages_down=1))


def _group(group: str, tabs: Sequence[Tab]) -> list[Row]:
    """The rows of a group: its heading, and the tabs with a way into each."""
    rows: list[Row] = [(Plain(group, HEADING), Plain("what it shows", HEADING))]
    for tab in tabs:
        link = f'HYPERLINK("#\'{tab.name}\'!A1","{tab.name}")'
        rows.append((live(link, tab.name, Look()), Plain(SAID.get(tab.name) or _shows(tab))))
    return rows


def _names(tables: Mapping[str, Table]) -> list[Row]:
    """The names of totals, where these stand, and what they come to."""
    heads = (Plain("names of totals", HEADING), Plain("where they stand", HEADING))
    rows: list[Row] = [(*heads, Plain("total", Look("amount", "heading")))]
    for name, (table, column, kind) in TOTALS.items():
        value = tables[table].totals.get(column, 0)
        place = Plain(f"{table}: {column.replace('_', ' ')}")
        rows.append((Plain(name), place, live(f"N({name})", value, Look(kind))))
    return rows


def _shows(tab: Tab) -> str:
    """What one row of a tab is, its title before that if both fit on a line."""
    title, *notes = _head(tab)
    first = re.split(r"[.;] ", " ".join(notes))[0].rstrip(".")
    while len(first) > LONGEST and re.search("[,:]", first):
        first = re.split(r"[,:](?!.*[,:])", first)[0]
    both = first if title.lower() == tab.name else f"{title}. {first}"
    return next((words for words in (both, first) if len(words) <= LONGEST), title)


def _head(tab: Tab) -> list[str]:
    """The words above the first blank row of a tab, row by row: its title and what is said below it."""
    lines: list[str] = []
    for block in tab.blocks:
        if block.first > len(lines):
            break
        words = (cells.values[0] for cells in block.columns.values())
        lines.append(" ".join(str(word) for word in words if word is not None))
    return lines
