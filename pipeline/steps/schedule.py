"""The dated schedule."""

from __future__ import annotations

import polars as pl

from pipeline.job import Job
from pipeline.scheduling.from_job import build_shop
from pipeline.scheduling.rows import schedule_rows
from pipeline.scheduling.search import best_timetable
from schemas.settings import THOROUGH


def schedule(job: Job, pieces: pl.DataFrame) -> pl.DataFrame:
    """Every batch at every stage on a date, with who does it and in which load it is fired.

    Valid by waits, hours, bats, kilns, closed days and daily limits; then as little late as found, with as few
    firings, finished as early. Pieces that can't be placed at all are told by ``obstacles`` and are not in it.
    """
    if job.settings.search == THOROUGH:
        from pipeline.thorough import thorough  # brings the checker along, which other plans need not wait for

        return thorough(job, pieces).schedule
    return schedule_rows(best_timetable(build_shop(job, pieces)))
