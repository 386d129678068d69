"""Materials: what has to be bought is not used before it has come."""

from __future__ import annotations

import polars as pl

from pipeline.exact.flow import Flow
from pipeline.routes import routes
from pipeline.supplies import materials_in_time


def add_materials(flow: Flow, pieces: pl.DataFrame) -> None:
    """Rule 5h: before a material comes no more pieces of a line enter the stage that takes it than it is given enough
    for. The lines take what there is in their turn, and pieces in progress that had to go on within a window need not
    wait.
    """
    job, studio = flow.studio.shop.job, flow.studio
    start = job.settings.start.toordinal()
    at = {line.name: number for number, line in enumerate(studio.lines)}
    supplied = materials_in_time(job, pieces, routes(job.forms, job.stages, job.form_minutes))
    for name, stages in zip(job.orders.select("order", "form", "glaze").iter_rows(), supplied, strict=True):
        line = studio.lines[at[name]]
        spared = 0
        for place, stage in enumerate(line.route):
            if place and line.route[place - 1].wait_days_max is not None:
                spared += line.standing[place]
            if stage.name in stages:
                enough, comes = stages[stage.name]
                flow.model.add(flow.entered_by(at[name], place, comes - start - 1) <= enough + spared)
