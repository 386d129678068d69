"""Overhead on normal capacity."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from tests.random_sheets import Cells
from tests.shops import START, frame, make_job
from tests.steps.worked import inputs, step

D = Decimal

MONTH: Cells = {"overhead_per_month": D("1000000"), "normal_hours_per_month": 10_000.0}


def overhead(hours: list[float], last: dt.date, **settings: Any) -> dict[str, Any]:
    """The overhead of a plan from 1 March 2027 to its last day, of lines of so many hours."""
    lines = [{"order": f"A{at}", "form": "cup", "quantity": 1} for at in range(len(hours))]
    worked = [line | {"stage": "throw", "hours": spent} for line, spent in zip(lines, hours, strict=True)]
    results = {
        "stage_hours": frame("stage_hours", [{key: row[key] for key in row if key != "quantity"} for row in worked]),
        "schedule": frame("schedule", [{"date": START}, {"date": last}]),
    }
    job = make_job(orders=lines, settings=settings)
    return step("overhead")(**inputs("overhead", job, results)).row(0, named=True)


def test_what_a_slack_month_does_not_absorb_is_an_expense() -> None:
    # IAS 2, Inventories, paragraph 13, by study notes on it: a fixed overhead of 1,000,000 at a normal 10,000 units is
    # 100 a unit; 8,000 made bear 800,000, and 200,000 are an expense.
    found = overhead([5_000.0, 3_000.0], dt.date(2027, 3, 31), **MONTH)
    assert (found["rate"], found["absorbed"], found["unabsorbed"]) == (100, 800_000, 200_000)
    assert (found["first_day"], found["hours"], found["normal_hours"]) == (START, 8_000.0, 10_000.0)


def test_a_busy_month_bears_no_more_than_there_is() -> None:
    # The same paragraph: at 12,500 the rate falls to 80.
    found = overhead([12_500.0], dt.date(2027, 3, 31), **MONTH)
    assert (found["rate"], found["absorbed"], found["unabsorbed"]) == (80, 1_000_000, 0)


def test_a_month_in_part_counts_by_its_days() -> None:
    # March whole and ten of April's thirty days: 1 1/3 months of 480 are 640.00, and of 120 hours 160. 100 h x 4.00.
    found = overhead([100.0], dt.date(2027, 4, 10), overhead_per_month=D(480), normal_hours_per_month=120.0)
    assert (found["overhead"], found["normal_hours"], found["rate"]) == (D("640.00"), 160.0, 4)
    assert (found["absorbed"], found["unabsorbed"]) == (400, 240)


@pytest.mark.parametrize("half", [{"overhead_per_month": D(480)}, {"normal_hours_per_month": 120.0}, {}])
def test_a_rate_by_the_hour_leaves_the_rest_unknown(half: Cells) -> None:
    # 2.5 h at 4.50: 11.25.
    found = overhead([2.5], dt.date(2027, 3, 5), overhead_per_hour=D("4.50"), **half)
    assert (found["rate"], found["absorbed"]) == (D("4.50"), D("11.25"))
    assert found["overhead"] is found["normal_hours"] is found["unabsorbed"] is None


def test_without_any_overhead_it_is_blank() -> None:
    found = overhead([2.5], dt.date(2027, 3, 5))
    assert found["rate"] is found["absorbed"] is found["unabsorbed"] is None


def test_a_job_of_two_hundred_pieces() -> None:
    # Job 334 of a textbook on costs: labour 2,400 at 6 an hour is 400 h; overhead 100,000 on 40,000 h is 2.50 an hour,
    # 1,000 for the job.
    found = overhead([400.0], dt.date(2027, 3, 31), overhead_per_month=D(100_000), normal_hours_per_month=40_000.0)
    assert (found["rate"], found["absorbed"]) == (D("2.50"), 1_000)
