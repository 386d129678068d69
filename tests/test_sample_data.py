"""The sample jobs show what they are meant to show."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline.checking.schedule_rules import broken_rules
from pipeline.packing.fit import kiln_counts
from pipeline.plan import whole_plan
from pipeline.reading.read import read_job
from schemas import REQUIRED, SHEETS_IN

SAMPLES = Path(__file__).resolve().parent.parent / "sample_data"


@pytest.mark.parametrize("name", ["first", "studio"])
def test_a_sample_is_planned_in_time_and_can_be_worked(name: str) -> None:
    reading = read_job(SAMPLES / name, today=date(2027, 3, 1), needed=REQUIRED)
    assert reading.problems.is_empty()
    assert reading.job is not None
    outcome = whole_plan(reading.job, reading.problems)
    assert not outcome.stopped
    assert not outcome.late
    results = outcome.results
    assert results["promises"].height == reading.job.orders.height
    job = reading.job
    fits = kiln_counts(job.forms, job.firings, job.kilns, job.kiln_fit)
    counts = {key: fit.pieces for key, fit in fits.items()}
    assert broken_rules(job, results["pieces"], results["schedule"], results["kiln_loads"], counts) == []


def test_the_first_job_is_four_short_sheets() -> None:
    assert sorted(path.stem for path in (SAMPLES / "first").iterdir()) == sorted(REQUIRED)


def test_the_studio_uses_every_sheet() -> None:
    assert sorted(path.stem for path in (SAMPLES / "studio").glob("*.csv")) == sorted(SHEETS_IN)


def test_the_studio_has_a_line_in_time_by_a_hair_and_one_without_a_date() -> None:
    """A line with less than a week in hand shows what ``slack_days`` is for."""
    reading = read_job(SAMPLES / "studio", today=date.min, needed=REQUIRED)
    assert reading.job is not None
    promises = whole_plan(reading.job, reading.problems).results["promises"]
    assert not promises.filter(pl.col("slack_days") < 7).is_empty()
    assert not promises.filter(pl.col("due").is_null()).is_empty()
