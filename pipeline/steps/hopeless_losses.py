"""Losses so great that no number of pieces is enough."""

from __future__ import annotations

import polars as pl

from pipeline.job import Job
from pipeline.routes import routes
from schemas.plan_kinds import HARDLY_ANY_GOOD
from schemas.problem import problems_sheet

LEAST_YIELD = 0.001
"""Good pieces out of those begun, below which losses must be a slip of the pen."""


def hopeless_losses(job: Job) -> pl.DataFrame:
    """A ``problems`` sheet of the forms of which no number of pieces would be enough."""
    route = routes(job.forms, job.stages, job.form_minutes)
    chance = route.group_by("form", maintain_order=True).agg(chance=(1 - pl.col("loss_pct") / 100).product())
    rows = dict(job.forms.select("form", "row").iter_rows())
    hopeless = chance.filter(pl.col("chance") < LEAST_YIELD)["form"]
    return problems_sheet(HARDLY_ANY_GOOD.at("forms", rows[form], "form", form) for form in hopeless)
