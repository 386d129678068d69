"""How sure each line should be that enough pieces come out, so that spares and shortages cost least."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from math import ceil
from typing import Any

import polars as pl

from pipeline.buying.balance import clay_balance
from pipeline.buying.offers import MICRO, offers_by_clay
from pipeline.buying.orders import cheapest_order
from pipeline.calendar import Calendar, calendar
from pipeline.clay import MG, clay_parts, line_clay
from pipeline.glazing import glazing_stage
from pipeline.job import Job
from pipeline.kiln_counts import kiln_counts
from pipeline.packing.fit import KilnCount
from pipeline.routes import minutes_a_piece, routes
from pipeline.spares import Run, shortfalls
from pipeline.steps.hopeless_losses import hopeless_losses
from pipeline.steps.pieces import pieces
from pipeline.stock import oldest_first, price_of_kg

LARGEST = 300
"""Pieces begun of a line beyond which it is as sure as one of so many: how sure is cheapest hardly changes any more,
and to work it out takes ever longer."""

SUREST = 1 - 1e-7
"""No line is surer than this: floats could not tell."""


def with_covers(job: Job) -> Job:
    """The job with the column ``cover`` in its orders: the probability with which enough good pieces of a line come out
    when as many are begun as cost least in expectation; null where nothing is known of what a piece costs.

    What is in progress counts for its line as ever; of what is still to be begun the line is as sure as this. Where a
    form loses nearly all its pieces it is null for every line: such a job is not planned.
    """
    if not hopeless_losses(job).is_empty():
        return replace(job, orders=job.orders.with_columns(cover=pl.lit(None, pl.Float64)))
    least_extra = dict(job.forms.select("form", "least_extra").iter_rows())

    @cache
    def cover(form: str, run: Run, quantity: int) -> float | None:
        if run.each <= 0:
            return None
        begun = run.pieces(quantity, quantity + least_extra[form])
        return 0.5 if run.chance == 1 else min(1 - sum(shortfalls(begun, quantity, run.chance)), SUREST)

    rows = job.orders.select("form", "quantity").rows()
    covers = [
        cover(form, run, min(quantity, ceil(LARGEST * run.chance)))
        for (form, quantity), run in zip(rows, line_runs(job), strict=True)
    ]
    return replace(job, orders=job.orders.with_columns(cover=pl.Series(covers, dtype=pl.Float64)))


def line_runs(job: Job) -> list[Run]:
    """For each line, in the order of the sheet, what a piece, another run, a spare and a missing piece cost.

    A piece begun costs its clay and, at each stage that it comes to, its minutes at the mean rate of those who do the
    stage (own time counts, overhead does not), its glaze and its room in a kiln, with energy, wear, loading and
    unloading. Another run costs its set-ups. A spare is worth ``spare_value_pct`` of its price, at most what it cost; a
    piece that is never made costs its price.
    """
    forms = _form_costs(job)
    glazes = _glaze_costs(job)
    shared: dict[Any, Run] = {}
    found = []
    for form, glaze, price in job.orders.select("form", "glaze", "unit_price").iter_rows():
        each, again, chance, glazed = forms[form]
        each += glazed * glazes.get(glaze, 0.0)
        missed = None if price is None else float(price)
        spare = min((missed or 0.0) * job.settings.spare_value_pct / 100, each)
        run = Run(chance, each, again, spare, missed)
        found.append(shared.setdefault(run, run))
    return found


def _form_costs(job: Job) -> dict[str, tuple[float, float, float, float]]:
    """By form: a piece begun but for its glaze, another run, the chance of a good piece, grams of glaze a piece."""
    clay = _clay_costs(job)
    shifts = calendar(job.labour_hours, job.closed_days, job.settings.start)
    counts = kiln_counts(job.forms, job.firings, job.kilns, job.kiln_fit)
    firings = job.firings.rows(named=True)
    glaze_g = dict(job.forms.select("form", "glaze_g").iter_rows())
    route = routes(job.forms, job.stages, job.form_minutes)
    glazed = dict(glazing_stage(route).iter_rows())
    each_minutes = minutes_a_piece(job.settings.spare_clay_pct)
    found = {}
    for (name,), steps in route.with_columns(each=each_minutes).group_by("form", maintain_order=True):
        form = str(name)
        cost, again, through, grams = clay[form], 0.0, 1.0, 0.0
        for step in steps.iter_rows(named=True):
            rate = _minute(shifts, step["stage"], step["firing"])
            again += step["setup_minutes"] * rate
            cost += through * step["each"] * rate
            if step["firing"] is not None:
                cost += through * _room(job, form, step["firing"], firings, counts, rate)
            if glazed.get(form) == step["stage"]:
                grams = through * glaze_g[form]
            through *= 1 - step["loss_pct"] / 100
        found[form] = (cost, again, through, grams)
    return found


def _minute(shifts: Calendar, stage: str, firing: str | None) -> float:
    """What a minute at a stage costs on average, by the weekly hours of those who do it and whose rate is known."""
    week = [shift for worker in shifts.workers for shift in worker.by_weekday if shift.covers(stage, firing)]
    known = [(shift.time, float(shift.rate)) for shift in week if shift.time and shift.rate is not None]
    time = sum(time for time, _ in known)
    return sum(part * rate for part, rate in known) / time / 60 if time else 0.0


def _room(
    job: Job,
    form: str,
    firing: str,
    firings: list[dict[str, Any]],
    counts: Mapping[tuple[str, str, str], KilnCount],
    rate: float,
) -> float:
    """What a piece's room in a firing costs, in the kiln where it costs least."""
    price = float(job.settings.energy_price or 0)
    costs = [
        (row["kwh"] * price + float(row["other_cost"]) + (row["load_minutes"] + row["unload_minutes"]) * rate)
        / counts[firing, row["kiln"], form].pieces
        for row in firings
        if row["firing"] == firing and counts[firing, row["kiln"], form].pieces
    ]
    return min(costs, default=0.0)


