"""Numbers that look drawn by lot and are always the same, so that the same shop always gets the same timetable."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")

FACTOR = 16_807
MODULUS = 2**31 - 1
"""Each number is the one before times the factor, less whole moduli: the "minimal standard" of Park and Miller,
Communications of the ACM 31 (1988)."""


class Draws:
    """A row of numbers that begins the same every time."""

    def __init__(self) -> None:
        self._last = 1

    def below(self, end: int) -> int:
        """A number from 0 up to, not including, ``end``."""
        self._last = self._last * FACTOR % MODULUS
        return self._last * end // MODULUS

    def one_of(self, choices: Sequence[T]) -> T:
        """One of the choices, of which there is one at least."""
        return choices[self.below(len(choices))]

    def happens(self, pct: int) -> bool:
        """True in so many of a hundred cases."""
        return self.below(100) < pct
