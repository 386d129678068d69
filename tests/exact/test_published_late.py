"""Published problems of one machine and jobs with due dates, told as a kiln (``machines``).

What counts as late is pieces by days, here the days that all jobs are late together. Published answers are of that, of
the worst day or of the number of late jobs: the last two are what no plan can have less of.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from operator import add

import pytest

from pipeline.job import Job
from tests.exact.machines import NEAR, machine_shop, solved
from tests.exact.measured import measured
from tests.steps.planned import Planned, scheduled

Jobs = list[tuple[int, int]]
"""(time, due) of each job."""


@dataclass(frozen=True)
class LateJobs:
    """A published problem: the days late together of an order that it gives; and, of all orders, the fewest jobs late
    and the least days by which the worst of them is.
    """

    jobs: Jobs
    together: int
    fewest_late: int
    least_worst: int


LATE_JOBS = {
    # Earliest due first, C E A D B: 2 days, 8, 13, 21, 31, so 0 + 0 + 3 + 9 + 16 late together; first come first served
    # 48. Three late at least. Source: a textbook's exercise.
    "five jobs": LateJobs([(5, 10), (10, 15), (2, 5), (8, 12), (6, 8)], 28, 3, 16),
    # Earliest due first, B A D C E: 2, 8, 11, 19, 28, so 1 day and 5 late, 1.2 on average; last to be done the longest,
    # E, which is late alone. Source: Heizer and Render, Operations Management (from memory, worked out again).
    "Heizer and Render": LateJobs([(6, 8), (2, 6), (8, 18), (3, 15), (9, 23)], 6, 1, 5),
    # Earliest due first: 3, 5, 6, 10, 13, 15, so 1, 3 and 4 late. With the fourth job last it alone is late. Source:
    # notes on algorithms (data; they show an order of which one job is 7 late).
    "six jobs": LateJobs([(3, 6), (2, 8), (1, 9), (4, 9), (3, 10), (2, 11)], 8, 1, 4),
    # As above with later dues of the last two: 1 late alone. Source: Kleinberg and Tardos, Algorithm Design, 4.2.
    "six jobs of which one is late": LateJobs([(3, 6), (2, 8), (1, 9), (4, 9), (3, 14), (2, 15)], 1, 1, 1),
    # Earliest due first: 7, 15, 19, 25, 31, so 1, 6 and 10 late; two jobs late at least, by the rule of Moore and
    # Hodgson. Source: Pinedo, Scheduling, 3.3 (from memory, worked out again).
    "Pinedo": LateJobs([(7, 9), (8, 17), (4, 18), (6, 19), (6, 21)], 17, 2, 10),
    # Earliest due first: 19, 60, 83, 115, 133, 159, 164, 181, 212, 220, so 8, 30, 38 and 59 late. Two jobs late at
    # least. Source: a lecture's exercise (data).
    "ten jobs": LateJobs(
        [(19, 48), (23, 75), (5, 170), (31, 215), (17, 205), (8, 240), (32, 85), (41, 67), (26, 100), (18, 95)],
        135,
        2,
        59,
    ),
}


def least(jobs: Jobs, late: Callable[[int], int], together: Callable[[int, int], int]) -> int:
    """The least of all orders: ``late`` is what a job counts by its days after its due date, ``together`` what two do.

    Which jobs are done already tells when the next one ends, whatever their order: so the least of all orders is that
    of each set of jobs done first and each job that may come after them. Source: Held and Karp, Journal of the Society
    for Industrial and Applied Mathematics 10, 1962.
    """
    of = {0: 0}
    for done in range(1, 2 ** len(jobs)):
        inside = [number for number in range(len(jobs)) if done >> number & 1]
        end = sum(jobs[number][0] for number in inside)
        of[done] = min(together(of[done - 2**number], late(max(0, end - jobs[number][1]))) for number in inside)
    return of[2 ** len(jobs) - 1]


def kiln_of(jobs: Jobs) -> Job:
    """The jobs for one machine."""
    return machine_shop([[(1, time)] for time, _ in jobs], [due for _, due in jobs])


def days_late(plan: Planned) -> list[int]:
    """By how many days each job is late."""
    ended = {row["order"]: row["date"] for row in plan.schedule.sort("date").iter_rows(named=True)}
    return [max(0, (ended[order] - due).days) for order, due in plan.job.orders.select("order", "due").iter_rows()]


@pytest.mark.parametrize("name", LATE_JOBS)
def test_one_machine_is_as_little_late_as_the_best_of_all_orders(name: str) -> None:
    """The quick search, at most 15 % later than need be."""
    published = LATE_JOBS[name]
    jobs = published.jobs
    assert least(jobs, lambda days: days, max) == published.least_worst
    assert least(jobs, lambda days: int(days > 0), add) == published.fewest_late
    together = least(jobs, lambda days: days, add)
    assert together <= published.together
    plan = scheduled(kiln_of(jobs))
    late = days_late(plan)
    assert sum(late) == measured(plan).lateness
    assert together <= sum(late) <= NEAR * together
    assert sum(days > 0 for days in late) >= published.fewest_late
    assert max(late) >= published.least_worst


@pytest.mark.parametrize("name", ["five jobs", "Heizer and Render"])
def test_the_thorough_search_proves_it(name: str) -> None:
    jobs = LATE_JOBS[name].jobs
    best, _ = solved(kiln_of(jobs))
    assert best.lateness == least(jobs, lambda days: days, add)
