"""The way of each form through the studio: its method's stages with the form's own minutes, losses and waits."""

from __future__ import annotations

import polars as pl

from pipeline.remembered import remembered


@remembered
def routes(forms: pl.DataFrame, stages: pl.DataFrame, form_minutes: pl.DataFrame) -> pl.DataFrame:
    """A row for each form and stage of its method, forms in their sheet's order, stages by step.

    Columns: ``form``, ``clay_kg`` (ball and added clay of a piece) and those of ``stages``, where ``form_minutes`` has
    overridden what it gives; ``form_most_per_day`` is its own limit. ``row`` is the row in ``stages``; null where
    the stage is a default.
    """
    own = form_minutes.select("form", "stage", pl.exclude("form", "stage", "row").name.prefix("form_"))
    override = ("minutes_each", "setup_minutes", "loss_pct", "wait_days", "wait_days_max")
    return (
        forms.with_row_index("place")
        .select("place", "form", "method", clay_kg=(pl.col("ball_g") + pl.col("added_clay_g")) / 1000)
        .join(stages, on="method", how="inner")
        .join(own, on=["form", "stage"], how="left", validate="m:1")
        .with_columns(pl.coalesce(f"form_{name}", name).alias(name) for name in override)
        .drop(f"form_{name}" for name in override)
        .sort("place", "step")
        .drop("place")
    )


def minutes_a_piece(spare_clay_pct: float) -> pl.Expr:
    """Hands-on minutes of a piece at each stage of a route, its wedging by weight (spare clay with it) included."""
    spare = 1 + spare_clay_pct / 100
    return pl.col("minutes_each") + pl.col("minutes_per_kg") * pl.col("clay_kg") * spare
