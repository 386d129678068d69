"""The day sheet: every row of the schedule once, in the order of the day, on a page."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import polars as pl
import pytest

from pipeline.plan import whole_plan
from pipeline.reading.read import read_job
from pipeline.writing.day import day_pages, day_sheet
from pipeline.writing.words import clock, in_words
from schemas import REQUIRED
from schemas.answers import ANSWERS
from schemas.problem import problems_sheet
from schemas.settings import Units
from tests.shops import frame, make_job, shop
from tests.steps.planned import march
from tests.steps.worked import worked

STUDIO = Path(__file__).resolve().parents[2] / "sample_data" / "studio"

ACROSS, DOWN = 87, 64
"""Letters across and lines down an A4 page, 210 x 297 mm (ISO 216), an inch of margins taken off each way: 10-point
letters of one width are 12 to the inch, lines 6 to the inch (common practice, no source)."""

CUP = {"order": "A", "form": "cup", "glaze": "oat"}
BOWL = {"order": "B", "form": "bowl with a very long name"}

JOB = make_job(
    orders=[CUP | {"quantity": 20}, BOWL | {"quantity": 8}],
    forms=[{"form": "cup", "ball_g": 380.0}, {"form": "bowl with a very long name", "ball_g": 1200.0}],
    stages=[
        {"stage": "wedge", "minutes_per_kg": 2.0},
        {"stage": "throw", "minutes_each": 3.0},
        {"stage": "bisque", "firing": "bisque"},
        {"stage": "glaze", "minutes_each": 2.0},
        {"stage": "glaze fire", "firing": "glaze"},
    ],
    labour_hours=[
        {"worker": "Ada", "day": "Mon-Fri", "hours": 5.0},
        {"worker": "Tam", "day": "Tue", "hours": 4.0},
    ],
    closed_days=[{"from": march(4), "to": march(5), "note": "pot fair"}],
)

TUESDAY = {"date": march(2), "weekday": "Tue"}
B1 = TUESDAY | CUP | {"task": "work", "batch": "B1", "pieces": 20}
P1 = TUESDAY | BOWL | {"task": "work", "batch": "P1", "pieces": 8}
SCHEDULE = frame(
    "schedule",
    [
        B1 | {"stage": "throw", "minutes": 60.0, "worker": "Ada"},
        B1 | {"stage": "wedge", "minutes": 15.2, "worker": "Tam"},
        P1 | {"stage": "glaze fire", "task": "load", "minutes": 30.0, "worker": "Ada", "kiln": "back", "load": "L2"},
        P1 | {"stage": "glaze", "minutes": 16.5, "worker": "Tam"},
        P1 | {"stage": "bisque", "task": "unload", "minutes": 12.0, "worker": "Ada", "kiln": "back", "load": "L1"},
    ],
)

RESULTS = {
    # 20 balls of 380 g: 7.6 kg.
    "clay_to_wedge": frame(
        "clay_to_wedge",
        [{"date": march(2), "clay": "buff", "form": "cup", "balls": 20, "ball_g": 380.0, "total_kg": 7.6}],
    ),
    "kiln_loads": frame(
        "kiln_loads",
        [
            BOWL | {"load": load, "firing": firing, "kiln": "back kiln", "load_on": march(on), "unload_on": march(off),
                    "batch": "P1", "pieces": 8, "share_pct": 20.0}
            for load, firing, on, off in (("L1", "bisque", 0, 2), ("L2", "glaze", 2, 8))
        ],
    ),
}  # fmt: skip


def page(day: date, days: int = 1) -> str:
    return day_pages(JOB, day_sheet(JOB, SCHEDULE, day, days), RESULTS, day, days)


def test_the_order_of_the_day() -> None:
    """The kiln is emptied, then wedging, throwing and glazing come in their turn, and the kiln is filled at the end."""
    sheet = day_sheet(JOB, SCHEDULE, march(2))
    ANSWERS["day"].validate(sheet)
    assert sheet.select("place", "task", "stage").rows() == [
        (1, "unload", "bisque"),
        (2, "work", "wedge"),
        (3, "work", "throw"),
        (4, "work", "glaze"),
        (5, "load", "glaze fire"),
    ]


def test_balls_are_told_where_they_are_weighed_and_thrown() -> None:
    balls = day_sheet(JOB, SCHEDULE, march(2)).select("stage", "ball_g").rows()
    assert dict(balls) == {"wedge": 380.0, "throw": 380.0, "bisque": None, "glaze": None, "glaze fire": None}


def test_a_method_without_wedging_tells_them_at_its_first_stage() -> None:
    job = make_job(orders=[{"order": "A", "form": "cup", "quantity": 5}])
    sheet = day_sheet(job, worked(job)["schedule"], march(1), 60)
    assert sheet.filter(pl.col("ball_g").is_not_null())["stage"].unique().to_list() == ["throw"]


def test_the_page() -> None:
    """Ada 12 + 60 + 30 = 102 minutes of 5 hours, Tam 15.2 + 16.5 = 31.7 of 4; the first load is out that day."""
    assert page(march(2)).splitlines() == [
        "Tuesday 2 March 2027",
        "====================",
        "",
        "stage            pieces  form              glaze  batch   ball    time  who  load",
        "unload bisque         8  bowl with a ver…         P1            12 min  Ada  L1",
        "wedge                20  cup               oat    B1     380 g  15 min  Tam",
        "throw                20  cup               oat    B1     380 g     1 h  Ada",
        "glaze                 8  bowl with a ver…         P1            17 min  Tam",
        "load glaze fire       8  bowl with a ver…         P1            30 min  Ada  L2",
        "",
        "To wedge: 7.60 kg of buff: 20 cup of 380 g",
        "Hours: Ada 1 h 42 min of 5 h",
        "Hours: Tam 32 min of 4 h",
        "In back kiln: load L2, glaze, until Monday 8 March 2027",
    ]


def test_a_page_for_each_day() -> None:
    """Wednesday has no work and Ada has hours; Thursday and Friday the studio is closed; the kiln goes on."""
    kiln = "In back kiln: load L2, glaze, until Monday 8 March 2027"
    wednesday, thursday, friday, saturday = (text.strip().splitlines() for text in page(march(3), 4).split("\f"))
    assert wednesday[3:] == ["Nothing to do.", "Hours: Ada 0 min of 5 h", kiln]
    assert thursday == ["Thursday 4 March 2027", "=====================", "", "Closed: pot fair.", kiln]
    assert friday[0] == "Friday 5 March 2027"
    assert saturday[3:] == ["Nothing to do.", kiln]


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (0.2, "1 min"), (16.5, "17 min"), (59.6, "1 h"), (60, "1 h"), (169, "2 h 49 min"), (1440, "24 h")],
)
def test_time_in_hours_and_minutes(minutes: float, words: str) -> None:
    assert clock(minutes) == words


@pytest.mark.parametrize(
    ("day", "words"),
    [
        # Weekdays by ISO 8601: 1985-W15-5 is the standard's own example; the others are 1976-W53-6, 2006-W52-7,
        # 2020-W01-1 and 2026-W53-4.
        (date(1985, 4, 12), "Friday 12 April 1985"),
        (date(1977, 1, 1), "Saturday 1 January 1977"),
        (date(2006, 12, 31), "Sunday 31 December 2006"),
        (date(2019, 12, 30), "Monday 30 December 2019"),
        (date(2026, 12, 31), "Thursday 31 December 2026"),
    ],
)
def test_dates_in_words(day: date, words: str) -> None:
    assert in_words(day) == words


@pytest.mark.parametrize("seed", range(3))
def test_no_row_of_the_schedule_is_lost_or_told_twice(seed: int) -> None:
    job = shop(seed)
    schedule = worked(job)["schedule"]
    first = schedule["date"].min()
    assert isinstance(first, date)
    sheets = [day_sheet(job, schedule, first + timedelta(days=7 * week), 7) for week in range(60)]
    told = pl.concat(sheets)
    assert schedule["date"].max() < first + timedelta(days=7 * 60)
    same = schedule.columns
    assert told.select(same).sort(pl.all()).equals(schedule.sort(pl.all()))
    assert (told["place"] == told.select(pl.int_range(1, pl.len() + 1).over("date")).to_series()).all()


@pytest.mark.parametrize("units", ["metric", "us"])
def test_each_day_of_the_sample_fits_a_page(units: Units) -> None:
    job = read_job(STUDIO, today=march(1), needed=REQUIRED).job
    assert job is not None
    job = replace(job, settings=replace(job.settings, units=units))
    results = whole_plan(job, problems_sheet(())).results
    sheet = day_sheet(job, results["schedule"], march(1), 60)
    pages = [text.strip("\n").splitlines() for text in day_pages(job, sheet, results, march(1), 60).split("\f")]
    assert len(pages) == 60
    assert max(len(line) for lines in pages for line in lines) <= ACROSS
    assert max(map(len, pages)) <= DOWN
