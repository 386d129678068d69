"""The thorough search: never worse than the quick one, better where that misses the best, and true to its word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pipeline.job import Job
from pipeline.thorough import Thorough, thorough
from tests.exact.kept import kept
from tests.exact.measured import Measured, measured
from tests.shops import shop
from tests.steps.planned import Planned, scheduled


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
