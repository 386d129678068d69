"""How much of each glaze to mix, and what to weigh out for a batch."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

import polars as pl

from pipeline.glazing import dry_and_water, glazed_pieces, mixed_of, recipes_of
from pipeline.money import amount
from pipeline.remembered import remembered
from pipeline.routes import routes
from schemas.sheet import shaped, types
from schemas.sheets_out.glaze_batches import GlazeBatches

DIGITS = 1
"""Glaze is weighed to a tenth of a gram."""

WATER = "water"
"""The last row of a glaze whose bucket says what a litre weighs."""

Weighed = Mapping[str, Mapping[str, Decimal | int]]
"""By column the grams of each material."""


@remembered
def glaze_batches(
    pieces: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    glazes: pl.DataFrame,
    glaze_buckets: pl.DataFrame,
) -> pl.DataFrame:
    """What to mix of each glaze with a recipe that is still to be put on pieces or stands in a bucket, by material.

    To mix = needed on the pieces + what has to be left in the bucket to dip in - what is in it now, never below nought,
    in whole batches; without a batch size one batch of just that. For a glaze that no piece needs nothing has to be
    left. Each column of a glaze adds up to its dry weight, as its shares are rounded by the largest remainder; water
    comes on top. The schedule asks for the sheet before it is made, so it is remembered.

    10 litres to be left at 1,450 g a litre hold 7,312.5 g dry glaze; 2,600 g for the pieces, nothing in the bucket:
    9,912.5 g, so 2 batches of 5,000 g.
    """
    needed: dict[str, Counter[str]] = {}
    recipes = recipes_of(glazes)
    glazed = glazed_pieces(pieces, forms, routes(forms, stages, form_minutes))
    for glaze, grams, lines in glazed.group_by("glaze", "grams", maintain_order=True).len().iter_rows():
        if glaze in recipes:
            parts = mixed_of(recipes[glaze], Decimal(grams), 0)
            needed.setdefault(glaze, Counter()).update({name: int(part) * lines for name, part in parts.items()})
    buckets = {row["glaze"]: row for row in glaze_buckets.iter_rows(named=True)}
    rows = []
    for glaze, recipe in recipes.items():
        if glaze in needed or glaze in buckets:
            rows += _glaze(glaze, recipe, needed.get(glaze, Counter()), buckets.get(glaze))
    return shaped(GlazeBatches, pl.DataFrame(rows, schema=types(GlazeBatches)))


def _glaze(
    glaze: str, recipe: Mapping[str, Fraction], needed: Mapping[str, int], bucket: Mapping[str, Any] | None
) -> list[dict[str, object]]:
    """The rows of one glaze."""
    if bucket is None:
        whole = Counter(needed)
        nothing = dict.fromkeys(recipe, Decimal(0))
        alone: Weighed = {"keep_g": nothing, "in_bucket_g": nothing, "to_mix_g": whole, "batch_g": whole}
        return _rows(glaze, recipe, {"needed_g": whole, **alone}, int(bool(needed)), None)
    litre, density = bucket["litre_g"], bucket["dry_density"]
    keep, in_bucket = (
        amount(dry_and_water(millilitres, litre, density)[0], DIGITS)
        for millilitres in (bucket["keep_ml"] if needed else 0, bucket["in_bucket_ml"])
    )
    to_mix = max(sum(needed.values()) + keep - in_bucket, Decimal(0))
    batch = to_mix if bucket["batch_g"] is None else amount(Fraction(str(bucket["batch_g"])), DIGITS)
    dry, water = dry_and_water(1000, litre, density)
    split = {"keep_g": keep, "in_bucket_g": in_bucket, "to_mix_g": to_mix, "batch_g": batch}
    shared: Weighed = {name: mixed_of(recipe, grams, DIGITS) for name, grams in split.items()}
    batches = ceil(Fraction(to_mix) / Fraction(batch)) if batch else 0
    return _rows(glaze, recipe, {"needed_g": Counter(needed), **shared}, batches, water / dry)


def _rows(
    glaze: str,
    recipe: Mapping[str, Fraction],
    grams: Weighed,
    batches: int,
    wetness: Fraction | None,
) -> list[dict[str, object]]:
    """A row a material, by column the grams of each, and one for the water, so much to a gram of dry glaze."""
    parts = sum(recipe.values())
    shares = {material: 100 * part / parts for material, part in recipe.items()}
    found = [
        (material, shares[material], {name: Decimal(own[material]) for name, own in grams.items()})
        for material in recipe
    ]
    if wetness is not None:
        wet = {name: amount(wetness * Fraction(sum(own.values())), DIGITS) for name, own in grams.items()}
        found.append((WATER, 100 * wetness, wet))
    rows = []
    for material, share, of_it in found:
        mixed = batches * of_it["batch_g"]
        left = of_it["in_bucket_g"] + mixed - of_it["needed_g"]
        weighed = {name: float(value) for name, value in {**of_it, "mixed_g": mixed, "left_g": left}.items()}
        rows.append(
            {
                "glaze": glaze,
                "material": material,
                "share_pct": float(amount(share, 4)),
                "batches": batches,
                **weighed,
            }
        )
    return rows
