"""Clay: what is begun before bought clay has come is made of what is in hand."""

from __future__ import annotations

import polars as pl

from pipeline.buying.offers import offers_by_clay
from pipeline.buying.orders import cheapest_order
from pipeline.clay import line_clay
from pipeline.exact.flow import Flow, Sum
from pipeline.stock import on_hand


def add_clay(flow: Flow, pieces: pl.DataFrame) -> None:
    """Of a clay that has to be bought no more is used before it comes than is in hand, less what is to be kept.

    It is ordered on the plan's first day and there when the last of its packs is. Which lines get what is in hand is
    left to the model. A piece's milligrams, less its trimmings that are used again, are rounded down.
    """
    job, model = flow.studio.shop.job, flow.model
    stock = on_hand(job.clay_stock, item="clay", pack="bag")
    lead = dict(stock.select("clay", "lead_days").iter_rows())
    free = {clay: hand - keep for clay, hand, keep in stock.select("clay", "hand_mg", "keep_mg").iter_rows()}
    at = {line.name: number for number, line in enumerate(flow.studio.lines)}
    wanted = dict.fromkeys(free, 0)
    each: dict[str, list[tuple[int, int]]] = {clay: [] for clay in free}
    for order, form, glaze, clay, begun, mg, again in (
        line_clay(pieces, job.forms, job.clay_blends, job.settings)
        .select("order", "form", "glaze", "part", "begun", "mg", "reclaim_mg")
        .iter_rows()
    ):
        if begun:
            wanted[clay] += mg - again
            each[clay].append((at[order, form, glaze], (mg - again) // begun))
    short = {clay: mg - free[clay] for clay, mg in wanted.items() if mg > max(free[clay], 0)}
    if not job.clay_prices.is_empty():
        comes: dict[str, int] = {}
        for row in cheapest_order(short, offers_by_clay(stock, job.clay_prices)):
            comes[row.clay] = max(comes.get(row.clay, 0), row.price.lead_days)
        lead |= comes
    for clay in short:
        if lead[clay]:
            used: Sum = sum(mg * flow.entered_by(line, 0, lead[clay] - 1) for line, mg in each[clay])
            model.add(used <= max(free[clay], 0))
