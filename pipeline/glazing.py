"""Glaze and the other materials that pieces take: at which stage, how much of it, of what it is mixed."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.lines import LINE
from pipeline.money import share_out
from pipeline.remembered import remembered

Recipes = Mapping[str, Mapping[str, Fraction]]
"""By glaze its materials, and the parts of each by dry weight; they need not add up to a hundred."""


def recipes_of(glazes: pl.DataFrame) -> dict[str, dict[str, Fraction]]:
    """The recipes, in the order of the sheet."""
    found: dict[str, dict[str, Fraction]] = {}
    for glaze, material, parts in glazes.select("glaze", "material", "percent").iter_rows():
        found.setdefault(glaze, {})[material] = Fraction(str(parts))
    return found


def mixed_of(recipe: Mapping[str, Fraction], grams: Decimal, digits: int) -> dict[str, Decimal]:
    """The grams of each material in so much dry glaze, to ``digits`` decimal places, adding up to it.

    100 g of a recipe of 85, 16, 12 and 5 parts: 72, 14, 10 and 4 g.
    """
    return dict(zip(recipe, share_out(grams, list(recipe.values()), digits), strict=True))


def dry_and_water(millilitres: float, litre_g: float, dry_density: float) -> tuple[Fraction, Fraction]:
    """The grams of dry glaze and of water in so much slop, by the weight of a litre of it and the density of the dry.

    Brongniart's formula, dry = (litre - 1000) x density / (density - 1) in grams a litre. Source: A. Brongniart, Traite
    des Arts Ceramiques, vol. 1 (1854), as given in the Handbook for Australian Potters.

    10 litres at 1,450 g a litre and 2.6: 7,312.5 g dry and 7,187.5 g water.
    """
    litre, density = Fraction(str(litre_g)), Fraction(str(dry_density))
    litres = Fraction(str(millilitres)) / 1000
    dry = litres * (litre - 1000) * density / (density - 1)
    return dry, litres * litre - dry


def glazed_pieces(pieces: pl.DataFrame, forms: pl.DataFrame, route: pl.DataFrame) -> pl.DataFrame:
    """The dry glaze that each line still takes, in its order: order, form, glaze, ``stage``, and whole ``grams``.

    Pieces that enter glazing and are not glazed, times the form's ``glaze_g``; a line is rounded once.
    """
    return (
        pieces.filter(pl.col("glaze").is_not_null())
        .join(glazing_stage(route), on=["form", "stage"], how="semi", maintain_order="left")
        .join(forms.select("form", "glaze_g"), on="form", how="left", validate="m:1", maintain_order="left")
        .select(
            *LINE,
            "stage",
            grams=((pl.col("pieces_in") - pl.col("already_done")) * pl.col("glaze_g"))
            .round(6)
            .round(0, mode="half_away_from_zero")
            .cast(pl.Int64),
        )
        .filter(pl.col("grams") > 0)
    )


def bare_glaze(glaze: str) -> str:
    """What stands for the materials of a glaze without a recipe."""
    return f"glaze {glaze}"


@remembered
def material_uses(
    pieces: pl.DataFrame,
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    route: pl.DataFrame,
    glazes: pl.DataFrame,
    form_materials: pl.DataFrame,
) -> pl.DataFrame:
    """What each line still takes of the materials beside clay: order, form, glaze, ``material``, ``stage`` (blank: once
    a piece is sold), whole ``grams``, and whether it is ``dipped``, part of the line's glaze, which may stand in a
    bucket. Glaze comes first, line by line.
    """
    names = (*LINE, "material", "stage", "grams", "dipped")
    glaze = _glaze_on_pieces(pieces, forms, route, glazes).with_columns(dipped=pl.lit(True))
    others = _other_materials(pieces, orders, form_materials).with_columns(dipped=pl.lit(False))
    return pl.concat([glaze.select(names), others.select(names)])


def _glaze_on_pieces(
    pieces: pl.DataFrame, forms: pl.DataFrame, route: pl.DataFrame, glazes: pl.DataFrame
) -> pl.DataFrame:
    """The glaze materials that each line still takes; they add up to its glaze. Without a recipe it is one material."""
    recipes = recipes_of(glazes)
    taken = glazed_pieces(pieces, forms, route).rename({"grams": "dry_g"})
    mixed = [
        (glaze, grams, material, int(part))
        for glaze, grams in taken.select("glaze", "dry_g").unique(maintain_order=True).iter_rows()
        for material, part in mixed_of(recipes.get(glaze, {bare_glaze(glaze): Fraction(1)}), Decimal(grams), 0).items()
        if part
    ]
    kinds = {"glaze": pl.String, "dry_g": pl.Int64, "material": pl.String, "grams": pl.Int64}
    parts = pl.DataFrame(mixed, schema=kinds, orient="row")
    return taken.join(parts, on=["glaze", "dry_g"], how="left", maintain_order="left_right")


def _other_materials(pieces: pl.DataFrame, orders: pl.DataFrame, form_materials: pl.DataFrame) -> pl.DataFrame:
    """What ``form_materials`` say that each line still takes: for every piece that has to go through the stage, or,
    without a stage, for the good pieces wanted. A line is rounded to the gram once.
    """
    through = pieces.select(*LINE, "stage", count=pl.col("pieces_in") - pl.col("already_done"))
    sold = orders.select(*LINE, stage=pl.lit(None, pl.String), count="quantity")
    return (
        pl.concat([through, sold])
        .join(form_materials, on=["form", "stage"], nulls_equal=True, maintain_order="left")
        .with_columns(
            grams=(pl.col("count") * pl.col("each_g")).round(6).round(0, mode="half_away_from_zero").cast(pl.Int64)
        )
        .filter(pl.col("grams") > 0)
    )


@remembered
def glazing_stage(route: pl.DataFrame) -> pl.DataFrame:
    """The stage at which each form is glazed, as form and stage: that named `glaze`, or else the one before its last
    firing, or else its last.
    """
    by_hand = route.filter(pl.col("firing").is_null())
    fired = route.filter(pl.col("firing").is_not_null()).group_by("form").agg(last=pl.col("step").max())
    before = by_hand.join(fired, on="form", how="left", maintain_order="left").filter(
        pl.col("last").is_null() | (pl.col("step") < pl.col("last"))
    )
    named = pl.col("stage").str.to_lowercase() == "glaze"
    return (
        before.sort(named, "step", maintain_order=True)
        .group_by("form", maintain_order=True)
        .agg(pl.col("stage").last())
    )
