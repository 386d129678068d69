"""The tab of the seconds that the books count: those that are expected, and those beyond them."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import polars as pl

from pipeline.books.flow import Flows
from pipeline.books.method import method
from pipeline.job import Job
from pipeline.money import at_price
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.lots import NOISE
from pipeline.writing.book.prices import Prices
from pipeline.writing.book.tables import BY_ROW, LINE, Head, Table, formula_of, table_tab, with_line
from schemas.fields import MONEY_DIGITS
from schemas.sheets_out.finished_goods import SECONDS

NOTHING = Decimal(0)

NORMAL, MORE = "normal", "beyond the normal"
"""Seconds that are expected, whose money comes off the good pieces; those beyond them, by the work log."""


def seconds_tab(
    job: Job, results: Mapping[str, pl.DataFrame], moved: Flows, costs: Table, prices: Prices
) -> tuple[Tab, Table]:
    """What seconds fetch while the books last; ``costs`` has those of the whole plan, ``moved`` how many there are."""
    settings = job.settings
    grid = Grid("seconds")
    grid.head(
        "What seconds fetch",
        "One row is the normal seconds of an order line, or some beyond them that the work log counts. Value of the "
        "normal ones = that on the tab of costs x the part of the work that is done when the books close; of others "
        f"seconds x price. {method(settings)}",
    )
    digits = settings.minor_digits
    numbers = {
        key: at for at, key in enumerate(results["finished_goods"].select("order", "form", "glaze", "lot").rows(), 1)
    }
    price_of = dict(job.forms.select("form", "second_price").iter_rows())
    of_line = costs.place.look_up("seconds_value", "line", "{line}")
    rows: list[tuple[object, ...]] = []
    for line, flow in moved.items():
        goods, stock = numbers.get((*line, None)), numbers.get((None, line[1], None, SECONDS))
        if goods is None or stock is None:
            continue
        price = price_of[line[1]]
        cell = prices.price("second_price", line[1])
        common = (f'IF({cell}="","",{cell})',)
        if flow.seconds:
            value = f"ROUND(ROUND(N({of_line})*{{done}},{NOISE}),{digits})"
            rows.append((*line, NORMAL, float(flow.seconds), float(flow.seconds_done), price, flow.seconds_value,
                         goods, stock, *common, value))  # fmt: skip
        for more in flow.more_seconds:
            if more:
                worth = at_price(more, price, digits) or NOTHING
                value = f"ROUND(ROUND({{seconds}}*N({{price}}),{NOISE}),{digits})"
                rows.append((*line, MORE, float(more), 1.0, price, worth, goods, stock, *common, value))
    money = pl.Decimal(38, MONEY_DIGITS)
    frame = pl.DataFrame(
        rows,
        schema={"order": pl.String, "form": pl.String, "glaze": pl.String, "kind": pl.String, "seconds": pl.Float64,
                "done": pl.Float64, "price": money, "value": money, "goods": pl.Int64, "stock": pl.Int64,
                formula_of("price"): pl.String, formula_of("value"): pl.String},
        orient="row",
    )  # fmt: skip
    currency = f" {settings.currency}".rstrip()
    head = [
        LINE,
        Head("order", "order", "text", "The order."),
        Head("form", "form", "text", "The form."),
        Head("glaze", "glaze", "text", "The glaze."),
        Head("kind", "which", "text", "Whether they are normal or beyond that; below nought fewer than are normal."),
        Head("seconds", "seconds", "quantity", "How many.", "", "SUM"),
        Head("done", "part done", "quantity", "The part of the work that is done when the books close."),
        Head("price", f"price{currency}", "price", "What one fetches, without tax.", BY_ROW),
        Head("value", f"value{currency}", "amount", "What they fetch.", BY_ROW, "SUM"),
        Head(
            "more",
            f"of these beyond{currency}",
            "amount",
            "The value, if they are beyond the normal.",
            f'IF({{kind}}="{MORE}",{{value}},0)',
            "SUM",
        ),
        Head("goods", "goods no.", "plain", "The number of the line on the tab of finished goods."),
        Head("stock", "stock no.", "plain", "The number of the form's seconds on the tab of finished goods."),
    ]
    beyond = pl.when(pl.col("kind") == MORE).then("value").otherwise(pl.lit(0, money)).alias("more")
    return table_tab(grid, head, with_line(frame.with_columns(beyond), job.orders), settings, frozen=2)
