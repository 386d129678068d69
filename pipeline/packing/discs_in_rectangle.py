"""Equal discs in a rectangle: pots on a rectangular shelf, in rows."""

from __future__ import annotations

from functools import cache
from math import floor
from typing import NamedTuple

from pipeline.packing import HEXAGONAL_PITCH, NOISE


class Rows(NamedTuple):
    """Rows of discs, each disc one diameter wide.

    The first, third, fifth … row holds ``odd`` discs and begins at the edge; the others hold ``even`` and begin
    ``shift`` later. ``pitch`` is from row to row. Rows lie along the rectangle's width, or its depth if ``turned``.
    """

    rows: int
    pitch: float
    odd: int
    even: int
    shift: float
    turned: bool

    @property
    def discs(self) -> int:
        """How many discs there are."""
        return (self.rows + 1) // 2 * self.odd + self.rows // 2 * self.even

    def centres(self) -> list[tuple[float, float]]:
        """The discs' centres, in diameters from the rectangle's corner: along its width, along its depth."""
        along = [
            (0.5 + row % 2 * self.shift + place, 0.5 + row * self.pitch)
            for row in range(self.rows)
            for place in range(self.even if row % 2 else self.odd)
        ]
        return [(y, x) for x, y in along] if self.turned else along


@cache
def discs_in_rectangle(width: float, depth: float, diameter: float) -> int:
    """How many discs lie in a rectangle without overlapping, in square or hexagonal rows; lengths in one unit."""
    return best_rows(width, depth, diameter).discs


def best_rows(width: float, depth: float, diameter: float) -> Rows:
    """The fullest of square rows, hexagonal rows along the width and hexagonal rows along the depth.

    Hexagonal rows begin with one at the edge: beginning with a shifted one never holds more, because a shifted row
    never holds more than one at the edge.
    """
    wide = width / diameter * (1 + NOISE)
    deep = depth / diameter * (1 + NOISE)
    if min(wide, deep) < 1:
        return Rows(rows=0, pitch=1.0, odd=0, even=0, shift=0.0, turned=False)
    square = Rows(rows=floor(deep), pitch=1.0, odd=floor(wide), even=floor(wide), shift=0.0, turned=False)
    return max(
        (square, _hexagonal(wide, deep, turned=False), _hexagonal(deep, wide, turned=True)),
        key=lambda rows: rows.discs,
    )


def _hexagonal(along: float, across: float, *, turned: bool) -> Rows:
    return Rows(
        rows=1 + floor((across - 1) / HEXAGONAL_PITCH),
        pitch=HEXAGONAL_PITCH,
        odd=floor(along),
        even=floor(along - 0.5),
        shift=0.5,
        turned=turned,
    )