def _clay_costs(job: Job) -> dict[str, float]:
    """What the clay of a piece costs, spare clay included, each clay at its price of ``_clay_prices``."""
    prices = _clay_prices(job)
    mixed: dict[str, float] = {}
    for clay, part, low, high in clay_parts(job.forms, job.clay_blends).select("clay", "part", "low", "high").rows():
        mixed[clay] = mixed.get(clay, 0.0) + (high - low) * prices[part]
    grams = (pl.col("ball_g") + pl.col("added_clay_g")) * (1 + job.settings.spare_clay_pct / 100)
    rows = job.forms.select("form", "clay", grams=grams).iter_rows()
    return {form: weight / 1000 * mixed[clay] for form, clay, weight in rows}


def _clay_prices(job: Job) -> dict[str, float]:
    """What a kilogram more of each clay costs: of one that is bought, with pieces enough on average, what it is bought
    at, carriage apart, as that comes to no more; of one that is in hand, what its newest lot has cost.
    """
    newest = oldest_first(job.clay_stock).unique("clay", keep="last")
    prices = {
        clay: float(price_of_kg(price, kilograms))
        for clay, price, kilograms in newest.select("clay", "bag_price", "bag_kg").iter_rows()
    }
    if job.clay_prices.is_empty():
        return prices  # what is bought is bought as the newest lot was
    on_average = replace(job.settings, loss_cover=None)
    begun = pieces(job.orders, job.forms, job.stages, job.form_minutes, job.in_progress, settings=on_average)
    balance = clay_balance(line_clay(begun, job.forms, job.clay_blends, on_average), job.clay_stock)
    bought: dict[str, list[tuple[int, int]]] = {}
    for row in cheapest_order(
        dict(balance.select("clay", "short_mg").iter_rows()), offers_by_clay(balance, job.clay_prices)
    ):
        bought.setdefault(row.clay, []).append((row.packs * row.price.pack, row.bought_mg))
    for clay, rows in bought.items():
        money, mg = (sum(column) for column in zip(*rows, strict=True))
        prices[clay] = money / MICRO / (mg / MG)
    return prices


def _glaze_costs(job: Job) -> dict[str | None, float]:
    """What a gram of each glaze costs, of the materials whose price is known."""
    packs = job.materials.drop_nulls("pack_price").select("material", "pack_price", "pack_kg").iter_rows()
    prices = {material: float(price_of_kg(price, kilograms)) / 1000 for material, price, kilograms in packs}
    shares = job.glazes.with_columns(share=pl.col("percent") / pl.col("percent").sum().over("glaze"))
    found: dict[str | None, float] = {}
    for glaze, material, share in shares.select("glaze", "material", "share").iter_rows():
        found[glaze] = found.get(glaze, 0.0) + share * prices.get(material, 0.0)
    return found
