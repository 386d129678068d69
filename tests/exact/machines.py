"""Published scheduling problems, told as kilns: what a machine does to a job in so many hours, a firing does in days.

Each job is an order of one piece with a method of its own, each of its operations a firing of its own in the kiln that
stands for the machine; somebody is there every day. The thorough search has to reach the published optimum and to prove
it; the quick one must not be better, and no more than 15 % worse.

Not every published problem can be told so. A plan is of whole days and ends after ten years, so times in minutes become
days only where they stay few; a firing takes the days of its kiln, not those of the slowest piece in it; a piece waits
for one piece before it, not for several jobs; what is late counts by pieces and days, not by jobs; and the room of a
piece in a kiln is one part of so many, as so many of its form fill it.
"""

from __future__ import annotations

import datetime as dt

from pipeline.job import Job
from tests.exact.measured import Measured, measured
from tests.shops import START, Cells, make_job
from tests.steps.planned import EVERY_DAY, scheduled
from tests.thoroughly import search_of, thoroughly

Operations = list[tuple[int, int]]
"""(machine, time) in their order."""

NEAR = 1.15
"""The schedule may take so many times as long as the published optimum."""


def assert_near(made: Measured, optimum: int) -> None:
    """Never before the published optimum, and not much after it."""
    assert optimum <= (made.finish - START).days <= NEAR * optimum


def machine_shop(jobs: list[Operations], dues: list[int] | None = None) -> Job:
    """The jobs, due so many days after the plan's first day; blank without ``dues``."""
    names = [f"J{number}" for number in range(1, len(jobs) + 1)]
    machines = sorted({machine for operations in jobs for machine, _ in operations})
    orders: list[Cells] = [{"order": name, "form": name, "quantity": 1} for name in names]
    for order, due in zip(orders, dues or (), strict=False):
        order["due"] = START + dt.timedelta(days=due)
    stages: list[Cells] = []
    firings: list[Cells] = []
    for name, operations in zip(names, jobs, strict=True):
        for machine, days in operations:
            firing = f"{name} on {machine}"
            stages.append({"method": name, "stage": firing, "firing": firing})
            firings.append(
                {"firing": firing, "kiln": f"{machine}", "days": days, "load_minutes": 0.0, "unload_minutes": 0.0}
            )
    return make_job(
        orders=orders,
        forms=[{"form": name, "method": name} for name in names],
        stages=stages,
        kilns=[{"kiln": f"{machine}"} for machine in machines],
        firings=firings,
        kiln_fit=[
            {"firing": row["firing"], "kiln": row["kiln"], "form": name, "pieces": 1}
            for row in firings
            for name in names
        ],
        labour_hours=EVERY_DAY,
    )


def solved(job: Job) -> tuple[Measured, Measured]:
    """What the schedules of the thorough search, proven in all three aims, and of the quick one come to."""
    plan = scheduled(thoroughly(job))
    why = search_of(plan).why
    assert why.startswith("proven: ")
    assert why.endswith("be done sooner")
    return measured(plan), measured(scheduled(job))
