"""Pots in rows on a rectangular shelf, against worked shelves, best known packings and the discs' real positions."""

from __future__ import annotations

from itertools import combinations
from math import dist, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.packing.discs_in_rectangle import best_rows, discs_in_rectangle

SIDES = st.floats(1, 1200)
DIAMETERS = st.floats(40, 400)


@pytest.mark.parametrize(
    ("width", "depth", "diameter", "discs"),
    [
        # Arithmetic. Square 4 x 4 = 16; hexagonal 4 + 3 + 4 + 3 = 14 (a fifth row would need 9 + 4 x 7.79 = 40.2).
        (40, 40, 9, 16),
        # Square 4 x 6 = 24; hexagonal along the 60: 6 + 5 + 6 + 5 + 6 = 28 in 10 + 4 x 8.66 = 44.6.
        (45, 60, 10, 28),
        # Square 6 x 5 = 30; hexagonal along the 66: six rows of 6 = 36 (6.5 x 9.5 = 61.75) in 9.5 + 5 x 8.23 = 50.6.
        (66, 56, 9.5, 36),
        # Square 20 x 10 = 200; hexagonal along the 20: 6 rows of 20 and 5 of 19 = 215 in 1 + 10 x 0.866 = 9.66.
        (20, 10, 1, 215),
    ],
)
def test_worked_shelves(width: float, depth: float, diameter: float, discs: int) -> None:
    assert discs_in_rectangle(width, depth, diameter) == discs
    assert discs_in_rectangle(depth, width, diameter) == discs


def test_exact_fits_and_float_noise() -> None:
    assert discs_in_rectangle(0.3, 0.3, 0.1) == 9  # 0.3 / 0.1 is 2.9999999999999996 in floats
    assert discs_in_rectangle(100, 100, 100) == 1
    # Two rows of 3 in each other's gaps: 3.5 wide, 1 + sqrt(3) / 2 deep.
    assert discs_in_rectangle(3.5, 1 + sqrt(3) / 2, 1) == 6
    assert discs_in_rectangle(3.499, 1 + sqrt(3) / 2, 1) == 5
    assert discs_in_rectangle(3.5, 1 + sqrt(3) / 2 - 0.001, 1) == 3


def test_a_pot_wider_than_the_shelf() -> None:
    assert discs_in_rectangle(300, 90, 91) == 0
    assert discs_in_rectangle(90, 300, 91) == 0
    assert best_rows(90, 300, 91).centres() == []


# Side of the smallest known square that holds N = 1, 2 ... 20 discs of radius 1: the list "Circle packing in a square"
# (read), N = 10 by the On-Line Encyclopedia of Integer Sequences, A281065.
SQUARE_SIDES = (
    2, 3.41421, 3.93185, 4, 4.82843, 5.32820, 5.73205, 5.86370, 6, 6.74744,
    7.022, 7.14496, 7.463, 7.73205, 7.86370, 8, 8.532, 8.65641, 8.907, 8.97808,
)  # fmt: skip


@pytest.mark.parametrize(("discs", "side"), list(enumerate(SQUARE_SIDES, start=1)))
def test_rows_in_a_square_never_beat_the_best_known(discs: int, side: float) -> None:
    # Sides are printed to three decimals at least: a thousandth less is too small for so many.
    assert discs_in_rectangle(side - 1e-3, side - 1e-3, 2) < discs


@pytest.mark.parametrize("rows", [1, 2, 3, 4])
def test_square_rows_are_the_best_known_for_small_square_numbers(rows: int) -> None:
    assert discs_in_rectangle(SQUARE_SIDES[rows**2 - 1], SQUARE_SIDES[rows**2 - 1], 2) == rows**2


# Most discs of area 1 known in a square of area n = 1 ... 39: On-Line Encyclopedia of Integer Sequences, A337020.
MOST_BY_AREA = (
    0, 1, 1, 2, 3, 4, 4, 5, 5, 6, 8, 9, 9, 9, 10, 11, 12, 13, 13, 15, 16, 16, 16, 18, 18, 20, 20, 21, 22, 22,
    24, 25, 25, 25, 27, 27, 28, 30, 30,
)  # fmt: skip


@pytest.mark.parametrize(("area", "most"), list(enumerate(MOST_BY_AREA, start=1)))
def test_rows_by_area_never_beat_the_best_known(area: int, most: int) -> None:
    # A disc of area 1 has the diameter 2 / sqrt(pi) = 1.128379.
    assert discs_in_rectangle(sqrt(area), sqrt(area), 1.1283791671) <= most


@given(width=SIDES, depth=SIDES, diameter=DIAMETERS)
def test_the_discs_lie_inside_and_apart(width: float, depth: float, diameter: float) -> None:
    rows = best_rows(width, depth, diameter)
    places = [(x * diameter, y * diameter) for x, y in rows.centres()]
    assert len(places) == rows.discs == discs_in_rectangle(width, depth, diameter)
    near = diameter / 2 - 1e-5
    assert all(near <= x <= width - near and near <= y <= depth - near for x, y in places)
    if len(places) <= 250:
        assert all(dist(one, other) >= diameter - 1e-5 for one, other in combinations(places, 2))


@given(width=SIDES, depth=SIDES, diameter=DIAMETERS)
def test_never_more_than_possible_nor_fewer_than_square_rows(width: float, depth: float, diameter: float) -> None:
    # N. Oler, "An inequality in the geometry of numbers", Acta Mathematica 105 (1961), 19-48, from memory: points one
    # apart in a convex region of area A and perimeter P are 2/sqrt(3) A + P/2 + 1 at most.
    wide, deep = width / diameter - 1, depth / diameter - 1
    found = discs_in_rectangle(width, depth, diameter)
    if min(wide, deep) >= 0:
        assert found <= 2 / sqrt(3) * wide * deep + wide + deep + 1 + 1e-6
        assert found >= int(width / diameter) * int(depth / diameter)


@given(width=SIDES, depth=SIDES, diameter=DIAMETERS, more=st.floats(0, 300))
def test_a_larger_shelf_or_a_smaller_pot_never_holds_less(
    width: float, depth: float, diameter: float, more: float
) -> None:
    found = discs_in_rectangle(width, depth, diameter)
    assert found <= discs_in_rectangle(width + more, depth, diameter)
    assert found <= discs_in_rectangle(width, depth + more, diameter)
    assert found >= discs_in_rectangle(width, depth, diameter + more)


def test_a_huge_shelf_is_counted_without_listing_it() -> None:
    # A hundred million across each way: about 1 / 0.866 = 1.1547 discs a square diameter.
    assert discs_in_rectangle(1e8, 1e8, 1) == pytest.approx(1.1547005e16, rel=1e-6)
