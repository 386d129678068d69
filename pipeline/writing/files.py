"""The files of a plan, as bytes by name."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.job import Job
from pipeline.writing.book import book
from pipeline.writing.csvs import csv_bytes
from pipeline.writing.events import plan_events
from pipeline.writing.ics import ics_bytes
from pipeline.writing.xlsx import draw
from schemas import SHEETS_OUT

WORKBOOK = "plan.xlsx"
CALENDAR = "plan.ics"

PLAN_NAMES = (*(f"{name}.csv" for name in SHEETS_OUT), WORKBOOK, CALENDAR)
"""The names of a plan's files."""


def plan_files(job: Job, results: Mapping[str, pl.DataFrame]) -> dict[str, bytes]:
    """Every result sheet as a CSV, the workbook, and the calendar for phones."""
    digits = job.settings.minor_digits
    files = {f"{name}.csv": csv_bytes(SHEETS_OUT[name], results[name], digits) for name in SHEETS_OUT}
    dates = ics_bytes(plan_events(job, results), job.settings.start)
    return files | {WORKBOOK: draw(book(job, results)), CALENDAR: dates}


def problem_file(problems: pl.DataFrame) -> bytes:
    """The problems as a CSV."""
    return csv_bytes(SHEETS_OUT["problems"], problems, 0)
