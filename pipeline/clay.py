"""The clay that each line takes, exact to the gram, with blends split into their parts."""

from __future__ import annotations

import polars as pl

from pipeline.in_places import in_places
from pipeline.lines import LINE
from pipeline.remembered import remembered
from schemas.settings import Settings

KG_DIGITS = 6
"""Decimal places of kilograms: their last is the milligram."""

MG: int = 10**KG_DIGITS
"""Milligrams in a kilogram. Clay is added up in whole milligrams, so that kilograms add up exactly."""

GRAM = MG // 1000
"""Milligrams in a gram."""


def to_mg(kilograms: pl.Expr) -> pl.Expr:
    """A column of kilograms as whole milligrams."""
    return (kilograms * MG).round().cast(pl.Int64)


def to_kg(milligrams: pl.Expr) -> pl.Expr:
    """A column of milligrams as kilograms."""
    return in_places(milligrams, KG_DIGITS)


def begun_pieces(pieces: pl.DataFrame) -> pl.DataFrame:
    """Each line's pieces still to be begun, as ``begun``: what enters its first stage and is not yet done."""
    first = pl.col("step") == pl.col("step").min().over("form")
    return pieces.filter(first).select(*LINE, begun=pl.col("pieces_in") - pl.col("already_done"))


def clay_parts(forms: pl.DataFrame, clay_blends: pl.DataFrame) -> pl.DataFrame:
    """What each form's clay is mixed from: ``clay``, ``part``, and the shares of weight ``low`` to ``high`` that it
    fills between 0 and 1. A clay that is no blend is its own one part.
    """
    plain = (
        forms.select("clay").unique(maintain_order=True).join(clay_blends, on="clay", how="anti", maintain_order="left")
    ).select("clay", part="clay", share_pct=pl.lit(100.0))
    parts = pl.concat([plain, clay_blends.select("clay", "part", "share_pct")])
    high = pl.col("share_pct").cum_sum().over("clay") / pl.col("share_pct").sum().over("clay")
    return parts.with_columns(high=high).with_columns(low=pl.col("high").shift(1, fill_value=0.0).over("clay"))


@remembered
def line_clay(pieces: pl.DataFrame, forms: pl.DataFrame, clay_blends: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """A row for each line and part of its clay, in the order of ``pieces``.

    Columns: order, form, glaze, ``body`` (the form's clay), ``part`` (a clay of the stock), ``begun`` (pieces),
    ``mg`` (clay of this part, spare clay included, in whole grams written as milligrams) and ``reclaim_mg`` (trimmings
    of this part counted on as clay again).

    40 pieces of 380 g with 60 g added and 5 % spare: 40 x 0.440 x 1.05 = 18.480 kg; of a half-and-half blend 9.240 kg
    each. The parts of a line always add up to the line.
    """
    per_piece = (pl.col("ball_g") + pl.col("added_clay_g")) * (1 + settings.spare_clay_pct / 100)
    whole = (pl.col("begun") * per_piece).round(6).round(0, mode="half_away_from_zero")
    reclaimed = pl.col("begun") * pl.col("trimmings_g") * (settings.reclaim_pct / 100)
    again = reclaimed.round(6).round(0, mode="half_away_from_zero")

    def part_of(grams: pl.Expr) -> pl.Expr:
        # Differences of rounded running totals: the parts add up, whatever the shares.
        upper = (grams * pl.col("high")).round(0, mode="half_away_from_zero")
        lower = (grams * pl.col("low")).round(0, mode="half_away_from_zero")
        return ((upper - lower) * 1000).cast(pl.Int64)

    return (
        begun_pieces(pieces)
        .join(
            forms.select("form", "ball_g", "added_clay_g", "trimmings_g", body="clay"),
            on="form",
            how="left",
            validate="m:1",
            maintain_order="left",
        )
        .join(clay_parts(forms, clay_blends), left_on="body", right_on="clay", how="left", maintain_order="left")
        .select(*LINE, "body", "part", "begun", mg=part_of(whole), reclaim_mg=part_of(again))
    )


def begun_batches(schedule: pl.DataFrame, route: pl.DataFrame) -> pl.DataFrame:
    """The batches of a schedule that are begun from clay: date, batch, order, form, glaze, ``balls``, and ``upto``, the
    balls of the line's batches up to and with this one.
    """
    first = route.group_by("form", maintain_order=True).agg(pl.col("stage").first())
    return (
        schedule.filter(pl.col("batch").str.starts_with("B"), pl.col("task") != "unload")
        .join(first, on=["form", "stage"], how="semi", maintain_order="left")
        .group_by("date", "batch", *LINE, maintain_order=True)
        .agg(balls=pl.col("pieces").sum())
        .with_columns(upto=pl.col("balls").cum_sum().over(*LINE))
    )


def batch_grams() -> pl.Expr:
    """The grams of a line's clay (``mg`` for ``begun`` pieces) that go into a batch: the batches add up to the line."""

    def grams(pieces: pl.Expr) -> pl.Expr:
        return (pl.col("mg") / 1000 * pieces / pl.col("begun")).round(0, mode="half_away_from_zero").cast(pl.Int64)

    return grams(pl.col("upto")) - grams(pl.col("upto") - pl.col("balls"))
