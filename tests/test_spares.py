"""Spares at the least cost: published problems, and every number of pieces tried one by one."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from time import perf_counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from pipeline.losses import pieces_to_start
from pipeline.spares import Run, shortfalls
from tests.shops import make_job
from tests.steps.worked import inputs, step


def least_cost(run: Run, wanted: int, penalty: float) -> tuple[float, int]:
    """One run and no other: any shortage costs the penalty."""
    return min((run.each * begun + penalty * sum(shortfalls(begun, wanted, run.chance)), begun) for begun in range(60))


# Tompkins et al., Facilities Planning, problems to chapter 2: an order for four castings pays 30,000 each for just four
# good ones, else nothing; a casting costs 15,000, and nine of ten are good. So a shortage of any size loses 120,000.


def castings(chance: float = 0.90, each: float = 15_000.0) -> Run:
    """What a shortage costs is told apart, so the run itself says nothing of it."""
    return Run(chance, each, again=0.0, missed=0.0)


def profit(begun: int, run: Run) -> float:
    return 120_000 * (1 - sum(shortfalls(begun, 4, run.chance))) - run.each * begun


@pytest.mark.parametrize(("begun", "earned"), [(4, 18_732.00), (5, 35_224.80), (6, 28_098.00), (7, 14_672.64)])
def test_the_profit_on_castings(begun: int, earned: float) -> None:
    assert profit(begun, castings()) == pytest.approx(earned, abs=0.005)


@pytest.mark.parametrize(("begun", "earned"), [(4, "18732.00"), (5, "35224.80"), (6, "28098.00"), (7, "14672.64")])
def test_the_chances_behind_those_profits_are_those_of_a_plan(begun: int, earned: str) -> None:
    """What so many castings earn is 120,000 by the chance that four are good, less 15,000 each: five have a chance of
    (35,224.80 + 75,000) / 120,000 = 0.91854. As sure as that, and hardly less, a plan begins five; surer, six.
    """
    sure = float((Decimal(earned) + 15_000 * begun) / 120_000)
    for cover, pieces in ((sure - 1e-6, begun), (sure + 1e-6, begun + 1)):
        job = make_job(
            orders=[{"order": "A", "form": "casting", "quantity": 4}],
            stages=[{"stage": "cast", "loss_pct": 10.0}],
            settings={"loss_cover": cover},
        )
        assert step("pieces")(**inputs("pieces", job, {}))["pieces_in"].to_list() == [pieces]


def test_five_castings_may_still_lose_money() -> None:
    # Four are not good out of five: 1 - 0.9 ** 5 - 5 x 0.9 ** 4 x 0.1 = 0.08146.
    assert sum(shortfalls(5, 4, 0.9)) == pytest.approx(0.08146, abs=5e-6)
    # At 22,044.96 a casting, five of them earn nothing.
    assert profit(5, castings(each=22_044.96)) == pytest.approx(0, abs=0.005)


@pytest.mark.parametrize(
    ("chance", "each", "pieces"),
    [
        (0.90, 15_000.00, 5),
        # A sixth is worth it once a casting costs 7,873.20 or less, or no more than 0.84248 of them are good; the fifth
        # is not once 0.963781 of them are.
        (0.90, 7_873.19, 6),
        (0.90, 7_873.21, 5),
        (0.842478, 15_000.00, 6),
        (0.842482, 15_000.00, 5),
        (0.963779, 15_000.00, 5),
        (0.963783, 15_000.00, 4),
    ],
)
def test_where_one_casting_more_is_worth_it(chance: float, each: float, pieces: int) -> None:
    run = castings(chance, each)
    assert least_cost(run, 4, 120_000.0)[1] == pieces
    assert run.best(4, 4, lambda short: 120_000.0, once=True)[1] == pieces


# Hillier & Lieberman, Introduction to Operations Research, Dynamic Programming: "Determining Reject Allowances". One
# good item is wanted, half of those made are good, a run costs 300 and an item 100, there is time for three runs, and
# none at all costs 1,600. The solution, from memory: 675, 700 and 800 with three, two and one runs left.


def test_reject_allowances() -> None:
    # With one run left: 3 items, 300 + 300 + 1,600 / 8 = 800, or 4: 300 + 400 + 1,600 / 16 = 800; none: 1,600.
    # With two: 2 items, 300 + 200 + 800 / 4 = 700, or 3. With three: 2 items, 300 + 200 + 700 / 4 = 675.
    run = Run(0.5, 100.0, again=300.0)
    left, first = 1_600.0, []
    for _ in range(3):
        cost, begun = run.best(1, 1, lambda short, left=left: left, once=True)
        left = min(left, cost + 300)
        first.append((left, begun))
    assert first == [(800.0, 3), (700.0, 2), (675.0, 2)]


def test_reject_allowances_at_two_in_three() -> None:
    # The same with two good of three and two runs: with one left 3 items, 300 + 300 + 1,600 / 27 = 659.26; with two
    # 2 items, 300 + 200 + 659.26 / 9 = 573.25.
    run = Run(2 / 3, 100.0, again=300.0)
    last, begun = run.best(1, 1, lambda short: 1_600.0, once=True)
    assert (round(last + 300, 2), begun) == (659.26, 3)
    before, begun = run.best(1, 1, lambda short: last + 300, once=True)
    assert (round(before + 300, 2), begun) == (573.25, 2)


# One piece more, or another run


def test_a_dear_run_asks_for_spares_and_dear_pieces_for_few() -> None:
    # 12 wanted at 0.9: another run of 200 is to be avoided, one of 0.50 is not worth a piece of 4.00.
    assert Run(0.9, 4.0, again=200.0).pieces(12, 12) == 16
    assert Run(0.9, 4.0, again=0.5).pieces(12, 12) == 12


def test_where_a_piece_brings_less_than_it_costs_no_spare_is_begun() -> None:
    assert Run(0.8, 4.0, again=10.0, missed=3.0).pieces(12, 12) == 12


def test_the_fewest_spares_are_kept_to() -> None:
    assert Run(0.9, 4.0, again=0.5).pieces(12, 14) == 14


def test_nothing_lost_needs_no_spare() -> None:
    assert Run(1.0, 4.0, again=10.0).pieces(12, 12) == 12


def by_enumeration(wanted: int, least: int, run: Run, most: int) -> tuple[float, int]:
    """Every number of pieces up to ``most``, every outcome of each, by another binomial."""
    costs: dict[int, float] = {}

    def outcome(begun: int, want: int) -> float:
        total = run.each * begun
        for good in range(begun + 1):
            chance = binom.pmf(good, begun, run.chance)
            total += chance * (costs.get(want - good, 0.0) if good < want else -run.spare * (good - want))
        return total

    for short in range(1, wanted + 1):
        made = min((run.again + outcome(begun, short)) / (1 - binom.pmf(0, begun, run.chance))
                   for begun in range(1, most))  # fmt: skip
        costs[short] = made if run.missed is None else min(made, run.missed * short)
    return min((outcome(begun, wanted), begun) for begun in range(least, most))


@settings(max_examples=25)
@given(
    wanted=st.integers(1, 6),
    extra=st.integers(0, 2),
    chance=st.floats(0.5, 0.97),
    each=st.floats(0.5, 9.0),
    again=st.floats(0.0, 40.0),
    worth=st.floats(0.0, 1.0),
    missed=st.one_of(st.none(), st.floats(1.0, 40.0)),
)
def test_the_cheapest_by_trying_all(
    wanted: int, extra: int, chance: float, each: float, again: float, worth: float, missed: float | None
) -> None:
    run = Run(chance, each, again, worth * each, missed)
    cost, _ = by_enumeration(wanted, wanted + extra, run, 40)
    begun = run.pieces(wanted, wanted + extra)
    # Two numbers of pieces may cost the same but for the noise of floats: what it costs is compared.
    found = run.best(wanted, wanted + extra, run.shortage, once=True)
    assert found[1] == begun
    assert found[0] == pytest.approx(cost, rel=1e-9, abs=1e-9)


@settings(max_examples=60)
@given(begun=st.integers(1, 400), wanted=st.integers(1, 300), chance=st.floats(0.3, 0.99))
def test_shortfalls_by_an_independent_binomial(begun: int, wanted: int, chance: float) -> None:
    found = shortfalls(begun, wanted, chance)
    for short, probability in enumerate(found, 1):
        assert probability == pytest.approx(binom.pmf(wanted - short, begun, chance), rel=1e-9, abs=1e-15)
    assert sum(found) == pytest.approx(binom.cdf(wanted - 1, begun, chance), rel=1e-9, abs=1e-15)


@given(again=st.lists(st.floats(0.0, 80.0), min_size=2, max_size=5).map(sorted))
def test_a_dearer_run_never_asks_for_fewer_spares(again: list[float]) -> None:
    begun = [Run(0.9, 4.0, cost).pieces(10, 10) for cost in again]
    assert all(fewer <= more for fewer, more in pairwise(begun))


def test_as_sure_as_is_cheapest_begins_as_many() -> None:
    for wanted in (1, 6, 24, 60, 120):
        run = Run(0.9, 4.0, again=30.0)
        begun = run.pieces(wanted, wanted)
        sure = 1 - sum(shortfalls(begun, wanted, 0.9))
        assert pieces_to_start(wanted, 0.9, 0, sure) == begun


def test_three_hundred_pieces_are_quick() -> None:
    begun = perf_counter()
    assert Run(0.9, 4.0, again=12.0, missed=15.0).pieces(300, 300) > 300
    assert perf_counter() - begun < 2  # about 0.06 s
