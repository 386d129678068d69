"""Hours of work by line and stage."""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from pipeline.lines import LINE, known_total
from pipeline.routes import minutes_a_piece, routes
from schemas.settings import Settings
from schemas.sheet import shaped
from schemas.sheets_out.stage_hours import StageHours

KEY = (*LINE, "stage")


def stage_hours(
    pieces: pl.DataFrame,
    schedule: pl.DataFrame,
    labour: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """The hours that each line takes at each stage, and what they cost at the rates of those who work them.

    Minutes = pieces that enter x minutes each, with minutes a kilogram x clay, a set-up for each date and form on which
    the stage is worked, and a share of loading and unloading by the room taken in the kiln. All of it is read off the
    schedule, so it adds up to the schedule's minutes; a set-up that several lines share is the first one's.

    60 pieces at 2 minutes with two set-ups of 10: 60 x 2 + 2 x 10 = 140 minutes = 2.3333 hours.
    """
    each = minutes_a_piece(settings.spare_clay_pct).round(4)
    route = routes(forms, stages, form_minutes).select("form", "stage", "setup_minutes", each=each)
    lines = pieces.select(*KEY, pieces=pl.col("pieces_in") - pl.col("already_done"))
    priced = labour.select(*KEY, "own_labour", labour_cost=pl.col("paid_labour") + pl.col("own_labour"))
    costs = priced.group_by(KEY).agg(known_total("labour_cost"), known_total("own_labour"), priced=pl.lit(True))
    return shaped(
        StageHours,
        lines.join(route, on=["form", "stage"], how="left", validate="m:1", maintain_order="left")
        .join(
            schedule.group_by(*KEY).agg(minutes=pl.col("minutes").sum()),
            on=KEY,
            how="left",
            nulls_equal=True,
            validate="1:1",
            maintain_order="left",
        )
        .join(_set_ups(schedule), on=KEY, how="left", nulls_equal=True, validate="1:1", maintain_order="left")
        .join(costs, on=KEY, how="left", nulls_equal=True, validate="1:1", maintain_order="left")
        .with_columns(
            pl.when(pl.col("priced").is_null())
            .then(Decimal(0))
            .otherwise(pl.col("labour_cost", "own_labour"))
            .name.keep(),
            minutes_each="each",
            setups=pl.when(pl.col("setup_minutes") > 0).then("setups").fill_null(0),
            hours=(pl.col("minutes").fill_null(0) / 60).round(4),
        ),
    )


def _set_ups(schedule: pl.DataFrame) -> pl.DataFrame:
    """How many set-ups each line bears at a stage: the first row of a date, stage and form has it."""
    worked = schedule.filter(pl.col("task") != "unload")
    first = worked.unique(["date", "stage", "form"], keep="first", maintain_order=True)
    return first.group_by(KEY).agg(setups=pl.len().cast(pl.Int64))
