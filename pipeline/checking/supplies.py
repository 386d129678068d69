"""Rule 5h: nothing is used of a material before it has come."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

import polars as pl

from pipeline.checking.facts import Batch, BrokenRule, Row, Shop

Bucket = tuple[str, str]
"""A glaze, and a material in it."""


Uses = list[tuple[dt.date, Fraction]]
"""When how many grams are used."""


def materials_have_come(shop: Shop, rows: Sequence[Row], batches: Iterable[Batch]) -> Iterator[BrokenRule]:
    """Before a material that is ordered on the first day can be there, no more of it is used than is free.

    Free is what is in the studio less the reserve, and glaze in its bucket less what has to be left there to dip in.
    Batches from the studio whose window closes are not asked; nor is what is used once a piece is sold.
    """
    free: dict[str, Fraction] = defaultdict(Fraction)
    comes: dict[str, dt.date] = {}
    for lot in shop.job.materials.sort("received", nulls_last=False, maintain_order=True).rows(named=True):
        there = Fraction(str(lot["pack_kg"])) * lot["packs"] + Fraction(str(lot["loose_kg"]))
        free[lot["material"]] += 1000 * (there - Fraction(str(lot["keep_kg"])))
        comes[lot["material"]] = shop.job.settings.start + dt.timedelta(days=lot["lead_days"])
    closing = {batch.name for batch in batches if batch.from_studio and _closes(batch)}
    dipped, others = _used(shop, [row for row in rows if row.counts and row.batch not in closing])
    buckets = _buckets(shop)
    for material, day in comes.items():
        before = _grams_before(day, others[material])
        for (glaze, part), uses in dipped.items():
            wet = _grams_before(day, uses)
            if part == material and wet:
                before += max(wet - buckets.get((glaze, part), Fraction(0)), Fraction(0))
        there = max(free[material], Fraction(0))
        # Every line's use is rounded to the gram.
        if before > there + shop.job.orders.height:
            what = f"{float(before):.0f} g of `{material}` are used, and {float(there):.0f} g are free."
            yield BrokenRule("5h", f"before {day}", what)


def _closes(batch: Batch) -> bool:
    """Whether a batch from the studio had to go on within a window when the plan began."""
    return batch.route[batch.first_place - 1].wait_days_max is not None


def _grams_before(day: dt.date, uses: Uses) -> Fraction:
    return sum((grams for date, grams in uses if date < day), Fraction(0))


def _used(shop: Shop, rows: Sequence[Row]) -> tuple[dict[Bucket, Uses], dict[str, Uses]]:
    """What is used of the materials of each glaze, and of others."""
    recipes = {
        str(glaze): {row["material"]: Fraction(str(row["percent"])) for row in parts.rows(named=True)}
        for (glaze,), parts in shop.job.glazes.group_by("glaze")
    }
    grams = dict(shop.job.forms.select("form", "glaze_g").iter_rows())
    at_stage = shop.job.form_materials.drop_nulls("stage").rows(named=True)
    dipped: dict[Bucket, Uses] = defaultdict(list)
    others: dict[str, Uses] = defaultdict(list)
    for row in rows:
        recipe = recipes.get(row.glaze or "")
        if recipe and row.stage == _glazed_at(shop, row.form):
            whole = row.pieces * Fraction(str(grams[row.form])) / sum(recipe.values())
            for material, share in recipe.items():
                dipped[str(row.glaze), material].append((row.date, whole * share))
        for use in at_stage:
            if (use["form"], use["stage"]) == (row.form, row.stage):
                others[use["material"]].append((row.date, row.pieces * Fraction(str(use["each_g"]))))
    return dipped, others


def _glazed_at(shop: Shop, form: str) -> str | None:
    """The stage at which a form is glazed: one named so, or the last by hand before its last firing."""
    route = shop.routes[form]
    fired = [stage.place for stage in route if stage.firing]
    before = [stage for stage in route if not stage.firing and (not fired or stage.place < fired[-1])]
    named = [stage for stage in before if stage.name.lower() == "glaze"]
    return next((stage.name for stage in reversed(named or before)), None)


def _buckets(shop: Shop) -> dict[Bucket, Fraction]:
    """The grams of each material in a bucket, less those that have to be left there.

    Dry grams in a litre by Brongniart: (litre - 1000) x density / (density - 1).
    """
    found: dict[Bucket, Fraction] = {}
    for row in shop.job.glaze_buckets.rows(named=True):
        recipe = shop.job.glazes.filter(pl.col("glaze") == row["glaze"]).rows(named=True)
        density = Fraction(str(row["dry_density"]))
        dry = (Fraction(str(row["litre_g"])) - 1000) * density / (density - 1)
        spare = (Fraction(str(row["in_bucket_ml"])) - Fraction(str(row["keep_ml"]))) / 1000 * dry
        parts = sum(Fraction(str(part["percent"])) for part in recipe)
        for part in recipe:
            found[row["glaze"], part["material"]] = spare * Fraction(str(part["percent"])) / parts
    return found
