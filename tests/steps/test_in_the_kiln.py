"""Pieces that are in a kiln when the plan begins, told as that or by an earlier plan. March 2027 begins on a Monday."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import polars as pl
import pytest

from pipeline.checking.schedule_rules import broken_rules
from pipeline.followed import followed
from pipeline.job import Job
from pipeline.thorough import thorough
from tests.shops import Cells, fit_counts
from tests.steps.planned import EVERY_DAY, march, on, planned, scheduled, thrown

STAGES: list[Cells] = [
    {"stage": "throw"},
    {"stage": "bisque", "firing": "bisque"},
    {"stage": "glaze", "minutes_each": 1.0},
]
FIRINGS: list[Cells] = [{"firing": "bisque", "days": 2, "load_minutes": 20.0, "unload_minutes": 30.0}]


def job(*standing: Cells, **sheets: list[Cells]) -> Job:
    """Ten cups fill the kiln; every day is worked."""
    cups = {"order": "A", "form": "cup", "quantity": 20}
    rows = [{"form": "cup"} | row for row in standing]
    usual = {"orders": [cups], "stages": STAGES, "firings": FIRINGS, "labour_hours": EVERY_DAY}
    return thrown(**usual | sheets, in_progress=rows)


BURNING: Cells = {"stage_done": "bisque", "pieces": 10, "date": march(4)}
WAITING: Cells = {"stage_done": "throw", "pieces": 10, "date": dt.date(2027, 2, 26)}


def test_the_kiln_is_taken_until_it_is_unloaded() -> None:
    """Ten are in the kiln until Thursday the 4th, and glazed on that day; then the other ten go in, out on the 6th."""
    plan = scheduled(job(BURNING, WAITING))
    assert plan.firings() == [("bisque", march(4), march(6), 10)]
    assert plan.days("glaze") == on({4: 10, 6: 10})
    unloaded = plan.schedule.filter(pl.col("task") == "unload").select("date", "load", "kiln", "pieces", "minutes")
    assert unloaded.rows() == [(march(4), "L1", "kiln", 10, 30.0), (march(6), "L2", "kiln", 10, 30.0)]


def test_it_is_unloaded_on_a_day_with_work() -> None:
    """Out on the 4th, which is closed, as is the 5th."""
    plan = scheduled(job(BURNING, WAITING, closed_days=[{"from": march(4), "to": march(5)}]))
    assert plan.firings() == [("bisque", march(6), march(8), 10)]
    assert plan.days("glaze") == on({6: 10, 8: 10})


def test_it_is_unloaded_when_somebody_has_the_time() -> None:
    """Half an hour, and Ada has a quarter of one on the 4th."""
    hours = [*EVERY_DAY, {"day": "2027-03-04", "hours": 0.25}]
    plan = scheduled(job(BURNING, labour_hours=hours))
    assert plan.schedule.filter(pl.col("task") == "unload")["date"].to_list()[0] == march(5)


def test_of_two_kilns_the_one_that_is_named_is_taken() -> None:
    """The waiting ten go into the other one at once."""
    kilns = [{"kiln": "front"}, {"kiln": "back"}]
    plan = scheduled(job(BURNING | {"kiln": "back"}, WAITING, kilns=kilns))
    assert plan.firings() == [("bisque", march(1), march(3), 10)]
    assert plan.loads["kiln"].to_list() == ["front"]


def test_what_is_not_over_after_the_last_firing_is_ready_when_it_is_out() -> None:
    """Wanted on the 3rd, out on the 4th: a day late, and nothing but a later due date would mend that."""
    cups = {"order": "A", "form": "cup", "quantity": 10, "due": march(3)}
    plan = planned(job(BURNING, orders=[cups], stages=STAGES[:2]))
    promise = plan.promise("A")
    assert (promise["ready"], promise["days_late"]) == (march(4), 1)
    assert promise["mended_by"] == "only a due date 1 day later (2027-03-04)"


def test_what_no_line_takes_is_in_the_kiln_all_the_same() -> None:
    """Ten of the 20 are wanted, and wait; nobody wants those in the kiln, which is taken until the 4th."""
    cups = {"order": "A", "form": "cup", "quantity": 10}
    both = job(BURNING, WAITING | {"order": "A"}, orders=[cups])
    plan = scheduled(replace(both, in_progress=both.in_progress.with_columns(order=pl.Series(["B", "A"]))))
    assert plan.firings() == [("bisque", march(4), march(6), 10)]


def test_the_exact_solver_is_not_asked() -> None:
    """It knows of no kiln that is taken when the plan begins."""
    pytest.importorskip("ortools")
    asked = job(BURNING, WAITING)
    found = thorough(asked, scheduled(asked).results["pieces"])
    assert "a kiln that burns" in found.why
    assert found.schedule.equals(scheduled(asked).schedule)


# By an earlier plan


def plan_of_twenty() -> tuple[Job, pl.DataFrame]:
    """20 thrown, of which ten are fired from the 1st to the 3rd and ten from the 3rd to the 5th."""
    begun = job(WAITING | {"pieces": 20})
    plan = scheduled(begun)
    assert plan.firings() == [("bisque", march(1), march(3), 10), ("bisque", march(3), march(5), 10)]
    return begun, plan.schedule


def on_the_second(begun: Job, schedule: pl.DataFrame, *standing: Cells) -> Job:
    """The job on the morning of the 2nd, the earlier schedule followed."""
    counted = job(*standing).in_progress
    return followed(
        replace(begun, in_progress=counted, settings=replace(begun.settings, start=march(2))), schedule
    )  # fmt: skip


def test_the_plan_followed_has_ten_in_the_kiln() -> None:
    """All 20 are counted as thrown on the 2nd, though ten are in the kiln: they come out on the 3rd, as they would."""
    begun, schedule = plan_of_twenty()
    again = on_the_second(begun, schedule, WAITING | {"pieces": 20})
    plan = scheduled(again)
    assert plan.firings() == [("bisque", march(3), march(5), 10)]
    assert plan.days("glaze") == on({3: 10, 5: 10})
    assert again.readings.rows()[-1][:2] == ("in `kiln` until 2027-03-03: cup of A", "10 pieces")


def test_those_that_have_stood_for_longest_are_in_it() -> None:
    """Ten were thrown on the 26th of February and ten on the 27th, counted in that order or the other: those of the
    26th were the first to go into the kiln."""
    begun, schedule = plan_of_twenty()
    later = WAITING | {"date": dt.date(2027, 2, 27)}
    for standing in ((WAITING, later), (later, WAITING)):
        again = on_the_second(begun, schedule, *standing)
        assert sorted(again.in_progress.select("stage_done", "pieces", "date").rows()) == [
            ("bisque", 10, march(3)), ("throw", 10, dt.date(2027, 2, 27)),
        ]  # fmt: skip


def test_what_is_told_as_in_the_kiln_stays_so() -> None:
    """Ten are told to be in the kiln, ten as thrown."""
    begun, schedule = plan_of_twenty()
    again = on_the_second(begun, schedule, WAITING, BURNING | {"date": march(3), "kiln": "kiln"})
    assert again.in_progress["pieces"].to_list() == [10, 10]
    assert again.readings.is_empty()


def test_what_is_missing_of_a_load_is_told() -> None:
    """Eight are counted in all: they are in the kiln, and two fewer than the plan had put in."""
    begun, schedule = plan_of_twenty()
    again = on_the_second(begun, schedule, WAITING | {"pieces": 8})
    assert again.in_progress.select("stage_done", "pieces", "date").rows() == [("bisque", 8, march(3))]
    assert again.readings["value"].to_list() == ["8 pieces", "2 pieces fewer"]


def test_the_checker_knows_what_was_in_no_kiln() -> None:
    """The plan with ten in the kiln, checked against sheets that have only nine there, and have it taken longer."""
    plan = scheduled(job(BURNING, WAITING))
    sheets = plan.results["pieces"], plan.schedule, plan.loads

    def rules(*standing: Cells) -> set[str]:
        other = job(*standing)
        return {broken.what for broken in broken_rules(other, *sheets, fit_counts(other))}

    assert not rules(BURNING, WAITING)
    assert "10 pieces come out of kiln `kiln`, and 9 were in it." in rules(BURNING | {"pieces": 9}, WAITING)
    longer = rules(BURNING | {"date": march(5)}, WAITING)
    assert "Load L1 was never loaded, or is not out by then." in longer
    assert f"Kiln `kiln` is loaded on {march(4)}, and holds load from before the plan until {march(5)}." in longer
