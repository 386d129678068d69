"""Pots on a round shelf, against the best packings known and the real positions of the discs."""

from __future__ import annotations

from itertools import combinations
from math import dist, floor, hypot, pi, sin, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.packing.discs_in_disc import LARGEST_SEARCHED, centres, discs_in_disc, lattice_rows

# Radius of the smallest known disc that holds N discs of radius 1. Sources: N = 1 to 20, the encyclopaedia article
# "Circle packing in a circle" (read) and Lindo's sample model "packcrcl" (read); 21 to 37, Graham, Lubachevsky, Nurmela
# and Östergård, Discrete Mathematics 181 (1998), 139-154, and E. Specht's tables (from memory, found again by
# optimisation).
RADII = {
    1: 1.0, 2: 2.0, 3: 2.15470, 4: 2.41421, 5: 2.70130, 6: 3.0, 7: 3.0, 8: 3.30476, 9: 3.61313, 10: 3.81303,
    11: 3.92380, 12: 4.02960, 13: 4.23607, 14: 4.32843, 15: 4.52136, 16: 4.61543, 17: 4.79203, 18: 4.86370,
    19: 4.86370, 20: 5.12232, 21: 5.25232, 22: 5.43972, 23: 5.54520, 24: 5.65166, 25: 5.75282, 26: 5.82818,
    27: 5.90640, 28: 6.01494, 29: 6.13860, 30: 6.19774, 31: 6.29150, 32: 6.42946, 33: 6.48670, 34: 6.61096,
    35: 6.69717, 36: 6.74675, 37: 6.75877,
}  # fmt: skip

# The same in closed form, where there is one: the article above.
CLOSED_FORMS = {
    3: 1 + 2 / sqrt(3),
    4: 1 + sqrt(2),
    5: 1 + sqrt(2 * (1 + 1 / sqrt(5))),
    7: 3.0,
    8: 1 + 1 / sin(pi / 7),
    9: 1 + sqrt(2 * (2 + sqrt(2))),
    11: 1 + 1 / sin(pi / 9),
    13: 2 + sqrt(5),
    19: 1 + sqrt(2) + sqrt(6),
}

# Most discs of radius 1 known in a disc of radius n = 0, 1, 2 ...: On-Line Encyclopedia of Integer Sequences, A023393.
MOST_KNOWN = (0, 1, 2, 7, 11, 19, 27, 38, 50, 64, 80, 98, 118)


@pytest.mark.parametrize("discs", RADII)
def test_the_best_known_radii(discs: int) -> None:
    # Six discs need as much as seven, eighteen as much as nineteen.
    held = {6: 7, 18: 19}.get(discs, discs)
    assert discs_in_disc(RADII[discs]) == held
    short = {7: 5, 19: 17}.get(discs, discs - 1)
    assert discs_in_disc(RADII[discs] - 2e-5) == short


@pytest.mark.parametrize("discs", CLOSED_FORMS)
def test_exact_fits(discs: int) -> None:
    assert discs_in_disc(CLOSED_FORMS[discs]) == discs
    assert CLOSED_FORMS[discs] == pytest.approx(RADII[discs], abs=1e-5)


def test_float_noise_takes_no_disc_away() -> None:
    # A shelf three times as wide as the pot holds seven, also where 0.3 / 0.1 is 2.9999999999999996.
    assert discs_in_disc(0.3 / 0.1) == 7
    # Rings of 1, 6, 12, 18 and 24 in a hexagon: 61 discs in nine times their width.
    assert discs_in_disc(9 - 1e-12) == 61


@pytest.mark.parametrize("ratio", [0.0, 0.5, 0.9999])
def test_a_pot_wider_than_the_shelf(ratio: float) -> None:
    assert discs_in_disc(ratio) == 0


@pytest.mark.parametrize("radius", range(13))
def test_whole_radii_come_near_the_best_known(radius: int) -> None:
    found = discs_in_disc(radius)
    assert 0.95 * MOST_KNOWN[radius] <= found <= MOST_KNOWN[radius]
    if radius <= 5:
        assert found == MOST_KNOWN[radius]
    if radius > 1:
        # A lattice laid at random has, on average, area for centres / area of a cell: we lay it no worse.
        assert found >= pi * (radius - 1) ** 2 / (2 * sqrt(3))


def most_possible(ratio: float) -> float:
    """A bound on any packing: N. Oler, "An inequality in the geometry of numbers", Acta Mathematica 105 (1961), 19-48.

    Points one apart in a convex region of area A and perimeter P are 2/sqrt(3) A + P/2 + 1 at most; from memory.
    """
    reach = (ratio - 1) / 2
    return 2 / sqrt(3) * pi * reach**2 + pi * reach + 1


@given(ratio=st.floats(1, 150))
def test_never_more_than_possible(ratio: float) -> None:
    assert discs_in_disc(ratio) <= most_possible(ratio) + 1e-6


@given(ratio=st.floats(1, 14))
def test_the_lattice_s_discs_lie_inside_and_apart(ratio: float) -> None:
    places = centres(lattice_rows(ratio))
    assert len(set(places)) == len(places) > 0
    assert all(hypot(*place) <= (ratio - 1) / 2 + 1e-7 for place in places)
    assert all(dist(one, other) >= 1 - 1e-7 for one, other in combinations(places, 2))
    assert discs_in_disc(ratio) >= len(places)
    if discs_in_disc(ratio) > 37:
        assert discs_in_disc(ratio) == len(places)


@given(ratios=st.tuples(st.floats(0.5, 120), st.floats(0.5, 120)))
def test_a_larger_shelf_or_a_smaller_pot_never_holds_less(ratios: tuple[float, float]) -> None:
    assert discs_in_disc(min(ratios)) <= discs_in_disc(max(ratios))


def test_a_square_lattice_is_never_better_beyond_the_table() -> None:
    def square(ratio: float, x: float, y: float) -> int:
        reach = (ratio - 1) / 2
        side = range(-floor(ratio), floor(ratio) + 1)
        return sum(hypot(x + column, y + row) <= reach for column in side for row in side)

    offsets = [(x / 8, y / 8) for x in range(5) for y in range(x + 1)]
    for step in range(12):
        ratio = 6.76 + step * 0.77
        assert max(square(ratio, *offset) for offset in offsets) <= discs_in_disc(ratio)


def test_a_huge_ratio_is_worked_out_without_a_search() -> None:
    # Arithmetic: pi / (2 sqrt 3) x (1,000,000 - 1) squared = 0.9068997 x 999,998,000,001.
    assert discs_in_disc(1e6) == pytest.approx(0.9068997e12, rel=1e-5)
    assert discs_in_disc(LARGEST_SEARCHED + 1e-9) >= discs_in_disc(LARGEST_SEARCHED)
