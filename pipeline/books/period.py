"""The days on which the books open and close, and how far the lines are by then."""

from __future__ import annotations

from datetime import date, timedelta

import polars as pl

from pipeline.lines import LINE
from schemas.settings import Settings


def opens(settings: Settings) -> date:
    """The books open on the evening before the plan's first day."""
    return settings.start - timedelta(days=1)


def closes(schedule: pl.DataFrame, settings: Settings) -> date:
    """The books close on the evening of ``books_to``, or else of the plan's last day with work."""
    last = schedule["date"].max()
    return settings.books_to or (last if isinstance(last, date) else opens(settings))


def cut_short(schedule: pl.DataFrame, settings: Settings) -> bool:
    """Whether work of the plan comes after the books close. Without ``books_to`` they take in all of it, dated or
    not."""
    last = schedule["date"].max()
    return settings.books_to is not None and isinstance(last, date) and settings.books_to < last


def unsold(last: date) -> pl.Expr:
    """Which lines of ``sales`` are not sold by a day: those ready later or never, and those without a price, which are
    made for stock. Their goods stay in the books, and so does a deposit."""
    return (pl.col("ready") > last).fill_null(value=True) | pl.col("unit_price").is_null()


def progress(pieces: pl.DataFrame, schedule: pl.DataFrame, settings: Settings) -> pl.DataFrame:
    """``pieces`` with how many of each line have had each stage when the books close.

    Columns more: ``to_do`` (pieces that the plan takes through the stage), ``worked`` (those of them that have had it
    by then; a firing is done when the kiln is unloaded) and ``left`` (pieces that have left it and are good: those
    already done at the start, and of those worked the share that the stage's loss leaves, to the nearest whole piece).
    """
    to_do = pl.col("pieces_in") - pl.col("already_done")
    known = pieces.with_columns(to_do=to_do)
    if not cut_short(schedule, settings):
        return known.with_columns(worked="to_do", left="pieces_out")
    done = (
        schedule.filter(pl.col("task") != "load", pl.col("date") <= closes(schedule, settings))
        .group_by(*LINE, "stage")
        .agg(worked=pl.col("pieces").sum())
    )
    good = pl.col("pieces_out") - pl.col("already_done")
    # Whole numbers: twice the pieces and half a divisor more, divided without a rest, round to the nearest.
    nearest = (2 * pl.col("worked") * good + pl.col("to_do")) // (2 * pl.max_horizontal("to_do", 1))
    return (
        known.join(done, on=[*LINE, "stage"], how="left", nulls_equal=True, validate="1:1", maintain_order="left")
        .with_columns(pl.col("worked").fill_null(0))
        .with_columns(left=pl.col("already_done") + nearest)
    )
