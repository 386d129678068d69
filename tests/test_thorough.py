"""The thorough search: never worse than the quick one, better where that misses the best, and true to its word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pipeline.job import Job
from pipeline.thorough import Thorough, thorough
from tests.exact.kept import kept
from tests.exact.measured import Measured, measured
from tests.shops import shop
from tests.steps.planned import Planned, on, scheduled, thrown


def thoroughly(job: Job) -> Job:
    """The job with the thorough search chosen."""
    return replace(job, settings=replace(job.settings, search="thorough"))


def found(plan: Planned) -> Thorough:
    """What the search says of a plan."""
    return thorough(plan.job, plan.results["pieces"])


@pytest.mark.parametrize("number", [7, 8, 11, 33, 35, 53, 71, 75])
def test_shops_that_the_quick_search_misses_are_as_good_as_proven(number: int) -> None:
    """The optima were proven apart, with more work; each of these quick plans falls short of its own."""
    best = next(best for best in kept() if best.shop == number)
    assert best.proven
    plan = scheduled(thoroughly(shop(number)))
    assert measured(plan) == Measured(best.lateness, best.firings, best.finish) < measured(scheduled(shop(number)))
    assert found(plan).schedule is plan.schedule
    assert found(plan).taken.startswith("the exact solver's")
    assert found(plan).why.startswith("proven: no schedule that is done by ")


def test_a_quick_plan_that_is_as_good_stays_as_it_is() -> None:
    """Shop 3: in time, with five firings, none of which can be spared; the days are those of every other plan."""
    plan = scheduled(thoroughly(shop(3)))
    assert plan.schedule.equals(scheduled(shop(3)).schedule)
    assert found(plan).taken == "the quick one"
    assert found(plan).why.endswith("be less late, or as late with fewer kiln loads, or with as many be done sooner")


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
    assert found(plan).why.startswith("proven: no schedule that is done by ")
