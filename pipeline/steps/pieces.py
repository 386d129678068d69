"""How many pieces go through each stage, so that enough come out."""

from __future__ import annotations

import polars as pl

from pipeline.entering import entering, entering_expr, leaving_expr
from pipeline.in_progress import Taken, share_in_progress
from pipeline.lines import LINE
from pipeline.losses import line_covers, pieces_to_start_each
from pipeline.routes import routes
from schemas.settings import Cover, Settings
from schemas.sheet import shaped
from schemas.sheets_out.pieces import Pieces


def pieces(
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    in_progress: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """Pieces of every line at every stage of its form's method, work in progress included.

    Pieces to start = quantity / product of the stages' yields, rounded up once, at least quantity + least_extra; or
    the fewest that are enough with the chance ``loss_cover``, which may be each line's own. Pieces that enter a later
    stage = pieces started x the yields before it, rounded up. What is in progress comes off first.

    40 wanted at losses of 5 % and 10 %: 40 / (0.95 x 0.90) = 46.8, so 47 are started, 45 (44.65) enter the second
    stage and 40 (40.2) come out.
    """
    route = routes(forms, stages, form_minutes)
    taken = share_in_progress(orders, forms, route, in_progress, settings.loss_cover)
    lines = to_start(orders, forms, route, taken, settings.loss_cover)
    through = (1 - pl.col("loss_pct") / 100).cum_prod().over("form")
    steps = route.select("form", "step", "stage", "loss_pct", after=through).with_columns(
        before=pl.col("after").shift(1, fill_value=1.0).over("form"),
        last=pl.col("step") == pl.col("step").max().over("form"),
    )
    at_stages = lines.join(steps, on="form", how="left", maintain_order="left")
    begun = pl.col("begun")
    flow = at_stages.with_columns(
        pieces_in=entering_expr(begun, pl.col("before")),
        pieces_out=pl.when("last")
        .then(leaving_expr(begun, pl.col("after")))
        .otherwise(entering_expr(begun, pl.col("after"))),
        already_done=pl.lit(0, dtype=pl.Int64),
    )
    if taken:
        flow = _with_taken(flow, taken, orders, route)
    return shaped(Pieces, flow.sort("line", "step"))


def to_start(
    orders: pl.DataFrame, forms: pl.DataFrame, route: pl.DataFrame, taken: list[Taken], cover: Cover
) -> pl.DataFrame:
    """The lines as ``line`` (place in the orders), order, form, glaze, and ``begun``: the pieces still to begin."""
    covered = pl.DataFrame(
        {"line": [t.line for t in taken], "good": [t.good for t in taken]},
        schema={"line": pl.UInt32, "good": pl.Int64},
    )
    chance = route.group_by("form").agg(chance=(1 - pl.col("loss_pct") / 100).product())
    lines = (
        orders.with_row_index("line")
        .select("line", *LINE, "quantity")
        .join(covered.group_by("line").agg(pl.col("good").sum()), on="line", how="left", maintain_order="left")
        .join(chance, on="form", how="left", validate="m:1", maintain_order="left")
        .join(forms.select("form", "least_extra"), on="form", how="left", validate="m:1", maintain_order="left")
        .with_columns(wanted=pl.col("quantity") - pl.col("good").fill_null(0))
    )
    begun = pieces_to_start_each(lines["wanted"], lines["chance"], lines["least_extra"], line_covers(orders, cover))
    return lines.select("line", *LINE, begun=begun)


def _with_taken(flow: pl.DataFrame, taken: list[Taken], orders: pl.DataFrame, route: pl.DataFrame) -> pl.DataFrame:
    """Pieces in progress added to their line's stages: done as they stand up to their last stage, then with losses."""
    rows = []
    for take in taken:
        form = orders["form"][take.line]
        steps = route.filter(pl.col("form") == form).select("step", "loss_pct").rows()
        onward = entering(take.pieces, [1 - loss / 100 for _, loss in steps[take.done + 1 :]])
        for place, (step, _) in enumerate(steps):
            if place <= take.done:
                done = entered = left = take.pieces
            else:
                done, entered, left = 0, *onward[place - take.done - 1 : place - take.done + 1]
            rows.append((take.line, step, entered, left, done))
    added = (
        pl.DataFrame(
            rows,
            schema={"line": pl.UInt32, "step": pl.Int64, "in": pl.Int64, "out": pl.Int64, "done": pl.Int64},
            orient="row",
        )
        .group_by("line", "step")
        .sum()
    )
    both = flow.join(added, on=["line", "step"], how="left", maintain_order="left")
    return both.with_columns(
        pl.col(name) + pl.col(more).fill_null(0)
        for name, more in (("pieces_in", "in"), ("pieces_out", "out"), ("already_done", "done"))
    )
