"""What is put into the lines while the books last."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache

import polars as pl

from pipeline.books.period import closes, cut_short, progress
from pipeline.books.stock_then import Bought, bought_by
from pipeline.clay import MG
from pipeline.job import Job
from pipeline.lines import LINE, Line, line_numbers
from pipeline.routes import routes
from pipeline.steps.labour import labour as labour_of
from pipeline.steps.materials_cost import Asked, valued
from pipeline.steps.overhead import line_overheads
from pipeline.stock import Lot, clay_lots, material_lots
from pipeline.taken_at import EACH_PIECE, stage_taken
from schemas.settings import IN
from schemas.sheet import shaped, types
from schemas.sheets_out.costs_put_in import FIRING, MATERIALS, OTHER, OVERHEAD, PAID, CostsPutIn


def costs_put_in(
    job: Job,
    pieces: pl.DataFrame,
    schedule: pl.DataFrame,
    clay_to_buy: pl.DataFrame,
    packs_to_buy: pl.DataFrame,
    materials_to_buy: pl.DataFrame,
    glaze_batches: pl.DataFrame,
    materials_cost: pl.DataFrame,
    labour: pl.DataFrame,
    firing_costs: pl.DataFrame,
    overhead: pl.DataFrame,
) -> pl.DataFrame:
    """Every cost put into a line by the evening on which the books close: materials at the stage where they go in, paid
    work on its day, a firing when its kiln is unloaded and, if ``stock_overhead`` is `in`, overhead on the hours
    worked.

    The owner's own time is no cost in the books. If they take in the whole plan, materials are ``materials_cost``, paid
    work ``labour``, firings ``firing_costs`` and overhead that of ``job_costs``, to the penny. If they close before the
    plan ends, materials are taken anew from the lots that are there by then, in the turn of the lines. Overhead is
    absorbed at the rate of ``overhead``, which rests on normal hours: IAS 2, Inventories, paragraphs 12 and 13.

    Of 60 balls for 24.00 of clay 40 are wedged when the books close: 16.00.
    """
    settings, last = job.settings, closes(schedule, job.settings)
    cut = cut_short(schedule, settings)
    taken = materials_cost
    if cut:
        lists = Bought(clay_to_buy, packs_to_buy, materials_to_buy)
        taken = _taken_by_then(job, progress(pieces, schedule, settings), materials_cost, lists, glaze_batches, last)
        schedule = schedule.filter(pl.col("date") <= last)
        labour = labour_of(schedule, job.labour_hours, job.closed_days, settings=settings)
        firing_costs = firing_costs.filter(pl.col("unload_on") <= last)
    in_lots = {*clay_to_buy["clay"], *materials_to_buy["material"]}
    in_lot = pl.col("material").is_in(list(in_lots))
    parts = [
        taken.select(
            *LINE, "lot", "unit_cost", "quantity", "unit", "cost", item="material",
            what=pl.when(in_lot).then(pl.lit(MATERIALS)).otherwise(pl.lit(OTHER)),
        ),
        labour.filter(~pl.col("own_time"))
        .group_by(*LINE, item="stage", maintain_order=True)
        .agg(
            quantity=(pl.col("minutes").sum() / 60).round(4),
            cost=pl.when(pl.col("paid_labour").is_not_null().any()).then(pl.col("paid_labour").sum()),
        )
        .with_columns(what=pl.lit(PAID), unit=pl.lit("h")),
        firing_costs.select(
            *LINE, "cost", item="load", quantity=pl.col("pieces").cast(pl.Float64), what=pl.lit(FIRING),
            unit=pl.lit("piece"),
        ),
    ]  # fmt: skip
    if settings.stock_overhead == IN and overhead.height:
        parts.append(_absorbed(job.orders, schedule, overhead["rate"][0], settings.minor_digits))
    return shaped(CostsPutIn, pl.concat(parts, how="diagonal_relaxed"))


def _absorbed(orders: pl.DataFrame, schedule: pl.DataFrame, rate: Decimal | None, digits: int) -> pl.DataFrame:
    """The overhead that each line bears for its hours of the schedule, rounded as ``stage_hours`` has them; blank, as a
    material without a price is, if the rate is not known."""
    worked = schedule.group_by(*LINE, "stage").agg(hours=(pl.col("minutes").sum() / 60).round(4))
    hours = {line: number for line, number in line_numbers(worked, "hours").items() if number}
    costs = {} if rate is None else line_overheads(hours, rate, digits)
    rows = [
        (*line, OVERHEAD, float(round(hours[line], 4)), "h", costs.get(line))
        for line in orders.select(*LINE).iter_rows()
        if line in hours
    ]
    names = (*LINE, "what", "quantity", "unit", "cost")
    return pl.DataFrame(rows, schema={name: types(CostsPutIn)[name] for name in names}, orient="row")


def _taken_by_then(
    job: Job, far: pl.DataFrame, materials_cost: pl.DataFrame, lists: Bought, glaze_batches: pl.DataFrame, last: date
) -> pl.DataFrame:
    """``materials_cost`` of what is taken by the evening of ``last``, of the lots that are there by then."""
    begun = far.filter(pl.col("worked") > 0, pl.col("to_do") > 0).select(*LINE, "stage", "worked", "to_do")
    done = {(order, form, glaze, stage): part for order, form, glaze, stage, *part in begun.iter_rows()}

    @cache
    def taken(quantity: float, worked: int, to_do: int, units: int) -> int:
        return round(Fraction(str(quantity)) * worked * units / to_do)

    stage_of = stage_taken(job.clay_stock, job.form_materials, routes(job.forms, job.stages, job.form_minutes))
    clays, packed = set(lists.clay_to_buy["clay"]), dict[Line, int]()
    asked: dict[bool, list[Asked]] = {True: [], False: []}
    used: dict[str, int] = dict.fromkeys(clays, 0)
    whole = materials_cost.group_by(*LINE, "material", maintain_order=True).agg(pl.col("quantity").sum())
    for order, form, glaze, material, quantity in whole.iter_rows():
        line = (order, form, glaze)
        worked, to_do = done.get((*line, stage_of(form, material)), (0, 1))
        if material == EACH_PIECE:
            packed[line] = taken(quantity, worked, to_do, 1)
            continue
        mg = taken(quantity, worked, to_do, MG)
        asked[material in clays].append((line, material, mg))
        if material in clays:
            used[material] += mg
    there = bought_by(lists, used, last)
    others = material_lots(job.materials, there.materials_to_buy, glaze_batches)
    bare = {material: [Lot(None, 0, Fraction(0))] for _, material, _ in asked[False] if material not in others}
    of_clay = clay_lots(job.clay_stock, there.clay_to_buy, there.packs_to_buy)
    return valued(job.orders, job.forms, ((asked[True], of_clay), (asked[False], others | bare)), packed, job.settings)
