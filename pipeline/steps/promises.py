"""When each line is ready, what holds it up, and what would mend that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

import polars as pl

from pipeline.calendar import Calendar, calendar
from pipeline.cheapest import with_covers
from pipeline.in_progress import finished_on, share_in_progress
from pipeline.job import Job
from pipeline.lines import LINE, with_line
from pipeline.routes import routes
from pipeline.scheduling.from_job import build_shop, followed
from pipeline.scheduling.hold_ups import hold_ups
from pipeline.scheduling.latest_starts import is_planned_again, latest_starts
from pipeline.scheduling.mends import mends
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.trials import Trial
from pipeline.steps.pieces import pieces as pieces_of
from schemas.settings import CHEAPEST
from schemas.sheet import shaped
from schemas.sheets_out.promises import Promises

FINISHED_LATE = "nothing now: it was finished after its due date"
"""What holds up a line that is late and has no work left."""


def promises(job: Job, pieces: pl.DataFrame, schedule: pl.DataFrame) -> pl.DataFrame:
    """When each line's last piece is finished, how that stands to its due date; what holds up a late one, and what
    would have it in time.

    ready = the last date of the line in the schedule; a line with nothing left to do was ready on the latest date of
    the finished pieces in progress that it takes. days_late = ready - due, not below 0; slack_days = due - ready;
    latest_start = the last day on which the line may be begun to be ready on its due date, all others kept to: as many
    days later as it has slack, or before that where one of its days would fall on a closed one or on hands, bats and
    kilns that others have then; none for a finished line.

    Begun on the 1st, ready on the 20th, due on the 25th: 5 days of slack, so it may begin on the 6th.
    """
    dated = _with_latest_starts(job, pieces, schedule, promised(job, schedule))
    return with_reasons(job, pieces, dated, range(dated.height))


def promised(job: Job, schedule: pl.DataFrame) -> pl.DataFrame:
    """The sheet ``promises`` without what holds the late lines up, and what would mend that; the latest day to start a
    line is that by its own days alone.
    """
    spans = schedule.group_by(*LINE).agg(days=pl.col("date").unique().sort(), ready=pl.col("date").max())
    finished = _finished(job)
    lines = (
        with_line(job.orders, spans)
        .with_columns(ready=pl.coalesce("ready", pl.Series(finished, dtype=pl.Date)))
        .with_columns(slack_days=(pl.col("due") - pl.col("ready")).dt.total_days())
        .with_columns(days_late=(-pl.col("slack_days")).clip(lower_bound=0))
    )
    shifts = calendar(job.labour_hours, job.closed_days, job.settings.start)
    latest = [
        None if due is None or days is None else date.fromordinal(_latest_start(days, due.toordinal(), shifts))
        for due, days in lines.select("due", "days").iter_rows()
    ]
    unsaid = pl.lit(None, dtype=pl.String)
    return shaped(
        Promises,
        lines.with_columns(latest_start=pl.Series(latest, dtype=pl.Date), held_up_by=unsaid, mended_by=unsaid),
    )


def _with_latest_starts(job: Job, pieces: pl.DataFrame, schedule: pl.DataFrame, promised: pl.DataFrame) -> pl.DataFrame:
    """The sheet with the latest days to start of the lines in time as they are when all others are kept to."""
    begun = with_line(promised, schedule.group_by(*LINE).agg(begun=pl.col("date").min()))["begun"]
    latest, done = promised["latest_start"].to_list(), [day.toordinal() for day in promised["ready"]]
    first = {
        line: day.toordinal()
        for line, (day, late) in enumerate(zip(begun, promised["days_late"], strict=True))
        if late == 0 and day is not None and latest[line] > day
    }
    if not first or not is_planned_again(build_shop(job, pieces)):
        return promised
    shop = followed(build_shop(job, pieces), job, schedule)
    found = latest_starts(shop, first, {line: latest[line].toordinal() for line in first}, dict(enumerate(done)))
    days = [date.fromordinal(found[line]) if line in found else day for line, day in enumerate(latest)]
    return promised.with_columns(latest_start=pl.Series(days, dtype=pl.Date))


def _latest_start(days: Sequence[date], due: int, shifts: Calendar) -> int:
    """The latest first day of a line that is worked on certain days, for the last of them to be due: from each day to
    the next at least as long as in the plan, and all days with work, as far as the plan goes back.
    """
    ordinals = [day.toordinal() for day in days]
    latest, after = due, ordinals[-1]
    for day in reversed(ordinals):
        latest = shifts.last_work(latest - (after - day))
        after = day
    return latest


def with_reasons(job: Job, pieces: pl.DataFrame, promised: pl.DataFrame, lines: Iterable[int]) -> pl.DataFrame:
    """The sheet with what holds up those of the ``lines``, by their place in it, that are late, and what would mend it.

    A late line with no latest day to start has no work left, and nothing mends it.
    """
    days = promised["days_late"].to_list()
    late = {line: days[line] for line in lines if days[line]}
    latest = promised["latest_start"].to_list()
    under_way = {line: number for line, number in late.items() if latest[line] is not None}
    reasons, mended = dict.fromkeys(late, FINISHED_LATE), {}
    if under_way:
        shop = build_shop(job, pieces)
        made: list[Trial] = []
        held = hold_ups(shop, under_way, made)
        reasons |= {line: found.words for line, found in held.items()}
        mended = mends(job, pieces, shop, under_way, held, _shop, made)
    return promised.with_columns(
        pl.Series(name, [found.get(line) for line in range(promised.height)], dtype=pl.String)
        for name, found in (("held_up_by", reasons), ("mended_by", mended))
    )


def _shop(job: Job) -> Shop:
    """The shop of a job as a plan has it: what was changed in the job may change which pieces are still to be made."""
    if job.settings.loss_cover == CHEAPEST:
        job = with_covers(job)
    sheets = (job.orders, job.forms, job.stages, job.form_minutes, job.in_progress)
    return build_shop(job, pieces_of(*sheets, settings=job.settings))


def _finished(job: Job) -> list[date]:
    """For each line the day on which it was finished if it has nothing left to do; the plan's first where none says."""
    taken = share_in_progress(
        job.orders,
        job.forms,
        routes(job.forms, job.stages, job.form_minutes),
        job.in_progress,
        job.settings.loss_cover,
    )
    known = finished_on(taken, job.in_progress)
    return [known.get(line, job.settings.start) for line in range(job.orders.height)]
