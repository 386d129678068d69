"""The tabs of the order lines: what was ordered, when it is ready, and the pace that its due dates ask for."""

from __future__ import annotations

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.prices import price_formula, typed_price
from pipeline.writing.book.tables import INPUTS, LINE, Head, Table, exact, heads, placed, table_tab, with_line
from schemas.settings import SOLD, Settings
from schemas.sheets_in.orders import Orders
from schemas.sheets_out.pace import Pace
from schemas.sheets_out.promises import Promises

LATE = "LATE"
IN_TIME = "in time"
NO_DATE = "no due date"


def orders_tab(orders: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """The order sheet as it was read: quantities and prices on the other tabs follow this one."""
    grid = Grid("orders")
    grid.head(
        "Orders",
        f"One row is an order line, as the order sheet was read. {INPUTS} Another quantity or date asks for another "
        "plan.",
    )
    head = heads(Orders, settings, totals=("quantity", "deposit"), typed=("unit_price", "deposit"))
    money = f" {settings.currency}".rstrip()
    net = Head(
        "net_price",
        f"without tax{money}",
        "price",
        "The price without the tax that it may hold.",
        price_formula("{unit_price}", SOLD, settings),
    )
    typed = [typed_price(price, SOLD, settings) for price in orders["unit_price"]]
    frame = with_line(orders, orders).with_columns(
        pl.Series("unit_price", typed, dtype=orders.schema["unit_price"]), net_price="unit_price"
    )
    return table_tab(grid, [LINE, *placed(head, net, after="unit_price")], frame, settings, frozen=2, typed=True)


def promises_tab(promises: pl.DataFrame, orders: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """When each line is ready; a late one says so in a word."""
    grid = Grid("promises")
    grid.head(
        "Promises",
        f"One row is an order line. {LATE} in the column `in time?` means ready after the due date; "
        "slack days are days in hand, below 0 if late.",
    )
    late = pl.col("days_late")
    frame = with_line(exact(Promises, promises, settings), orders).with_columns(
        in_time=pl.when(late > 0).then(pl.lit(LATE)).when(late == 0).then(pl.lit(IN_TIME)).otherwise(pl.lit(NO_DATE))
    )
    word = Head(
        "in_time",
        "in time?",
        "text",
        "Whether the line is ready by its due date.",
        f'IF({{days_late}}="","{NO_DATE}",IF({{days_late}}>0,"{LATE}","{IN_TIME}"))',
    )
    head = heads(Promises, settings, formulas={"days_late": 'IF({due}="","",MAX(0,{ready}-{due}))'})
    head = [LINE, *placed(head, word, after="ready")]
    return table_tab(grid, head, frame, settings, frozen=2, paints=[(f'{{in_time}}="{LATE}"', "late")])


def pace_tab(pace: pl.DataFrame, orders: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """The pieces and hours a day that each due date needs."""
    grid = Grid("pace")
    grid.head(
        "Pace",
        "One row is an order line at a stage: the pieces and hours a day that its due date needs, as if it were the "
        "only one. `In the way` says why that cannot be kept.",
    )
    head = heads(
        Pace,
        settings,
        formulas={"pieces_a_day": 'IF({days_left}=0,"",ROUND({pieces}/{days_left},2))'},
    )
    frame = with_line(exact(Pace, pace, settings), orders)
    return table_tab(grid, [LINE, *head], frame, settings, frozen=2, paints=[('{in_the_way}<>""', "late")])
