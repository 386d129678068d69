"""Job folders for tests of reading."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from pipeline.job import Job
from pipeline.reading.read import Reading, read_job

TODAY = date(2027, 3, 1)

NEEDED = ("orders", "forms", "clay_stock")

SOUND = {
    "orders": "order,form,quantity,due\nA1,mug,24,2027-04-30\n",
    "forms": "form,clay,ball_g\nmug,buff,380\n",
    "clay_stock": "clay,bag_kg,bags,bag_price\nbuff,12.5,4,13.80\n",
}
"""The shortest job in which nothing is wrong."""


def read(folder: Path, **sheets: str | bytes) -> Reading:
    """Read the sound sheets, and those given in their place or beside them. ``folder`` is an empty folder."""
    contents = {name: text.encode() if isinstance(text, str) else text for name, text in (SOUND | sheets).items()}
    return read_job(folder, today=TODAY, needed=NEEDED, instead=contents)


def job_of(folder: Path, **sheets: str | bytes) -> Job:
    """The job of sheets in which nothing is wrong or doubtful."""
    reading = read(folder, **sheets)
    assert reading.problems.is_empty(), reading.problems.rows()
    assert reading.job is not None
    return reading.job


def told(reading: Reading) -> list[tuple[str, int | None, str | None, str]]:
    """Sheet, row, column and kind of each problem."""
    return list(reading.problems.select("sheet", "row", "column", "kind").iter_rows())


def assumed(job: Job) -> dict[str, str]:
    """What was taken, to its value."""
    return dict(job.readings.select("what", "value").iter_rows())
