"""Bats, boards and pieces waiting, night by night."""

from __future__ import annotations

import polars as pl

from pipeline.in_progress import share_in_progress, staying_on_bats
from pipeline.routes import routes
from pipeline.running import first_of, increase, running
from schemas.settings import Settings
from schemas.sheet import shaped
from schemas.sheets_out.space import Space

BOARD = "board"

BETWEEN = ("batch", "form", "stage")
"""Pieces of a batch that have still to come to a stage."""


def space(
    schedule: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    bats_and_boards: pl.DataFrame,
    orders: pl.DataFrame,
    in_progress: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """What stands in the studio on the night after each date of the schedule.

    A piece holds a bat from the date of its `on` stage up to that of its `off` stage; one in progress that no line
    takes keeps its bat. A piece waits for the stage that comes next from the date on which it had the last (after a
    firing from unloading); pieces in a kiln do not.
    Boards are counted form by form, those that are not full included; forms without ``per_board`` take none.

    25 pieces waiting, 12 to a board: 3 boards.
    """
    route = routes(forms, stages, form_minutes)
    nights = schedule.select(pl.col("date").unique().sort())
    entered, left = (schedule.filter(pl.col("task") != other) for other in ("unload", "load"))
    # What comes is rounded up: for as many pieces as the next stage takes in, none of those lost before it.
    came, went, all_came, all_went = (pl.col(name) for name in ("came", "went", "all_came", "all_went"))
    before = route.select("form", "stage", since=pl.col("stage").shift().over("form")).drop_nulls()
    waiting = _between(left, entered, before, -(-came * all_went // all_came) - went, nights)
    # Pieces that are lost on bats leave them with the first that come off, as the schedule has it.
    lost = pl.when(went > 0).then(all_came - all_went).otherwise(0)
    on_bats = _between(entered, entered, _bats(route), came - went - lost, nights)
    taken = share_in_progress(orders, forms, route, in_progress, settings.loss_cover)
    staying = pl.DataFrame(
        [(item, pieces) for _, item, pieces in staying_on_bats(taken, forms, route, in_progress)],
        schema={"item": pl.String, "more": pl.Int64},
        orient="row",
    )
    bats = pl.concat(
        [
            on_bats.join(forms.select("form", item="bat").drop_nulls(), on="form").select("date", "item", "more"),
            staying.join(nights.head(1), how="cross").select("date", "item", "more"),
        ]
    )
    owned = bats_and_boards.filter(pl.col("kind") == "bat").select("item", owned="count")
    rows = [
        _by_night(bats, nights, bats.select(pl.col("item").unique().sort()))
        .filter(pl.col("in_use").max().over("item") > 0)
        .join(owned, on="item", how="left", validate="m:1", maintain_order="left")
        .with_columns(kind=pl.lit("bat")),
        _boards(waiting, nights, forms, bats_and_boards),
        _by_night(
            waiting.rename({"stage": "item"}), nights, route.select(item=pl.col("stage").unique(maintain_order=True))
        )
        .filter(pl.col("in_use") > 0)
        .with_columns(kind=pl.lit("waiting")),
    ]
    return shaped(Space, pl.concat(rows, how="diagonal").sort("date", maintain_order=True))


def _bats(route: pl.DataFrame) -> pl.DataFrame:
    """The stages of each form at which pieces come off bats, and ``since`` which stage they were on them."""
    marked = route.filter(pl.col("bat").is_not_null())
    pairs = marked.select("form", "stage", "bat", since=pl.col("stage").shift().over("form"))
    return pairs.filter(pl.col("bat") == "off").drop("bat")


def _between(
    came: pl.DataFrame, went: pl.DataFrame, stages: pl.DataFrame, stand: pl.Expr, nights: pl.DataFrame
) -> pl.DataFrame:
    """What stands between stages of the batches: ``date``, ``form``, ``stage``, and how many ``more`` than before that
    date stand before the stage.

    They come from the stage ``since``, when the rows ``came`` of the schedule say so, and go when ``went`` does; those
    in progress, which do not come in the plan, stand there from its first night. ``stand`` tells how many of them do,
    by what ``came`` and ``went`` up to a night and ``all_came`` and ``all_went`` in the plan.
    """
    going = went.join(stages, on=["form", "stage"], how="semi").select(*BETWEEN, "date", went="pieces")
    coming = came.rename({"stage": "since"}).join(stages, on=["form", "since"]).select(*BETWEEN, "date", came="pieces")
    there = going.join(coming, on=BETWEEN, how="anti").select(*BETWEEN, came="went").join(nights.head(1), how="cross")
    first, night = first_of(BETWEEN), first_of((*BETWEEN, "date"))
    return (
        pl.concat([coming, there, going], how="diagonal")
        .with_columns(pl.col("came", "went").fill_null(0))
        .sort(*BETWEEN, "date")
        .with_columns(
            pl.col("came", "went").sum().over(BETWEEN).name.prefix("all_"),
            *(running(name, first) for name in ("came", "went")),
        )
        .filter(night.shift(-1, fill_value=True), pl.col("all_went") > 0)
        .with_columns(stand=stand.clip(0))
        .select("date", "form", "stage", more=increase("stand", first))
    )


def _by_night(changes: pl.DataFrame, nights: pl.DataFrame, names: pl.DataFrame) -> pl.DataFrame:
    """How many are ``in_use`` on each night under each of the names, in their order, by how many ``more`` are."""
    name = names.columns[0]
    more = changes.group_by("date", name).agg(pl.col("more").sum())
    every = nights.join(names, how="cross").join(more, on=["date", name], how="left", maintain_order="left")
    return every.select("date", name, in_use=pl.col("more").fill_null(0).cum_sum().over(name))


def _boards(
    waiting: pl.DataFrame, nights: pl.DataFrame, forms: pl.DataFrame, bats_and_boards: pl.DataFrame
) -> pl.DataFrame:
    """The boards of each night; none if nobody said anything of boards."""
    stand_on = forms.select("form", "per_board").drop_nulls()
    owned = bats_and_boards.filter(pl.col("kind") == BOARD)["count"]
    if stand_on.is_empty() and owned.is_empty():
        return nights.clear()
    full = -(-pl.col("in_use") // pl.col("per_board"))
    standing = _by_night(waiting, nights, stand_on.select("form")).join(stand_on, on="form", validate="m:1")
    in_use = standing.group_by("date").agg(in_use=full.sum())
    return nights.join(in_use, on="date", how="left", maintain_order="left").select(
        "date",
        pl.col("in_use").fill_null(0),
        kind=pl.lit(BOARD),
        item=pl.lit(BOARD),
        owned=pl.lit(None if owned.is_empty() else owned.sum(), pl.Int64),
    )
