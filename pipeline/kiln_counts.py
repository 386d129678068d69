"""How many pieces of each form fill a kiln alone, worked out once a plan, and so the room that some of them take."""

from __future__ import annotations

from collections.abc import Sequence
from math import lcm

from pipeline.packing import fit
from pipeline.remembered import remembered

kiln_counts = remembered(fit.kiln_counts)
"""As ``fit.kiln_counts``, of which ``packing`` itself, geometry alone, remembers nothing."""


def room(pieces: Sequence[int], alone: Sequence[int]) -> tuple[list[int], int]:
    """The room that pieces of some forms take, of which so many fill the kiln alone: in parts of which the kiln has the
    number given with them, so that all are whole.

    12 of 48 cups and 4 of 12 plates: 12 and 16 of 48 parts.
    """
    whole = lcm(*alone)
    return [some * whole // count for some, count in zip(pieces, alone, strict=True)], whole
