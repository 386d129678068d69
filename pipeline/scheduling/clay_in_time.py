"""Clay that has to be bought: what can be begun before it has come."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import polars as pl

from pipeline.buying.offers import offers_by_clay
from pipeline.buying.orders import cheapest_order
from pipeline.clay import line_clay
from pipeline.job import Job
from pipeline.lines import LINE, in_turn
from pipeline.stock import on_hand


def clay_in_time(job: Job, pieces: pl.DataFrame) -> list[tuple[int, int]]:
    """For each line how many pieces the clay in hand is enough for, and the day on which the rest can be begun.

    What has to be bought is taken to be ordered on the plan's first day, and to be there when the last of its packs has
    come. Clay goes to the lines in their turn.
    """
    start = job.settings.start.toordinal()
    stock = on_hand(job.clay_stock, item="clay", pack="bag")
    free = {clay: hand - keep for clay, hand, keep in stock.select("clay", "hand_mg", "keep_mg").iter_rows()}
    taken: dict[tuple[str, str, str | None], list[tuple[str, int, int]]] = {}
    for *line, part, begun, mg, again in (
        line_clay(pieces, job.forms, job.clay_blends, job.settings)
        .select(*LINE, "part", "begun", "mg", "reclaim_mg")
        .iter_rows()
    ):
        taken.setdefault(tuple(line), []).append((part, begun, mg - again))
    lead = _lead_days(job, stock, free, taken.values())
    found = [(0, start)] * job.orders.height
    for line, *key in in_turn(job.orders.with_row_index("line")).select("line", *LINE).iter_rows():
        parts = taken[tuple(key)]
        enough, day = max((begun for _, begun, _ in parts), default=0), start
        for part, begun, mg in parts:
            if mg > max(free[part], 0):
                enough = min(enough, begun * max(free[part], 0) // mg)
                day = max(day, start + lead[part])
            free[part] -= mg
        found[line] = (enough, day)
    return found


def _lead_days(
    job: Job, stock: pl.DataFrame, free: Mapping[str, int], taken: Iterable[Iterable[tuple[str, int, int]]]
) -> dict[str, int]:
    """By clay, the days from ordering until all that is bought of it is there."""
    lead = dict(stock.select("clay", "lead_days").iter_rows())
    if job.clay_prices.is_empty():
        return lead
    short = {clay: -mg for clay, mg in free.items()}
    for part, _, mg in (parts for line in taken for parts in line):
        short[part] += mg
    bought: dict[str, int] = {}
    for row in cheapest_order(short, offers_by_clay(stock, job.clay_prices)):
        bought[row.clay] = max(bought.get(row.clay, 0), row.price.lead_days)
    return lead | bought
