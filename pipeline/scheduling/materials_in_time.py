"""Glaze materials, wax and the like that have to be bought: what can be worked before they have come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import polars as pl

from pipeline.clay import GRAM
from pipeline.glazing import Use, glaze_on_pieces, other_materials
from pipeline.job import Job
from pipeline.lines import LINE, in_turn
from pipeline.scheduling.shop import Flow
from pipeline.steps.glaze_batches import glaze_batches
from pipeline.stock import on_hand
from pipeline.supplies import supplies

Supplied = Mapping[str, tuple[int, int]]
"""By stage how many of a line's pieces there is enough for, and the day from which there is for all of them."""

ALL_THERE: Supplied = {}


def materials_in_time(job: Job, pieces: pl.DataFrame, route: pl.DataFrame) -> list[Supplied]:
    """For each line the stages that have to wait for what is bought, and how many pieces need not.

    What has to be bought is taken to be ordered on the plan's first day. The lines take what is there in their turn.
    What a piece takes once it is sold holds up nothing: it can be finished without.
    """
    found = [ALL_THERE] * job.orders.height
    lead: dict[str, int] = dict(
        on_hand(job.materials, item="material", pack="pack").select("material", "lead_days").iter_rows()
    )
    if not any(lead.values()):
        return found
    taken: dict[tuple[str, str, str | None], list[tuple[str, Use]]] = {}
    for use in (
        *glaze_on_pieces(pieces, job.forms, route, job.glazes),
        *other_materials(pieces, job.orders, job.form_materials),
    ):
        if use.stage is not None:
            taken.setdefault((use.order, use.form, use.glaze), []).append((use.stage, use))
    batches = glaze_batches(pieces, job.forms, job.stages, job.form_minutes, job.glazes, job.glaze_buckets)
    there = supplies(job.materials, batches)
    to_do = pieces.select(*LINE, "stage", count=pl.col("pieces_in") - pl.col("already_done"))
    counts = {(order, form, glaze, stage): count for order, form, glaze, stage, count in to_do.iter_rows()}
    start = job.settings.start.toordinal()
    for line, *key in in_turn(job.orders.with_row_index("line")).select("line", *LINE).iter_rows():
        stages: dict[str, tuple[int, int]] = {}
        for stage, use in taken.get(tuple(key), ()):
            wanted = use.grams * GRAM
            enough = there.take(use, wanted)
            if enough < wanted and lead.get(use.material):
                count = counts[*key, stage]
                before, day = stages.get(stage, (count, start))
                stages[stage] = min(before, count * enough // wanted), max(day, start + lead[use.material])
        found[line] = stages
    return found


def as_supplied(flows: Sequence[Flow], supplied: Supplied) -> list[Flow]:
    """A line's flows, those in progress first, each with what of it there is enough for at each stage.

    Pieces in progress whose window closes go on without waiting: they would be lost.
    """
    found = []
    given = {stage: enough for stage, (enough, _) in supplied.items()}
    for flow in flows:
        own = {}
        for place, stop in enumerate(flow.route):
            if place >= flow.first and stop.stage in supplied:
                some = min(given[stop.stage], flow.totals[place])
                given[stop.stage] -= some
                own[place] = some, supplied[stop.stage][1]
        found.append(replace(flow, supplied=own) if own and flow.latest is None else flow)
    return found
