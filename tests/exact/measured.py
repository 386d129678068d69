"""How good the schedule of a plan is."""

from __future__ import annotations

from pipeline.exact.measured import Measured
from pipeline.exact.measured import measured as measured_by_sheets
from tests.steps.planned import Planned


def measured(plan: Planned) -> Measured:
    """The three aims of a plan's schedule."""
    return measured_by_sheets(plan.job, plan.results["pieces"], plan.schedule)
