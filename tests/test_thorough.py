"""The thorough search: never worse than the quick one, better where that misses the best, and true to its word."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import polars as pl
import pytest

from pipeline.job import Job
from tests.exact.kept import kept
from tests.exact.measured import Measured, measured
from tests.shops import shop
from tests.steps.planned import Planned, dated, on, scheduled, scheduled_shop, thrown
from tests.thoroughly import search_of, thoroughly


@cache
def thorough_shop(number: int) -> Planned:
    """The schedule of a shop at random by the thorough search, made once for all that ask for it."""
    return scheduled(thoroughly(shop(number)))


@pytest.mark.parametrize("number", [7, 8, 25, 35, 53, 67, 75])
def test_the_thorough_search_finds_the_best_and_proves_it(number: int) -> None:
    """The optima were proven apart, with more work; the quick plans fall short of most of them."""
    best = next(best for best in kept() if best.shop == number)
    assert best.proven
    plan = thorough_shop(number)
    assert measured(plan) == Measured(best.lateness, best.firings, best.finish) <= measured(scheduled_shop(number))
    found = search_of(plan)
    assert found.schedule.equals(plan.schedule)
    assert found.why.startswith("proven: no schedule that is done by ")


def test_a_quick_plan_that_is_as_good_stays_as_it_is() -> None:
    """Shop 3: in time, with five firings, none of which can be spared; the days are those of every other plan."""
    plan = scheduled(thoroughly(shop(3)))
    assert plan.schedule.equals(scheduled_shop(3).schedule)
    assert search_of(plan).taken == "the quick one"
    assert search_of(plan).why.endswith(
        "be less late, or as late with fewer kiln loads, or with as many be done sooner"
    )


def test_the_same_sheets_give_the_same_schedule() -> None:
    assert scheduled(thoroughly(shop(53))).schedule.equals(thorough_shop(53).schedule)


def test_an_earlier_schedule_is_left_only_for_one_that_is_less_late() -> None:
    """Shop 67: as late as the best and with as many loads, the quick schedule is done a day later, and stays."""
    quick = scheduled_shop(67)
    assert measured(thorough_shop(67)).finish < measured(quick).finish
    assert scheduled(replace(thoroughly(shop(67)), last_schedule=quick.schedule)).schedule.equals(quick.schedule)


def test_a_job_too_large_for_the_solver_keeps_its_quick_schedule(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pipeline.thorough.LARGEST", 100)
    plan = scheduled(thoroughly(shop(8)))
    assert plan.schedule.equals(scheduled_shop(8).schedule)
    assert search_of(plan).why.endswith("are too much for the exact solver")


def test_what_the_checker_refuses_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    """Were the model ever to let through what cannot be worked, the quick schedule stands."""
    monkeypatch.setattr("pipeline.thorough.broken_rules", lambda *_: ["broken"])
    plan = scheduled(thoroughly(shop(35)))
    assert plan.schedule.equals(scheduled_shop(35).schedule)
    assert search_of(plan).why.startswith("what the exact solver found cannot be worked; ")


def _assumed(job: Job) -> pl.DataFrame:
    return dated(job).results["assumptions"]


def test_assumptions_say_which_search_it_was_and_what_is_proven() -> None:
    """Shop 35: at its best 921 pieces are a day late, or fewer longer, with ten loads, all done on 2 November."""
    results = _assumed(thoroughly(shop(35)))
    taken, why = results.filter(what="schedule of the thorough search").select("value", "why").row(0)
    assert taken.startswith(
        "the exact solver's: 921 pieces x days late, 10 kiln loads, done by 2027-11-02; the quick one:"
    )
    assert "can be less late" in why
    assert "schedule of the thorough search" not in _assumed(shop(35))["what"]


def test_the_solver_waits_for_what_a_line_is_glazed_with() -> None:
    """Ten cups take 200 g of feldspar, of which 100 g are there and the rest comes on the 11th: five are dipped then,
    and fired. Nothing could be done sooner, as the solver proves.
    """
    job = thrown(
        orders=[{"order": "A", "form": "cup", "quantity": 10, "glaze": "oat"}],
        forms=[{"form": "cup", "glaze_g": 20.0}],
        stages=[{"stage": "throw", "minutes_each": 2.0}, {"stage": "glaze"}, {"stage": "fire", "firing": "glaze"}],
        glazes=[{"glaze": "oat", "material": "feldspar", "percent": 100.0}],
        materials=[{"material": "feldspar", "loose_kg": 0.1, "lead_days": 10}],
    )
    plan = scheduled(thoroughly(job))
    assert plan.days("glaze") == on({1: 5, 11: 5})
    assert search_of(plan).why.startswith("proven: no schedule that is done by ")
