"""What leaves open how it is meant, decided from all that stands beside it: decimal marks, orders of dates."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

OPEN = "open"
"""Said by a cell that may be meant in more than one of the ways, and would then be something else."""

ANY = ""
"""Said by a cell that is the same in every way, or in none."""


@dataclass(frozen=True)
class Decision:
    """How cells are meant: ``way`` is None if nothing decides, ``shown_by`` is a cell that decides it.

    ``against`` are the cells that say otherwise: the fewer, or all where as many speak for one as for another.
    """

    way: str | None = None
    shown_by: str | None = None
    against: frozenset[str] = field(default_factory=frozenset)


def decided(says: Mapping[str, str], counts: Mapping[str, int], chosen: str | None) -> Decision:
    """What cells say together. ``says`` holds a way, ``OPEN`` or ``ANY`` by cell, ``counts`` how often each stands.

    ``chosen`` decides only where the cells do not.
    """
    votes: dict[str, int] = {}
    first: dict[str, str] = {}
    for cell, way in says.items():
        if way not in (OPEN, ANY):
            votes[way] = votes.get(way, 0) + counts[cell]
            first.setdefault(way, cell)
    if not votes:
        return Decision(chosen)
    most = max(votes.values())
    leading = [way for way, count in votes.items() if count == most]
    meant = leading[0] if len(leading) == 1 else chosen if chosen in leading else None
    against = frozenset(cell for cell, said in says.items() if said not in (OPEN, ANY, meant))
    return Decision(meant, first.get(meant or ""), against)
