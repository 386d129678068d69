"""A job planned by the thorough search."""

from __future__ import annotations

from dataclasses import replace

from pipeline.job import Job
from pipeline.thorough import Thorough, thorough
from tests.steps.planned import Planned


def thoroughly(job: Job) -> Job:
    """The job with the thorough search chosen."""
    return replace(job, settings=replace(job.settings, search="thorough"))


def search_of(plan: Planned) -> Thorough:
    """What the search found for a plan, and says of it."""
    return thorough(plan.job, plan.results["pieces"])
