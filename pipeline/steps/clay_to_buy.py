"""The clay-buying list."""

from __future__ import annotations

from datetime import date

import polars as pl

from pipeline.clay import batch_grams, begun_batches, line_clay, to_kg, to_mg
from pipeline.lines import LINE
from pipeline.routes import routes
from pipeline.waits import drying_factors, latest_start, waits_by_form
from schemas.settings import Settings
from schemas.sheet import shaped
from schemas.sheets_out.clay_to_buy import ClayToBuy


def clay_to_buy(
    pieces: pl.DataFrame,
    schedule: pl.DataFrame,
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    clay_stock: pl.DataFrame,
    clay_blends: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    drying_months: pl.DataFrame,
    firings: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """What to buy of each clay, in whole bags of its newest lot, in the order of the clay stock.

    short = needed + reserve - on hand - reclaim counted on, never below nought; bags = short / bag, rounded up.
    ``order_by`` is the day on which clay that is not in hand is first needed, less the lead days: by the schedule, or,
    where that is empty because none is made, by the due dates. Then the day needed is the last on which the first line
    that the clay in hand does not cover may be begun, waits and firings alone counted, and an ``order_by`` before the
    plan's first day says that the due date cannot be kept.

    61.2 kg needed, 8 kg on hand, bags of 12.5 kg: 53.2 kg short, so 5 bags, 62.5 kg, and 9.3 kg are left.
    """
    route = routes(forms, stages, form_minutes)
    lines = line_clay(pieces, forms, clay_blends, settings)
    needed = lines.group_by("part").agg(pl.col("mg", "reclaim_mg").sum())
    stock = stock_by_clay(clay_stock).join(needed, left_on="clay", right_on="part", how="left", maintain_order="left")
    need, again = pl.col("mg").fill_null(0), pl.col("reclaim_mg").fill_null(0)
    hand, keep, bag = pl.col("hand_mg"), pl.col("keep_mg"), pl.col("bag_mg")
    short = (need + keep - hand - again).clip(lower_bound=0)
    counted = stock.with_columns(
        needed_kg=to_kg(need),
        on_hand_kg=to_kg(hand),
        keep_kg=to_kg(keep),
        reclaim_kg=to_kg(again),
        short_kg=to_kg(short),
        bags_to_buy=-(-short // bag),
        free_mg=hand + again - keep,
    ).with_columns(
        bought_kg=to_kg(pl.col("bags_to_buy") * bag),
        left_kg=to_kg(hand + again + pl.col("bags_to_buy") * bag - need),
        cost=pl.col("bag_price") * pl.col("bags_to_buy"),
    )
    if schedule.is_empty():
        dated = lines.join(
            _begin_by(orders, route, firings, drying_months),
            on=LINE,
            how="left",
            nulls_equal=True,
            maintain_order="left",
        )
    else:
        batches = begun_batches(schedule, route)
        dated = batches.join(lines, on=LINE, how="left", nulls_equal=True).with_columns(mg=batch_grams() * 1000)
    runs_out = _runs_out(dated, counted)
    listed = counted.join(runs_out, left_on="clay", right_on="part", how="left", maintain_order="left").with_columns(
        order_by=pl.when(pl.col("bags_to_buy") > 0).then(pl.col("date") - pl.duration(days=pl.col("lead_days"))),
        cost=pl.col("cost").round(settings.minor_digits, mode="half_away_from_zero"),
    )
    return shaped(ClayToBuy, listed)


def stock_by_clay(clay_stock: pl.DataFrame) -> pl.DataFrame:
    """A row a clay, in the order of the sheet: clay on hand and reserve in milligrams, and its newest lot's supplier,
    bag, price and lead days. Of lots of one date, or of none, the one further down the sheet is the newer.
    """
    oldest_first = clay_stock.with_row_index("place").sort("received", nulls_last=False, maintain_order=True)
    return (
        oldest_first.group_by("clay", maintain_order=True)
        .agg(
            place=pl.col("place").min(),
            hand_mg=(to_mg(pl.col("bag_kg")) * pl.col("bags") + to_mg(pl.col("loose_kg"))).sum(),
            keep_mg=to_mg(pl.col("keep_kg")).sum(),
            supplier=pl.col("supplier").last(),
            bag_kg=pl.col("bag_kg").last(),
            bag_mg=to_mg(pl.col("bag_kg")).last(),
            bag_price=pl.col("bag_price").last(),
            lead_days=pl.col("lead_days").last(),
        )
        .sort("place")
    )


def _begin_by(
    orders: pl.DataFrame, route: pl.DataFrame, firings: pl.DataFrame, drying_months: pl.DataFrame
) -> pl.DataFrame:
    """For each line the last day to begin it, as ``date``; blank without a due date."""
    waits = waits_by_form(route, firings)
    factors = drying_factors(drying_months)
    asked = orders.select("form", "due").drop_nulls().unique(maintain_order=True)
    days = [date.fromordinal(latest_start(waits[form], due.toordinal(), factors)) for form, due in asked.iter_rows()]
    last = asked.with_columns(date=pl.Series(days, dtype=pl.Date))
    return orders.select(*LINE, "due").join(last, on=["form", "due"], how="left", maintain_order="left")


def _runs_out(dated: pl.DataFrame, counted: pl.DataFrame) -> pl.DataFrame:
    """For each clay the first ``date`` on which more than is in hand is used up; ``dated`` says how much when."""
    return (
        dated.sort("date", nulls_last=True, maintain_order=True)
        .with_columns(used=pl.col("mg").cum_sum().over("part"))
        .join(counted.select("clay", "free_mg"), left_on="part", right_on="clay", how="left", maintain_order="left")
        .filter(pl.col("used") > pl.col("free_mg"), pl.col("mg") > 0)
        .group_by("part", maintain_order=True)
        .agg(pl.col("date").first())
    )
