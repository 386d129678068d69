"""What a piece has cost by the time it leaves each stage."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import polars as pl

from pipeline.alike import once_each
from pipeline.lines import MILLION, known_total, millionths
from pipeline.money import amount
from pipeline.routes import routes
from pipeline.taken_at import stage_taken
from schemas.fields import MONEY_DIGITS
from schemas.sheet import shaped, types
from schemas.sheets_out.piece_costs import PieceCosts

At = tuple[str, str]
"""A form and a stage of its method."""


def piece_costs(
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    clay_stock: pl.DataFrame,
    form_materials: pl.DataFrame,
    pieces: pl.DataFrame,
    materials_cost: pl.DataFrame,
    labour: pl.DataFrame,
    stage_hours: pl.DataFrame,
    firing_costs: pl.DataFrame,
    overhead: pl.DataFrame,
) -> pl.DataFrame:
    """What each stage adds to the cost of a piece of each ordered form, and what a good one has cost when it leaves.

    What a stage costs in this plan is spread over the pieces that go through it: clay at the first stage, glaze at
    glazing, packaging at the last, energy and wear at the firings, work where it is done. The pieces that leave bear
    what is normally lost: cost of one that leaves = (cost of one that enters + what the stage adds - what the seconds
    fetch) / the share that leaves. A stage through which no piece of the plan goes has no cost that is known, nor has
    any after it.

    100 pieces enter at 16.00 each and 10 % are lost, all of them seconds at 7.00: (1,600 - 70) / 90 = 17.00.
    """
    route = routes(forms, stages, form_minutes).filter(pl.col("form").is_in(pieces["form"].implode()))
    to_do = _by(("form", "stage"), pieces, (pl.col("pieces_in") - pl.col("already_done")).sum())
    rate = overhead["rate"][0] if overhead.height else None
    worked = _by(("form", "stage"), stage_hours, millionths("hours"))
    hours = {at: Fraction(number, MILLION) for at, number in worked.items()}
    fired = _by(("form", "firing"), firing_costs, pl.col("pieces").sum())
    firing = _known(firing_costs, "firing", "cost")
    stage_of = stage_taken(clay_stock, form_materials, route)
    goes_in = once_each(materials_cost.select("form", "material"), stage_of, pl.String)
    of_stage = {
        "materials": _known(materials_cost.with_columns(goes_in.alias("stage")), "stage", "cost"),
        "paid_labour": _known(labour, "stage", "paid_labour"),
        "own_labour": _known(labour, "stage", "own_labour"),
        "overhead": {at: None if rate is None else number * Fraction(rate) for at, number in hours.items()},
    }
    sold = {form: values for form, *values in forms.select("form", "seconds_pct", "second_price").iter_rows()}
    rows = []
    for _, steps in route.group_by("form", maintain_order=True):
        last = last_that_loses(steps)
        book: Fraction | None = Fraction(0)
        full: Fraction | None = Fraction(0)
        for step in steps.iter_rows(named=True):
            at = (step["form"], step["stage"])
            count = to_do.get(at, 0)
            added = {name: _each(costs.get(at, Fraction(0)), count) for name, costs in of_stage.items()}
            key = (step["form"], step["firing"])
            added["firing"] = _each(firing.get(key, Fraction(0)), fired.get(key, count))
            loss = Fraction(str(step["loss_pct"])) / 100
            share, price = sold[step["form"]]
            fetched = loss * Fraction(str(share)) / 100 * Fraction(price or 0) if step["step"] == last else Fraction(0)
            if not count:
                book = full = None
            if book is not None and full is not None:
                spent = (
                    sum((added[name] or 0 for name in ("materials", "firing", "paid_labour")), Fraction(0)) - fetched
                )
                more = sum((added[name] or 0 for name in ("own_labour", "overhead")), Fraction(0))
                book, full = (book + spent) / (1 - loss), (full + spent + more) / (1 - loss)
            rows.append(
                {name: step[name] for name in ("form", "step", "stage", "loss_pct")}
                | {name: _price(value) for name, value in added.items()}
                | {"pieces": count, "seconds_value": _price(fetched)}
                | {"book_cost_each": _price(book), "full_cost_each": _price(full)}
            )
    return shaped(PieceCosts, pl.DataFrame(rows, schema=types(PieceCosts)))


def last_that_loses(steps: pl.DataFrame) -> int | None:
    """The step of the last stage of a form's way that loses any pieces, the one whose losses may be seconds."""
    found: Any = steps.filter(pl.col("loss_pct") > 0)["step"].max()
    return None if found is None else int(found)


def _by(names: tuple[str, str], frame: pl.DataFrame, total: pl.Expr) -> dict[At, Any]:
    """A total of a sheet by two names."""
    return {(one, two): found for one, two, found in frame.group_by(names).agg(total).iter_rows()}


def _known(frame: pl.DataFrame, stage: str, cost: str) -> dict[At, Fraction | None]:
    """The sum of amounts by form and another name, as ``money.known_sum`` has it."""
    sums = _by(("form", stage), frame, known_total(cost))
    return {at: None if total is None else Fraction(total) for at, total in sums.items()}


def _each(cost: Fraction | None, count: int) -> Fraction | None:
    return None if cost is None or not count else cost / count


def _price(value: Fraction | None) -> Decimal | None:
    return None if value is None else amount(value, MONEY_DIGITS)
