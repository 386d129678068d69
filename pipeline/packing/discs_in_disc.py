"""Equal discs in a larger disc: pots on a round shelf."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from functools import cache
from math import ceil, floor, pi, sqrt
from typing import NamedTuple

from pipeline.packing import HEXAGONAL_PITCH, NOISE

BEST_KNOWN = (
    1.0, 2.0, 2.15470, 2.41421, 2.70130, 3.0, 3.0, 3.30476, 3.61313, 3.81303,
    3.92380, 4.02960, 4.23607, 4.32843, 4.52136, 4.61543, 4.79203, 4.86370, 4.86370, 5.12232,
    5.25232, 5.43972, 5.54520, 5.65166, 5.75282, 5.82818, 5.90640, 6.01494, 6.13860, 6.19774,
    6.29150, 6.42946, 6.48670, 6.61096, 6.69717, 6.74675, 6.75877,
)  # fmt: skip
"""Radius of the smallest known disc that holds 1, 2, 3 … discs of radius 1, to five decimals.

Sources: 1 to 20, the encyclopaedia article "Circle packing in a circle" and the radii of Lindo's sample model
"packcrcl"; 21 to 37, from memory of R. L. Graham, B. D. Lubachevsky, K. J. Nurmela and P. R. J. Östergård, "Dense
packings of congruent circles in a circle", Discrete Mathematics 181 (1998), 139-154, and E. Specht's tables. Each was
found again by numerical optimisation; only 1 to 14 and 19 are proved the best possible.
"""

LAST_PLACE = 0.5e-5
"""Half a unit of the table's last place: a ratio this near to an entry reaches it."""

LARGEST_SEARCHED = 100.0
"""Beyond this ratio, some nine thousand discs, the lattice's average is used: a search would gain next to nothing."""

_STEPS = 6

PLACES = tuple(
    (along / 2 / _STEPS, up * HEXAGONAL_PITCH / 3 / _STEPS) for along in range(_STEPS + 1) for up in range(along + 1)
)
"""Places of the lattice at which the shelf's middle is tried.

The corners of the smallest triangle into which the lattice's mirror lines cut it, which are the middle of a disc, the
middle between two and the middle of a hole between three, and a grid of places between them. Any other place is a
mirror image of one in the triangle.
"""


class Row(NamedTuple):
    """Centres on one line: ``discs`` of them, one apart, the first at (x, y) from the shelf's middle."""

    x: float
    y: float
    discs: int


@cache
def discs_in_disc(ratio: float) -> int:
    """How many discs of radius 1 lie in a disc of radius ``ratio`` without overlapping.

    The best known count up to 37; beyond, the best of a hexagonal lattice laid in several places, and 37 at least. It
    never falls as the ratio grows. (A square lattice is never better beyond 37: it covers 79 % of the plane where the
    hexagonal one covers 91 %.)
    """
    in_table = bisect_right(BEST_KNOWN, ratio + LAST_PLACE)
    if in_table < len(BEST_KNOWN):
        return in_table
    if ratio <= LARGEST_SEARCHED:
        return max(in_table, sum(row.discs for row in lattice_rows(ratio)))
    # Over all places the lattice has on average as many points as the area for centres has cells: some place has them.
    average = floor(pi * ((ratio - 1) / 2) ** 2 / HEXAGONAL_PITCH)
    return max(discs_in_disc(LARGEST_SEARCHED), average)


def lattice_rows(ratio: float) -> list[Row]:
    """The rows of the best hexagonal lattice found in a disc of ``ratio`` diameters (at least 1) across."""
    reach = (ratio * (1 + NOISE) - 1) / 2
    return max((list(_rows(reach, x, y)) for x, y in PLACES), key=lambda rows: sum(row.discs for row in rows))


def _rows(reach: float, x: float, y: float) -> Iterator[Row]:
    """The lattice's points no further than ``reach`` from the middle, where (x, y) is one of its points."""
    for line in range(ceil((-reach - y) / HEXAGONAL_PITCH), floor((reach - y) / HEXAGONAL_PITCH) + 1):
        across = y + line * HEXAGONAL_PITCH
        half = sqrt(reach**2 - across**2) if abs(across) < reach else 0.0
        start = x + line % 2 / 2
        first = ceil(-half - start)
        yield Row(start + first, across, floor(half - start) - first + 1)


def centres(rows: list[Row]) -> list[tuple[float, float]]:
    """The centres of the discs of some rows."""
    return [(row.x + place, row.y) for row in rows for place in range(row.discs)]
