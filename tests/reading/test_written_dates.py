"""Dates however they are written, decided from the whole column."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from dateutil import parser
from hypothesis import given
from hypothesis import strategies as st

from pipeline.reading.written_dates import dated, serial_day
from tests.reading.folders import assumed, job_of, read, told


def dues(*cells: str) -> str:
    return "order,form,quantity,due\n" + "".join(f'A{n},mug,24,"{cell}"\n' for n, cell in enumerate(cells))


FIFTH_OF_MARCH = [
    "2027-03-05", "2027/03/05", "2027.3.5", "5 Mar 2027", "5 March 2027", "05-Mar-27", "5th March 2027", "5. März 2027",
    "Mar 5, 2027", "March 5th, 2027", "Fri 5 Mar 2027", "Friday, March 5, 2027", "05.03.2027", "5.3.27", "5. 3. 2027",
    "2027-03-05T00:00:00", "5 Mar 2027 00:00", "Fri 5/3/2027", "Fri 3/5/2027", "5 mars 2027",
]  # fmt: skip
"""A Friday, as the calendar of 2027 has it."""


@pytest.mark.parametrize("cell", FIFTH_OF_MARCH)
def test_a_date_that_leaves_nothing_open(tmp_path: Path, cell: str) -> None:
    assert job_of(tmp_path, orders=dues(cell)).orders["due"].to_list() == [date(2027, 3, 5)]


@pytest.mark.parametrize(
    ("other", "month"), [("25/3/2027", 5), ("3/25/2027", 3), ("25.03.2027", 5), ("Wed 5/5/2027", None)]
)
def test_the_column_decides_whether_the_day_or_the_month_is_first(
    tmp_path: Path, other: str, month: int | None
) -> None:
    """3/5 is in May if the day is first, in March if the month is; 5/5 tells nothing."""
    reading = read(tmp_path, orders=dues("3/5/2027", other))
    if month is None:
        assert told(reading) == [("orders", 2, "due", "ambiguous date")]
    else:
        assert reading.job is not None
        assert reading.job.orders["due"][0].month == month


@pytest.mark.parametrize(("order", "day"), [("day", date(2027, 5, 3)), ("month", date(2027, 3, 5))])
def test_the_setting_decides_what_the_column_leaves_open(tmp_path: Path, order: str, day: date) -> None:
    job = job_of(tmp_path, orders=dues("3/5/2027"), settings=f"name,value\ndate_order,{order}\n")
    assert job.orders["due"].to_list() == [day]
    assert assumed(job)["orders.due: `3/5/2027`"] == day.isoformat()


def test_the_year_first_decides_two_digits_only(tmp_path: Path) -> None:
    year = "name,value\ndate_order,year\n"
    assert job_of(tmp_path, orders=dues("27/03/05"), settings=year).orders["due"].to_list() == [date(2027, 3, 5)]
    reading = read(tmp_path, orders=dues("3/5/2027"), settings=year)
    assert told(reading) == [("orders", 2, "due", "ambiguous date")]


def test_a_column_at_odds_with_itself_names_both(tmp_path: Path) -> None:
    reading = read(tmp_path, orders=dues("30/4/2027", "4/30/2027", "29/4/2027"))
    assert told(reading) == [("orders", 3, "due", "dates at odds")]
    assert "`4/30/2027` has the month first, and `30/4/2027`" in reading.problems["problem"].item()


def test_two_digits_are_a_year_of_this_century_and_told(tmp_path: Path) -> None:
    readings = job_of(tmp_path, orders=dues("5.3.27")).readings
    why = readings.filter(what="orders.due: `5.3.27`")["why"].item()
    assert why.endswith("years of two digits in this century")


@pytest.mark.parametrize(
    ("cell", "kind"),
    [
        ("46086", "number in place of a date"),
        ("Thu 5 Mar 2027", "wrong weekday"),
        ("Sunny 5 Mar 2027", "not a date"),
        ("30.2.2027", "no such day"),
        ("31 April 2027", "no such day"),
        ("13/13/2027", "no such day"),
        ("5 May", "not a date"),
        ("5 Foo 2027", "not a date"),
        ("end of April", "not a date"),
        ("3/5", "not a date"),
        ("2027-03-05 10:15", "not a date"),
        ("380", "not a date"),
    ],
)
def test_what_is_no_date(tmp_path: Path, cell: str, kind: str) -> None:
    assert told(read(tmp_path, orders=dues(cell))) == [("orders", 2, "due", kind)]


def test_a_spreadsheets_number_of_a_day() -> None:
    """Source: ECMA-376 part 1, 18.17.4.1, from memory: day 1 is 1 January 1900 and 1900 counts as a leap year, so that
    1 March 1900 is day 61; 46086 - 61 = 46025 days later is 5 March 2026."""
    assert serial_day("46086") == date(2026, 3, 5)
    assert serial_day("61") is None


def test_a_workers_day_may_be_any_date(tmp_path: Path) -> None:
    hours = "worker,day,hours\nAda,Mon-Fri,5\nAda,10 March 2027,3\nAda,25/3/2027,0\n"
    job = job_of(tmp_path, labour_hours=hours)
    assert job.labour_hours["day"].to_list() == ["Mon-Fri", "2027-03-10", "2027-03-25"]


@given(
    st.dates(date(2001, 1, 1), date(2068, 12, 31)), st.sampled_from(["%d %b %Y", "%B %d, %Y", "%d.%m.%Y", "%d/%m/%y"])
)
def test_dates_are_what_the_library_reads(day: date, form: str) -> None:
    """Source: dateutil's parser, told that the day comes first."""
    cell = day.strftime(form)
    written = dated(cell, year_first=False)
    assert written is not None
    assert written.days["day"] == parser.parse(cell, dayfirst=True).date()
