"""What was lost, and how much of it is no cost of pieces."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.money import at_price
from pipeline.routes import routes
from pipeline.steps.piece_costs import last_that_loses
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.losses import Losses


def losses(
    work_log: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    piece_costs: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """The pieces of the work log that did not come out good, form by form and stage by stage, and what those beyond the
    normal loss cost.

    Normal loss = pieces that entered x the stage's loss; the good pieces bear it. Abnormal loss = pieces in - pieces
    out - normal loss, each at the cost of a good piece that leaves the stage (``piece_costs``): an expense of the time,
    not a cost of pieces (IAS 2, Inventories, paragraph 16). Where fewer are lost than is normal it is below nought.
    Seconds are lost as good pieces and fetch their own price: at the last stage that loses any, ``seconds_pct`` of the
    normal loss are expected; what those beyond fetch goes against the abnormal loss.

    100 enter at a normal loss of 10 %, 75 come out: 25 lost, 10 of them normal, 15 not; at 17.00 each 255.00.
    """
    digits = settings.minor_digits
    route = routes(forms, stages, form_minutes)
    ways = {form: steps for (form,), steps in route.group_by("form", maintain_order=True)}
    cost_of = {tuple(at): cost for *at, cost in piece_costs.select("form", "stage", "book_cost_each").iter_rows()}
    sold = {form: values for form, *values in forms.select("form", "seconds_pct", "second_price").iter_rows()}
    counted = work_log.group_by("form", "stage", maintain_order=True).agg(
        pl.col("pieces_in", "pieces_out", "seconds").sum()
    )
    rows = []
    for form, stage, entered, good, seconds in counted.iter_rows():
        step = ways[form].row(by_predicate=pl.col("stage") == stage, named=True)
        normal = entered * Fraction(str(step["loss_pct"])) / 100
        abnormal = entered - good - normal
        share, price = sold[form]
        usual = normal * Fraction(str(share)) / 100 if step["step"] == last_that_loses(ways[form]) else Fraction(0)
        cost = cost_of.get((form, stage))
        spent = None if cost is None else at_price(abnormal, cost, digits)
        beyond = at_price(seconds - usual, price, digits)
        rows.append(
            {
                "form": form,
                "stage": stage,
                "pieces_in": entered,
                "pieces_out": good,
                "seconds": seconds,
                "lost": entered - good - seconds,
                "normal_loss": float(normal),
                "abnormal_loss": float(abnormal),
                "cost_each": cost,
                "abnormal_cost": spent,
                "seconds_value": at_price(seconds, price, digits),
                "abnormal_seconds": beyond,
                "net_loss": None if spent is None else spent - (beyond or Decimal(0)),
            }
        )
    return shaped(Losses, pl.DataFrame(rows, schema=types(Losses)))
