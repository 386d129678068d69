"""The plan's events: one for each day with work, each firing and each due date, under names that last."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import polars as pl
import pytest
from icalendar import Calendar

from pipeline.writing.events import plan_events
from pipeline.writing.ics import Event, ics_bytes
from tests.shops import shop
from tests.steps.worked import worked
from tests.writing import example
from tests.writing.example import march


def events(results: Mapping[str, pl.DataFrame] | None = None) -> list[Event]:
    return plan_events(example.job(), example.results() if results is None else results)


def of_kind(kind: str, results: Mapping[str, pl.DataFrame] | None = None) -> list[Event]:
    return [event for event in events(results) if event.uid.startswith(f"wareboard-{kind}-")]


def test_an_event_for_each_day_with_work() -> None:
    """The dates of the example's schedule."""
    days = of_kind("day")
    assert [event.first.day for event in days] == [1, 2, 3, 4, 5, 8, 12, 15, 16, 18, 22, 23]
    assert all(event.first == event.last for event in days)


def test_a_day_says_what_is_done_in_the_order_of_the_day() -> None:
    """Tuesday the 2nd: 13 plates wedged by Tam in 24 minutes, 22 mugs thrown by Ada in 76."""
    tuesday = next(event for event in of_kind("day") if event.first == march(2))
    assert tuesday.summary == "wedge 13, throw 22"
    assert tuesday.description == "wedge: 13 plate (B2), 380 g, Tam, 24 min\nthrow: 22 mug oat (B1), Ada, 1 h 16 min"


def test_a_day_with_the_kiln() -> None:
    """22 mugs, 13 plates and 5 jugs are loaded on the 12th: 40 pieces."""
    friday = next(event for event in of_kind("day") if event.first == march(12))
    assert friday.summary == "load L1 40"
    assert friday.description.splitlines()[0] == "load L1, bisque firing: 22 mug oat (B1), Ada, 33 min"


def test_a_firing_lasts_from_loading_to_unloading() -> None:
    """Loaded on the 12th, unloaded on the 15th: four days, and in the file it ends before the 16th."""
    bisque, glaze = of_kind("firing")
    assert (bisque.first, bisque.last) == (march(12), march(15))
    assert (glaze.first, glaze.last) == (march(18), march(22))
    assert bisque.summary == "bisque, back kiln: 40 pieces"
    assert bisque.description.splitlines() == [
        "load L1: load on Friday 12 March 2027, unload on Monday 15 March 2027",
        "22 mug oat (B1), order A-1, 33 % of the kiln",
        "13 plate (B2), order A-1, 26 % of the kiln",
        "5 jug fern* (B3), order @fair, 13 % of the kiln",
    ]
    assert b"DTEND;VALUE=DATE:20270316\r\n" in ics_bytes([bisque], march(1))


def test_an_event_for_each_due_date() -> None:
    """The mugs are due on the 19th and ready on the 23rd; the plates on 30 April; the jugs have no due date."""
    mugs, plates = of_kind("due")
    assert (mugs.first, mugs.last, plates.first) == (march(19), march(19), date(2027, 4, 30))
    assert mugs.summary == "due: A-1"
    assert mugs.description == "A-1: 20 mug oat, ready on Tuesday 23 March 2027, 4 days late"
    assert plates.description == "A-1: 12 plate, ready on Tuesday 23 March 2027"


def test_one_event_for_lines_due_together() -> None:
    results = example.results()
    results["promises"] = results["promises"].with_columns(due=pl.lit(march(26)))
    (due,) = of_kind("due", results)
    assert due.summary == "due: A-1, @fair"
    assert len(due.description.splitlines()) == 3


# Names that last from plan to plan


def test_names_say_what_and_when() -> None:
    uids = [event.uid for event in events()]
    assert "wareboard-day-2027-03-02" in uids
    assert "wareboard-due-2027-03-19" in uids
    assert len(set(uids)) == len(uids) == 12 + 2 + 2


def test_names_stay_when_batches_and_loads_are_numbered_anew() -> None:
    """After a week the first load is gone, what was L2 is L1 now, and batches begun are P1, P2: same day, same name."""
    later = example.results()
    later["schedule"] = later["schedule"].filter(pl.col("date") > march(15))
    later["kiln_loads"] = later["kiln_loads"].filter(pl.col("load") == "L2")
    for name in ("schedule", "kiln_loads"):
        later[name] = later[name].with_columns(
            pl.col("load").replace("L2", "L1"), pl.col("batch").str.replace("B", "P")
        )
    now = {event.uid: (event.first, event.last) for event in events()}
    then = plan_events(replace(example.job(), settings=replace(example.SETTINGS, start=march(16))), later)
    assert [event.first.day for event in then] == [16, 18, 18, 19, 22, 23, 30]
    assert {event.uid: (event.first, event.last) for event in then}.items() <= now.items()


def test_two_kilns_loaded_on_one_day_have_two_names() -> None:
    results = example.results()
    both = results["kiln_loads"].with_columns(
        load_on=pl.lit(march(12)), kiln=pl.col("kiln").replace("back kiln", "Öfchen; 2") + pl.col("load")
    )
    results["kiln_loads"] = both
    names = {event.uid for event in of_kind("firing", results)}
    assert len(names) == 2
    assert all(name.isascii() and name.replace("-", "").isalnum() for name in names)


# Whole plans


@pytest.mark.parametrize("seed", range(4))
def test_any_plan_is_read_by_another_program(seed: int) -> None:
    """Every date of the schedule, every load and every due date of a shop at random is an event, each once."""
    job = shop(seed)
    results = worked(job)
    calendar = Calendar.from_ical(ics_bytes(plan_events(job, results), job.settings.start))
    found = list(calendar.walk("VEVENT"))
    uids = [str(entry["UID"]) for entry in found]
    assert len(set(uids)) == len(uids)
    expected = [
        *results["schedule"]["date"].unique(),
        *results["kiln_loads"].unique("load")["load_on"],
        *results["promises"]["due"].drop_nulls().unique(),
    ]
    assert sorted(entry["DTSTART"].dt for entry in found) == sorted(expected)
    pieces = sum(int(str(entry["SUMMARY"]).split()[-2]) for entry in found if "-firing-" in entry["UID"])
    assert pieces == results["kiln_loads"]["pieces"].sum()


def test_a_plan_of_nothing_says_so() -> None:
    """The standard wants one event at least."""
    (event,) = events(example.without_rows("schedule", "kiln_loads", "promises"))
    assert (event.first, event.summary) == (march(1), "Nothing to do")
