"""Finished goods, from the cost put in to what is sold and left."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal
from fractions import Fraction
from typing import Any

import polars as pl

from pipeline.books.content import contents
from pipeline.books.flow import flows
from pipeline.books.opening import FinishedKey, finished_carried, finished_takes
from pipeline.books.period import closes, unsold
from pipeline.job import Job
from pipeline.lines import LINE, with_line
from schemas.sheet import shaped, types
from schemas.sheets_out.costs_put_in import FIRING, MATERIALS, OTHER, OVERHEAD, PAID
from schemas.sheets_out.finished_goods import SECONDS, FinishedGoods
from schemas.sheets_out.part_made import CLOSING, LOST, OPENING

NOTHING = Decimal(0)

PUT_IN = {"materials": (MATERIALS, OTHER), "paid_labour": (PAID,), "firing": (FIRING,), "overhead": (OVERHEAD,)}
"""The columns of what is put in, and the kinds of cost in each."""

STOOD = {"opening_part_made": OPENING, "closing_part_made": CLOSING, "abnormal_loss": LOST}
"""The columns of what was part-made and lost, and what it is called in ``part_made``."""


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
    opened: dict[FinishedKey, tuple[Fraction, Decimal]] = {}
    for take in takes:
        pieces_there, worth = opened.get(take.goods, (Fraction(0), NOTHING))
        opened[take.goods] = pieces_there + take.last - take.first, worth + (take.value or NOTHING)
    lines: list[tuple[Any, ...]] = []
    seconds: dict[str, list[Any]] = defaultdict(lambda: [NOTHING, 0])
    for line, flow in moved.items():
        _, worth = opened.pop((*line, None), (Fraction(0), NOTHING))
        made = float(max(flow.made, 0))
        lines.append((*line, float(flow.finished), worth, made, flow.seconds_value, flow.more_seconds_value))
        if flow.seconds or any(flow.more_seconds):
            seconds[line[1]][0] += flow.seconds_value + flow.more_seconds_value
            seconds[line[1]][1] += flow.seconds + sum(flow.more_seconds)
    others: dict[FinishedKey, dict[str, Any]] = {}
    for form, (value, count) in seconds.items():
        others[None, form, None, SECONDS] = {"made_value": value, "made": max(float(round(count, 2)), 0.0)}
    for goods, (count, worth) in opened.items():
        others.setdefault(goods, {}).update(opening=float(count), opening_value=worth)
    kinds = types(FinishedGoods)
    more = [dict(zip((*LINE, "lot"), key, strict=True)) | cells for key, cells in others.items()]
    of_lines = pl.DataFrame(
        lines,
        schema={name: kinds[name] for name in (*LINE, "opening", "opening_value", "made", "seconds_value")}
        | {"more_seconds_value": kinds["seconds_value"]},
        orient="row",
    )
    sold = sales.filter(~unsold(last)).select(*LINE, sold="quantity")
    full = pl.concat(
        [_lines(of_lines, costs_put_in, part_made, sold), pl.DataFrame(more, schema=kinds)], how="diagonal"
    )
    return shaped(
        FinishedGoods,
        full.with_columns(pl.col(name).fill_null(0) for name in kinds if kinds[name] != pl.String).with_columns(
            closing=pl.col("opening") + pl.col("made") - pl.col("sold"),
            closing_value=pl.col("opening_value") + pl.col("made_value") - pl.col("sold_value"),
        ),
    )


def _lines(
    moved: pl.DataFrame, costs_put_in: pl.DataFrame, part_made: pl.DataFrame, sold: pl.DataFrame
) -> pl.DataFrame:
    """The lines with what was put in, part-made, lost, made and sold; what is not known is nought, and told."""
    cost, value = pl.col("cost"), pl.col("value")
    put_in = costs_put_in.group_by(LINE).agg(
        cost.filter(pl.col("what").is_in(kinds)).sum().alias(name) for name, kinds in PUT_IN.items()
    )
    stood = part_made.group_by(LINE).agg(
        value.filter(pl.col("at") == at).sum().alias(name) for name, at in STOOD.items()
    )
    quantity = pl.col("sold").cast(pl.Float64)
    return (
        with_line(with_line(with_line(moved, put_in), stood), sold)
        .with_columns(pl.col(*PUT_IN, *STOOD).fill_null(NOTHING))
        .with_columns(
            pl.col("abnormal_loss") - pl.col("more_seconds_value"),
            pl.col("seconds_value") + pl.col("more_seconds_value"),
        )
        .with_columns(
            made_value=pl.col("opening_part_made")
            + pl.sum_horizontal(*PUT_IN)
            - pl.col("seconds_value")
            - pl.col("abnormal_loss")
            - pl.col("closing_part_made")
        )
        .with_columns(
            sold=pl.when(quantity.is_not_null()).then(pl.min_horizontal(quantity, pl.col("opening") + pl.col("made"))),
            sold_value=pl.when(quantity.is_not_null()).then(pl.col("opening_value") + pl.col("made_value")),
        )
        .drop("more_seconds_value")
    )
