"""When each line is ready, and what holds it up."""

from __future__ import annotations

from datetime import timedelta

import polars as pl

from pipeline.calendar import calendar
from pipeline.job import Job
from pipeline.lines import LINE, with_line
from pipeline.scheduling.hold_ups import hold_ups
from pipeline.scheduling.shop import build_shop
from schemas.sheet import shaped
from schemas.sheets_out.promises import Promises


def promises(job: Job, pieces: pl.DataFrame, schedule: pl.DataFrame) -> pl.DataFrame:
    """When each line's last piece is finished, how that stands to its due date, and what holds up a late one.

    days_late = ready - due, not below 0; slack_days = due - ready; latest_start = the day on which the line would have
    to be begun to be ready on its due date if it took as many days as in this plan, or the last day with work before
    it. A line that is finished already is ready on the plan's first day.

    Begun on the 1st, ready on the 20th, due on the 25th: 5 days of slack, so it may begin on the 6th.
    """
    spans = schedule.group_by(*LINE).agg(begun=pl.col("date").min(), ready=pl.col("date").max())
    start = pl.lit(job.settings.start)
    lines = with_line(job.orders, spans).with_columns(
        begun=pl.col("begun").fill_null(start), ready=pl.col("ready").fill_null(start)
    )
    lines = lines.with_columns(slack_days=(pl.col("due") - pl.col("ready")).dt.total_days()).with_columns(
        days_late=(-pl.col("slack_days")).clip(lower_bound=0)
    )
    shifts = calendar(job.labour_hours, job.closed_days, job.settings.start)
    latest = []
    for begun, slack in lines.select("begun", "slack_days").iter_rows():
        day = None if slack is None else begun + timedelta(days=slack)
        while day is not None and day >= job.settings.start and not shifts.works(day.toordinal()):
            day -= timedelta(days=1)
        latest.append(day)
    late = lines.with_row_index("line").filter(pl.col("days_late") > 0)["line"].to_list()
    reasons = (
        hold_ups(build_shop(job, pieces), dict(zip(late, lines["days_late"].gather(late), strict=True))) if late else {}
    )
    return shaped(
        Promises,
        lines.with_columns(
            latest_start=pl.Series(latest, dtype=pl.Date),
            held_up_by=pl.Series([reasons.get(line) for line in range(lines.height)], dtype=pl.String),
        ),
    )
