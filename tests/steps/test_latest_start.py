"""A line begun on its latest day to start, the others kept as they are, is still in time."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import polars as pl
import pytest

from pipeline.plan import work_out
from pipeline.scheduling.from_job import build_shop
from pipeline.scheduling.search import best_timetable
from schemas.problem import problems_sheet
from tests.shops import Cells, shop
from tests.steps.planned import march, planned, searched_less, thrown
from tests.steps.test_schedule_again import without_chance


@pytest.mark.parametrize("seed", range(230, 238))
def test_begun_then_it_is_in_time(seed: int) -> None:
    """The plan is made again with nothing begun of the line before that day; the days of all others are kept to."""
    job = without_chance(shop(seed))
    with pytest.MonkeyPatch.context() as patch:
        # What holds up the late lines, and what would mend that, is not asked.
        patch.setattr("pipeline.steps.promises.with_reasons", lambda _job, _pieces, dated, _lines: dated)
        results = work_out(("promises",), job, problems_sheet(())).results
    schedule, pieces = results["schedule"], results["pieces"]
    for line, row in enumerate(results["promises"].iter_rows(named=True)):
        if row["due"] is None or row["days_late"]:
            continue
        own = pl.all_horizontal(pl.col(name) == row[name] for name in ("order", "form", "glaze"))
        kept = build_shop(replace(job, last_schedule=schedule.filter(~own)), pieces)
        latest = row["latest_start"].toordinal()
        flows = tuple(replace(flow, ready=latest) if flow.line == line else flow for flow in kept.flows)
        with searched_less():
            timetable = best_timetable(replace(kept, flows=flows))
        assert not timetable.left
        done = max(placed.finished for placed in timetable.placements if placed.flow.line == line)
        assert dt.date.fromordinal(done) <= row["due"]


THROWN_AND_TURNED: list[Cells] = [
    {"stage": "throw", "minutes_each": 2.0, "wait_days": 3},
    {"stage": "turn", "minutes_each": 2.0},
]


def test_no_day_falls_on_a_closed_one() -> None:
    """Thrown on Monday the 1st and turned on the 4th. Due on Monday the 15th, which is closed, it would be turned on
    Friday the 12th, and thrown on Tuesday the 9th: not on the 12th, eleven days after the 1st.
    """
    cups = {"order": "A", "form": "cup", "quantity": 5, "due": march(15)}
    job = thrown(orders=[cups], stages=THROWN_AND_TURNED, closed_days=[{"from": march(15)}])
    promise = planned(job).promise("A")
    assert (promise["ready"], promise["slack_days"], promise["latest_start"]) == (march(4), 11, march(9))
