"""Finished goods, from the cost put in to what is sold and left."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction
from typing import Any

import polars as pl

from pipeline.books.content import contents
from pipeline.books.flow import Flow, Goods, flows
from pipeline.books.opening import FinishedKey, finished_carried, finished_takes
from pipeline.books.period import closes, unsold
from pipeline.job import Job
from pipeline.lines import LINE
from schemas.sheet import shaped, types
from schemas.sheets_out.costs_put_in import FIRING, MATERIALS, OTHER, OVERHEAD, PAID
from schemas.sheets_out.finished_goods import SECONDS, FinishedGoods
from schemas.sheets_out.part_made import CLOSING, LOST, OPENING

NOTHING = Decimal(0)

PUT_IN = {"materials": (MATERIALS, OTHER), "paid_labour": (PAID,), "firing": (FIRING,), "overhead": (OVERHEAD,)}
"""The columns of what is put in, and the kinds of cost in each."""


def finished_goods(
    job: Job,
    pieces: pl.DataFrame,
    schedule: pl.DataFrame,
    job_costs: pl.DataFrame,
    piece_costs: pl.DataFrame,
    costs_put_in: pl.DataFrame,
    part_made: pl.DataFrame,
    sales: pl.DataFrame,
) -> pl.DataFrame:
    """Each order line from what was part-made and put in to what is finished, sold and left; then the seconds, and
    goods that were finished before.

    Made = opening part-made + put in - what seconds fetch - abnormal loss - closing part-made, so that no cost gets
    lost. A line is sold, all of it, on the day when it is ready, as ``sales`` has it, and takes all its cost with it:
    good pieces beyond those wanted stay at no value, until somebody buys them. A line without a price is made for
    stock, and stays there. Seconds are stock at what they fetch
    (IAS 2, Inventories, paragraph 14), or at nought while nobody knows that; what seconds beyond the normal ones fetch
    comes off the abnormal loss.

    105.00 part-made before, 240.00 put in and 45.00 part-made after: 300.00 made.
    """
    digits, last = job.settings.minor_digits, closes(schedule, job.settings)
    moved = flows(job, pieces, schedule, job_costs)
    carried = finished_carried(job.opening_balances)
    takes = finished_takes(moved, contents(piece_costs, job.settings), carried, digits)
    sums = _sums(costs_put_in, part_made)
    sold = {
        tuple(line): quantity
        for *line, quantity in sales.filter(~unsold(last), pl.col("ready").is_not_null())
        .select(*LINE, "quantity")
        .iter_rows()
    }
    opened: dict[FinishedKey, tuple[Fraction, Decimal]] = {}
    for take in takes:
        pieces_there, worth = opened.get(take.goods, (Fraction(0), NOTHING))
        opened[take.goods] = pieces_there + take.last - take.first, worth + (take.value or NOTHING)
    rows: dict[FinishedKey, dict[str, Any]] = {}
    seconds: dict[str, list[Any]] = defaultdict(lambda: [NOTHING, 0])
    for line, flow in moved.items():
        _, worth = opened.pop((*line, None), (Fraction(0), NOTHING))
        rows[*line, None] = _row(flow, sums[line], worth, sold.get(line))
        if flow.seconds or any(flow.more_seconds):
            seconds[line[1]][0] += flow.seconds_value + flow.more_seconds_value
            seconds[line[1]][1] += flow.seconds + sum(flow.more_seconds)
    for form, (value, count) in seconds.items():
        rows[None, form, None, SECONDS] = {"made_value": value, "made": max(float(round(count, 2)), 0.0)}
    for goods, (count, worth) in opened.items():
        rows.setdefault(goods, {}).update(opening=float(count), opening_value=worth)
    number = dict.fromkeys(("opening", "made", "sold"), 0.0)
    money = dict.fromkeys(types(FinishedGoods), NOTHING)
    full: list[dict[str, Any]] = []
    for key, row in rows.items():
        cells: dict[str, Any] = money | number | dict(zip((*LINE, "lot"), key, strict=True)) | row
        cells["closing"] = cells["opening"] + cells["made"] - cells["sold"]
        cells["closing_value"] = cells["opening_value"] + cells["made_value"] - cells["sold_value"]
        full.append(cells)
    return shaped(FinishedGoods, pl.DataFrame(full, schema=types(FinishedGoods)))


def _sums(costs_put_in: pl.DataFrame, part_made: pl.DataFrame) -> dict[Goods, dict[str, Decimal]]:
    """By line what was put in, by kind, and what was part-made and lost; what is not known is nought, and told."""
    found: dict[Goods, dict[str, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    column = {what: name for name, kinds in PUT_IN.items() for what in kinds}
    column |= {OPENING: "opening_part_made", CLOSING: "closing_part_made", LOST: "abnormal_loss"}
    put_in = costs_put_in.group_by(*LINE, "what").agg(pl.col("cost").sum())
    stood = part_made.group_by(*LINE, "at").agg(pl.col("value").sum())
    for order, form, glaze, what, cost in (*put_in.iter_rows(), *stood.iter_rows()):
        found[order, form, glaze][column[what]] += cost
    return found


def _row(flow: Flow, sums: dict[str, Decimal], opening_value: Decimal, sold: int | None) -> dict[str, Any]:
    lost = sums["abnormal_loss"] - flow.more_seconds_value
    seconds = flow.seconds_value + flow.more_seconds_value
    made = sums["opening_part_made"] + sum((sums[name] for name in PUT_IN), NOTHING)
    made -= seconds + lost + sums["closing_part_made"]
    cells: dict[str, Any] = {
        **sums,
        "abnormal_loss": lost,
        "seconds_value": seconds,
        "made_value": made,
        "opening_value": opening_value,
        "opening": float(flow.finished),
        "made": float(max(flow.made, 0)),
    }
    if sold is not None:
        cells["sold"] = min(float(sold), cells["opening"] + cells["made"])
        cells["sold_value"] = opening_value + made
    return cells
