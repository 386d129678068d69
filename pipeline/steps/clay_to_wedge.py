"""The wedging list."""

from __future__ import annotations

import polars as pl

from pipeline.clay import batch_grams, begun_batches, clay_parts, line_clay
from pipeline.lines import LINE
from pipeline.routes import routes
from schemas.settings import Settings
from schemas.sheet import shaped
from schemas.sheets_out.clay_to_wedge import ClayToWedge


def clay_to_wedge(
    schedule: pl.DataFrame,
    pieces: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    clay_blends: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """The balls to make for the batches that begin on a date, by form, with the clay for all of them.

    A line's clay is what ``clay_to_buy`` counts for it, split over its batches so that kilograms add up. ``minutes`` is
    the time of those stages of the batches that go by weight.

    20 balls of 380 g with 60 g added and 5 % spare: 7.600 + 1.200 + 0.440 = 9.240 kg.
    """
    route = routes(forms, stages, form_minutes)
    weighed = route.filter(pl.col("minutes_per_kg") > 0).select("form", "stage")
    minutes = (
        schedule.filter(pl.col("task") != "unload")
        .join(weighed, on=["form", "stage"], how="semi")
        .group_by("batch")
        .agg(minutes=pl.col("minutes").sum().round(2))
    )
    whole = (
        line_clay(pieces, forms, clay_blends, settings)
        .group_by(*LINE, maintain_order=True)
        .agg(pl.col("begun").first(), pl.col("mg").sum())
    )
    begun = (
        begun_batches(schedule, route)
        .join(whole, on=LINE, how="left", nulls_equal=True, validate="m:1", maintain_order="left")
        .with_columns(grams=batch_grams())
        .join(minutes, on="batch", how="left", validate="m:1", maintain_order="left")
        .with_columns(pl.col("minutes").fill_null(0.0))
    )
    facts = forms.select("form", "clay", "ball_g", "added_clay_g")
    ball = (pl.col("balls") * pl.col("ball_g") / 1000).round(3)
    added = (pl.col("balls") * pl.col("added_clay_g") / 1000).round(3)
    total = (pl.col("grams") / 1000).round(3)
    mixed = _mixed_from(forms, clay_blends)
    return shaped(
        ClayToWedge,
        begun.group_by("date", "form", maintain_order=True)
        .agg(pl.col("balls", "grams").sum(), pl.col("minutes").sum().round(2))
        .join(facts, on="form", how="left", validate="m:1", maintain_order="left")
        .join(mixed, on="clay", how="left", validate="m:1", maintain_order="left")
        .with_columns(added_kg=added, total_kg=total, spare_kg=(total - ball - added).round(3).clip(lower_bound=0))
        .sort("date", "clay", "form"),
    )


def _mixed_from(forms: pl.DataFrame, clay_blends: pl.DataFrame) -> pl.DataFrame:
    """Each blend in words, as ``parts``: "50 % buff stoneware + 50 % red earthenware"; blank for a clay as it is."""
    share = (pl.col("high") - pl.col("low")) * 100
    return (
        clay_parts(forms, clay_blends)
        .join(clay_blends.select("clay").unique(), on="clay", how="semi")
        .with_columns(words=pl.format("{} % {}", share.round(1).cast(pl.String).str.strip_suffix(".0"), "part"))
        .group_by("clay", maintain_order=True)
        .agg(parts=pl.col("words").str.join(" + "))
    )
