"""What is put into the lines while the books last."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.alike import once_each
from pipeline.books.period import closes, cut_short, progress
from pipeline.books.stock_then import Bought, bought_by
from pipeline.clay import MG
from pipeline.coins import MONEY
from pipeline.job import Job
from pipeline.lines import LINE, MILLION, with_number
from pipeline.routes import routes
from pipeline.steps.labour import labour as labour_of
from pipeline.steps.materials_cost import valued, with_bare
from pipeline.steps.overhead import line_overhead
from pipeline.stock import clay_lots, material_lots
from pipeline.taken_at import EACH_PIECE, stage_taken
from schemas.settings import IN
from schemas.sheet import shaped
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
    hours = with_number(orders.select(*LINE), "hours", worked, "hours").filter(pl.col("hours") != 0)
    cost = pl.lit(None, MONEY) if rate is None else line_overhead("hours", rate, digits)
    return hours.select(
        *LINE, what=pl.lit(OVERHEAD), quantity=(pl.col("hours") / MILLION).round(4), unit=pl.lit("h"), cost=cost
    )


def _taken_by_then(
    job: Job, far: pl.DataFrame, materials_cost: pl.DataFrame, lists: Bought, glaze_batches: pl.DataFrame, last: date
) -> pl.DataFrame:
    """``materials_cost`` of what is taken by the evening of ``last``, of the lots that are there by then."""
    stage_of = stage_taken(job.clay_stock, job.form_materials, routes(job.forms, job.stages, job.form_minutes))
    whole = materials_cost.group_by(*LINE, "material", maintain_order=True).agg(pl.col("quantity").sum())
    begun = far.filter(pl.col("worked") > 0, pl.col("to_do") > 0).select(*LINE, "stage", "worked", "to_do")
    units = pl.when(pl.col("material") == EACH_PIECE).then(1).otherwise(MG)
    taken = whole.with_columns(stage=once_each(whole.select("form", "material"), stage_of, pl.String)).join(
        begun, on=[*LINE, "stage"], nulls_equal=True, validate="m:1", maintain_order="left"
    )
    asked = taken.select(
        *LINE, "material", mg=once_each(taken.select("quantity", "worked", "to_do", units), _part, pl.Int64)
    )
    clays = lists.clay_to_buy["clay"]
    of_clay, packs = pl.col("material").is_in(clays.implode()), pl.col("material") == EACH_PIECE
    clay, others = asked.filter(of_clay), asked.filter(~of_clay, ~packs)
    used = dict.fromkeys(clays, 0) | dict(clay.group_by("material").agg(pl.col("mg").sum()).iter_rows())
    there = bought_by(lists, used, last)
    kinds = (
        (clay, clay_lots(job.clay_stock, there.clay_to_buy, there.packs_to_buy)),
        (others, with_bare(material_lots(job.materials, there.materials_to_buy, glaze_batches), others)),
    )
    packed = asked.filter(packs).select(*LINE, packs="mg")
    return valued(job.orders, job.forms, kinds, packed, job.settings)


def _part(quantity: float, worked: int, to_do: int, units: int) -> int:
    """What the pieces worked take of what all of them do, in so many units of it."""
    return round(Fraction(str(quantity)) * worked * units / to_do)
