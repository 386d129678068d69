"""Which column a heading means, and in which unit: ``ball_g``, ``Ball (lb)``, ``qty``, ``height_in``."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from pipeline.reading.spelling import tidy
from schemas.sheet import Column

if TYPE_CHECKING:
    from schemas.units import Unit

PUNCTUATION = re.compile(r"[\s\-_()\[\],:/.]+")
"""Signs that people put between the words of a heading and around its unit."""


class Meaning(NamedTuple):
    """The column that a heading means, and the unit that it gives if that is not the column's own."""

    column: str
    unit: Unit | None = None


class Names:
    """Every heading that a sheet may have, with what it means: names of columns, synonyms, and either with another unit
    behind. Of a sheet without a name, the names of its columns alone."""

    def __init__(self, sheet: str | None, columns: Sequence[Column]) -> None:
        self._sheet, self._columns = sheet, {column.name: column for column in columns}
        self._own = {name: Meaning(name) for name in self._columns}

    def means(self, heading: str) -> Meaning | None:
        """What a heading means, None if it is not one of the sheet's."""
        name = tidy(heading)
        return self._own.get(name) or self._all.get(name) or self._all.get(words(heading))

    def for_columns(self, columns: Collection[str]) -> dict[str, str]:
        """Headings in the columns' own units that mean one of them, to that column."""
        meant = self._all.items()
        return {name: meaning.column for name, meaning in meant if meaning.column in columns and meaning.unit is None}

    @cached_property
    def _all(self) -> dict[str, Meaning]:
        """All of them, as ``words`` has them; a sheet with the columns' own names never asks for them."""
        if self._sheet is None:
            return self._own
        from pipeline.reading.synonyms import SYNONYMS
        from schemas.units import BY_SPELLING, unit_written

        synonyms = SYNONYMS.get(self._sheet, {})
        found = {name: Meaning(column) for name, column in synonyms.items()} | self._own
        for name, meaning in list(found.items()):
            column = self._columns[meaning.column]
            unit = unit_written(column.unit) if column.kind == "number" else None
            if unit is None:
                continue
            stem = name.removesuffix(f"_{column.unit}")
            for spelling, other in BY_SPELLING.items():
                if other.quantity == unit.quantity:
                    heading = words(f"{stem} {spelling}")
                    found.setdefault(heading, Meaning(meaning.column, None if other is unit else other))
        return found


def words(heading: str) -> str:
    """A heading without the signs between its words: ``Ball (lb)`` is ``ball_lb``."""
    return PUNCTUATION.sub("_", heading.strip().casefold()).strip("_")
