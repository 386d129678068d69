"""Sales, and the deposits held on them."""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from pipeline.lines import LINE
from pipeline.money import at_tax, exact_price
from schemas.settings import SOLD, Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.sales import Sales


def sales(job_costs: pl.DataFrame, orders: pl.DataFrame, promises: pl.DataFrame, *, settings: Settings) -> pl.DataFrame:
    """What each line comes to, with tax, and what is still owed on it.

    A deposit is money held for the customer until the line is delivered; then it pays off a part of the gross. The tax
    comes on top of the net, rounded by line; out of prices that hold it, it is what the gross has beyond the net.

    60 tumblers at 16.00 are 960.00 net; with 20 % of tax 1,152.00; less a deposit of 300.00, 852.00 are still owed.
    Where prices hold the tax, 960.00 is the gross, 800.00 the net and 160.00 the tax.
    """
    asked = (
        job_costs.select(*LINE, "customer", "quantity", "unit_price", "sales")
        .join(orders.select(*LINE, "deposit"), on=LINE, how="left", nulls_equal=True, maintain_order="left")
        .join(promises.select(*LINE, "ready"), on=LINE, how="left", nulls_equal=True, maintain_order="left")
    )
    rows = []
    for order, form, glaze, customer, quantity, price, net, given, ready in asked.iter_rows():
        each = exact_price(price, SOLD, settings)
        tax, gross = at_tax(net, None if each is None else quantity * each, SOLD, settings)
        deposit = given or Decimal(0)
        owed = None if gross is None else gross - deposit
        rows.append((order, customer, form, glaze, ready, quantity, price, net, tax, gross, deposit, owed))
    return shaped(Sales, pl.DataFrame(rows, schema=types(Sales), orient="row"))
