"""The tabs of what the books close with, of counting it by hand, and of what was carried over held against it."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.books.method import method
from pipeline.books.period import closes, unsold
from pipeline.job import Job
from pipeline.steps.closing_balances import deposits
from pipeline.steps.stock_differences import compared, compared_rows
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.opening import alike_numbers, balance_heads, sum_alike, sum_of_numbers, with_owed
from pipeline.writing.book.tables import BY_ROW, TYPE_HERE, Table, changed, exact, formula_of, heads, table_tab
from schemas.accounts import DEPOSITS, FINISHED, PACKING, PART_MADE, RAW
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings
from schemas.sheets_out.closing_balances import ClosingBalances
from schemas.sheets_out.part_made import CLOSING
from schemas.sheets_out.stock_count import StockCount
from schemas.sheets_out.stock_differences import StockDifferences
from schemas.units import US_FOR, us_factor

BY_HAND = ("counted", "condition", "place")
"""The columns of the count that are filled in by hand."""

HAND_WIDTH = 18.0
"""Characters of such a column: as wide as a word or two in handwriting."""

COUNTED = frozenset((RAW, PACKING, PART_MADE, FINISHED))
"""The balances that can be counted."""


def closing_tab(
    results: Mapping[str, pl.DataFrame], tables: Mapping[str, Table], settings: Settings
) -> tuple[Tab, Table]:
    """What the books close with; ``tables`` has materials ledger, part-made, finished goods and sales.

    An order not delivered that has paid no deposit has a row at the end: one may be typed.
    """
    grid = Grid("closing balances")
    grid.head(
        "Closing balances",
        "One row is carried over to the next period: save its CSV there as opening_balances.csv. Values are read from "
        f"the ledger, the tabs of goods and the sales. {method(settings)}",
    )
    paid_nothing = deposits(results["sales"], results["schedule"], settings).filter(pl.col("value") == 0)
    balances = pl.concat([results["closing_balances"], paid_nothing])
    frame = with_owed(exact(ClosingBalances, balances, settings))
    places = {
        "materials ledger": _places(results["materials_ledger"], "material", "lot"),
        "part-made": _places(results["part_made"], "at", "stage", "form", "order", "glaze"),
        "finished goods": _places(results["finished_goods"], "lot", "form", "order", "glaze"),
    }
    lines: dict[str, list[int]] = {}
    sold_or_not = results["sales"].select("order", not_sold=unsold(closes(results["schedule"], settings)))
    for line, (order, not_sold) in enumerate(sold_or_not.iter_rows(), 1):
        if not_sold:
            lines.setdefault(order, []).append(line)
    found = [_found_in(row, places, lines, tables) for row in balances.iter_rows(named=True)]
    for name, cells in zip(
        ("quantity", "materials", "value"), zip(*found, strict=True) if found else ((),) * 3, strict=True
    ):
        formulas = [f'IF({cell}="","",{cell})' if cell.startswith("'") else cell for cell in cells]
        frame = frame.with_columns(pl.Series(formula_of(name), formulas, dtype=pl.String))
    head = heads(ClosingBalances, settings, formulas=dict.fromkeys(("quantity", "materials", "value"), BY_ROW))
    head = changed(head, "quantity", kind="quantity")
    return table_tab(grid, [*head, *balance_heads(settings)], frame, settings, frozen=2)


def _found_in(
    row: Mapping[str, object],
    places: Mapping[str, Mapping[tuple[object, ...], int]],
    lines: Mapping[str, list[int]],
    tables: Mapping[str, Table],
) -> tuple[str, str, str]:
    """The cells of a balance's quantity, materials and value on other tabs, or a formula; none of what is blank.

    ``places`` are those of rows, ``lines`` the numbers of each order's lines that are not sold.
    """
    if row["what"] in (RAW, PACKING):
        at = places["materials ledger"][row["item"], row["lot"]]
        ledger = tables["materials ledger"]
        return ledger.cell("closing_kg", at), "", ledger.cell("closing_value", at)
    goods = (row["item"], row["order"], row["glaze"])
    if row["what"] == PART_MADE:
        at = places["part-made"][CLOSING, row["stage"], *goods]
        return tuple(tables["part-made"].cell(name, at) for name in ("pieces", "materials", "value"))  # type: ignore[return-value]  # three names
    if row["what"] == FINISHED:
        at = places["finished goods"][row["lot"], *goods]
        return tables["finished goods"].cell("closing", at), "", tables["finished goods"].cell("closing_value", at)
    return "", "", sum_of_numbers(tables["sales"], "deposit_held", lines[str(row["order"])], "line")


def _places(frame: pl.DataFrame, *columns: str) -> dict[tuple[object, ...], int]:
    """By the cells of these columns the first row of a sheet that has them, counted from 0."""
    places: dict[tuple[object, ...], int] = {}
    for at, cells in enumerate(frame.select(columns).iter_rows()):
        places.setdefault(cells, at)
    return places


def stock_count_tab(
    stock_count: pl.DataFrame, closing_balances: pl.DataFrame, closing: Table, settings: Settings
) -> tuple[Tab, Table]:
    """The count, to be printed and filled in by hand."""
    grid = Grid("stock count")
    grid.head(
        "Stock count",
        "One row is something to count on the evening on which the books close. Print it, and write what is there into "
        f"the framed cells. {method(settings)}",
    )
    head = heads(
        StockCount, settings, formulas=dict.fromkeys(("expected", "unit_cost", "value"), BY_ROW), totals=("value",)
    )
    for name in BY_HAND:
        (column,) = (each for each in head if each.name == name)
        head = changed(head, name, typed=True, heading=f"{column.heading} ({TYPE_HERE})")
        grid.widen([each.name for each in head].index(name), HAND_WIDTH)
    asked = closing_balances.with_row_index("at").filter(pl.col("what").is_in(list(COUNTED)), pl.col("quantity") != 0)[
        "at"
    ]
    frame = exact(StockCount, stock_count, settings)
    each = pl.Series(formula_of("unit_cost"), [_each(unit) for unit in frame["unit"]], dtype=pl.String)
    frame = frame.with_columns(each)
    for name, column_of in (("expected", "quantity"), ("value", "value")):
        cells = [closing.cell(column_of, at) for at in asked]
        formulas = [f'IF({cell}="","",{cell})' for cell in cells]
        frame = frame.with_columns(pl.Series(formula_of(name), formulas, dtype=pl.String))
    return table_tab(grid, head, frame, settings, frozen=2)


def _each(unit: str) -> str:
    """The formula of what one costs; by the pound it is what a kilogram costs, rounded, as the sheet has it."""
    factor = "1" if unit != US_FOR["kg"] else repr(float(us_factor("kg")))
    found = f"ROUND({{value}}/{{expected}}*{factor},{MONEY_DIGITS})/{factor}"
    return f'IF(OR({{value}}="",{{expected}}=0),"",{found})'


def differences_tab(
    job: Job, results: Mapping[str, pl.DataFrame], tables: Mapping[str, Table]
) -> tuple[Tab, Table, pl.DataFrame]:
    """What the last books closed with held against what there is, with what the table holds; ``tables`` has opening
    balances, materials ledger, part-made, finished goods and orders.

    Also what agrees has a row: where a price is typed over, it may differ.
    """
    settings = job.settings
    grid = Grid("stock differences")
    grid.head(
        "Stock differences",
        "One row is something that the last books closed with or that there is now. Difference = value now - value "
        "carried over; the journal books it. Of deposits only those are told that are missing. The CSV has what "
        f"differs. {method(settings)}",
    )
    head = heads(
        StockDifferences,
        settings,
        formulas={"carried_value": BY_ROW, "value": BY_ROW, "difference": "{value}-{carried_value}"},
        totals=("carried_value", "value", "difference"),
    )
    for name in ("carried", "now"):
        head = changed(head, name, kind="quantity")
    sides = (results["materials_ledger"], results["part_made"], results["finished_goods"])
    frame, sources = compared(job, *sides), compared_rows(job, *sides)
    columns = {
        "materials ledger": "opening_value",
        "part-made": "value",
        "finished goods": "opening_value",
        "orders": "deposit",
    }
    opening, groups = tables["opening balances"], alike_numbers(job.opening_balances)
    carried, value = [], []
    for key in frame.select("what", "item", "order", "stage").iter_rows():
        rows = sources.get(key, {})
        carried.append(sum_alike(opening, "value", groups, rows.pop("opening balances", [])))
        now = "+".join(
            sum_of_numbers(tables[tab], columns[tab], numbers, "line" if tab == "orders" else "number")
            for tab, numbers in rows.items()
        )
        value.append(f"MIN({now or 0},{{carried_value}})" if key[0] == DEPOSITS else now or "0")
    shown = exact(StockDifferences, frame, settings).with_columns(
        pl.Series(formula_of("carried_value"), carried, dtype=pl.String),
        pl.Series(formula_of("value"), value, dtype=pl.String),
    )
    return *table_tab(grid, head, shown, settings, frozen=2), frame
