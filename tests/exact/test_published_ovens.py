"""Published problems of ovens that take several pieces at once, told as kilns."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from random import Random

import pytest

from pipeline.job import Job
from tests.exact.measured import measured
from tests.shops import START, Cells, make_job
from tests.steps.planned import EVERY_DAY, scheduled


def oven(
    days: int, counts: list[int], stages: list[list[Cells]] | None = None, quantities: list[int] | None = None
) -> Job:
    """Orders for an oven that takes so many days. ``counts`` are the pieces of each order's form that fill it alone,
    ``stages`` what is done to each before it, ``quantities`` how many are ordered, one each if nothing is said.
    """
    names = [f"J{number}" for number in range(1, len(counts) + 1)]
    before = stages or [[] for _ in names]
    return make_job(
        orders=[
            {"order": name, "form": name, "quantity": quantity}
            for name, quantity in zip(names, quantities or [1] * len(names), strict=True)
        ],
        forms=[{"form": name, "method": name} for name in names],
        stages=[
            {"method": name} | stage
            for name, earlier in zip(names, before, strict=True)
            for stage in [*earlier, {"stage": "fire", "firing": "oven"}]
        ],
        kilns=[{"kiln": "oven"}],
        firings=[{"firing": "oven", "kiln": "oven", "days": days, "load_minutes": 0.0, "unload_minutes": 0.0}],
        kiln_fit=[
            {"firing": "oven", "kiln": "oven", "form": name, "pieces": count}
            for name, count in zip(names, counts, strict=True)
        ],
        labour_hours=EVERY_DAY,
    )


def test_a_short_load_first_where_the_oven_would_wait() -> None:
    """Firings of 10 days, two pieces a load, ready on days 0, 1, 2, 3 and 20: 0 alone, then 1 and 2, then 3 and 20 are
    out on the 30th day; full loads first, 0 and 1, 2 and 3, then 20, on the 31st.

    Source: Ikura and Gimple, Operations Research Letters 5, 1986 (the idea, from memory; by enumeration).
    """
    set_out: list[list[Cells]] = [
        [{"stage": "set out", "minutes_each": 0.0, "wait_days": days}] for days in (0, 1, 2, 3, 20)
    ]
    made = measured(scheduled(oven(10, [2] * 5, set_out)))
    assert (made.firings, (made.finish - START).days) == (3, 30)


def test_three_loads_of_63_pieces_24_a_load() -> None:
    """63 / 24 = 2.6, so 3 loads: 24, 24 and 15. Of 36 hours each, told as 3 days of 12 hours: 108 hours are 9 days."""
    plan = scheduled(oven(3, [24], quantities=[63]))
    assert [pieces for *_, pieces in plan.firings()] == [24, 24, 15]
    assert (measured(plan).finish - START).days == 9


def first_fit(sizes: list[Fraction]) -> int:
    """How many loads it takes if each piece goes into the first that has room for it.

    Source of the rule: Johnson, Demers, Ullman, Garey and Graham, SIAM Journal on Computing 3, 1974.
    """
    loads: list[Fraction] = []
    for size in sizes:
        for number, filled in enumerate(loads):
            if filled + size <= 1:
                loads[number] += size
                break
        else:
            loads.append(size)
    return len(loads)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("pieces", [20, 80])
def test_loads_are_filled_as_well_as_by_the_rules_of_packing_bins(pieces: int, seed: int) -> None:
    """Single pieces, each of a form of which 2 to 10 fill the oven, all there at once and none due: never fewer loads
    than their shares add up to. Of 20 pieces no more than with the largest put in first, the better of the two rules;
    of 80, of which few ways are tried, no more than in the order of the sheet.
    """
    random = Random(seed)
    counts = [random.randint(2, 10) for _ in range(pieces)]
    sizes = [Fraction(1, count) for count in counts]
    made = measured(scheduled(oven(1, counts)))
    rule = sorted(sizes, reverse=True) if pieces == 20 else sizes
    assert ceil(sum(sizes)) <= made.firings <= first_fit(rule)
