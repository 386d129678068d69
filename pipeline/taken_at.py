"""At which stage a piece takes a material."""

from __future__ import annotations

from collections.abc import Callable

import polars as pl

from pipeline.glazing import glazing_stage

EACH_PIECE = "packaging and the like"
"""The material that a form's ``other_cost`` stands for."""


def stage_taken(
    clay_stock: pl.DataFrame, form_materials: pl.DataFrame, route: pl.DataFrame
) -> Callable[[str, str], str]:
    """Of a form and a material of ``materials_cost`` the stage: clay goes in at the first, glaze where it is glazed, a
    material of ``form_materials`` where that says, packaging and what is taken when a piece is sold at the last.
    """
    ends = route.group_by("form").agg(first=pl.col("stage").first(), last=pl.col("stage").last())
    first = dict(ends.select("form", "first").iter_rows())
    last = dict(ends.select("form", "last").iter_rows())
    glazed = dict(glazing_stage(route).iter_rows())
    clays = set(clay_stock["clay"])
    own = {
        (form, material): stage for form, material, stage in form_materials.select("form", "material", "stage").rows()
    }

    def stage_of(form: str, material: str) -> str:
        if material in clays:
            return str(first[form])
        if material == EACH_PIECE:
            return str(last[form])
        if (form, material) in own:
            return str(own[form, material] or last[form])
        return str(glazed[form])

    return stage_of
