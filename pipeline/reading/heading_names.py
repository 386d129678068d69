"""Which column a heading means, and in which unit: ``ball_g``, ``Ball (lb)``, ``qty``, ``height_in``."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from pipeline.reading.spelling import tidy
from pipeline.reading.synonyms import SYNONYMS
from schemas.sheet import Column
from schemas.units import BY_SPELLING, Unit, unit_written

PUNCTUATION = re.compile(r"[\s\-_()\[\],:/.]+")
"""Signs that people put between the words of a heading and around its unit."""


@dataclass(frozen=True)
class Meaning:
    """The column that a heading means, and the unit that it gives if that is not the column's own."""

    column: str
    unit: Unit | None = None


@dataclass(frozen=True)
class Names:
    """Every heading that a sheet may have, as ``words`` has it, with what it means."""

    meanings: dict[str, Meaning]

    @classmethod
    def plain(cls, columns: Sequence[Column]) -> Names:
        """The names of the columns alone."""
        return cls({column.name: Meaning(column.name) for column in columns})

    @classmethod
    def of(cls, sheet: str, columns: Sequence[Column]) -> Names:
        """The headings of a sheet: names of columns, synonyms, and either with another unit behind."""
        own = {column.name: column.name for column in columns}
        found = {name: Meaning(column) for name, column in (SYNONYMS.get(sheet, {}) | own).items()}
        kinds = {column.name: column for column in columns}
        for name, meaning in list(found.items()):
            column = kinds[meaning.column]
            unit = unit_written(column.unit) if column.kind == "number" else None
            if unit is None:
                continue
            stem = name.removesuffix(f"_{column.unit}")
            for spelling, other in BY_SPELLING.items():
                if other.quantity == unit.quantity:
                    heading = words(f"{stem} {spelling}")
                    found.setdefault(heading, Meaning(meaning.column, None if other is unit else other))
        return cls(found)

    def means(self, heading: str) -> Meaning | None:
        """What a heading means, None if it is not one of the sheet's."""
        return self.meanings.get(tidy(heading)) or self.meanings.get(words(heading))

    def for_columns(self, columns: Collection[str]) -> dict[str, str]:
        """Headings in the columns' own units that mean one of them, to that column."""
        meant = self.meanings.items()
        return {name: meaning.column for name, meaning in meant if meaning.column in columns and meaning.unit is None}


def words(heading: str) -> str:
    """A heading without the signs between its words: ``Ball (lb)`` is ``ball_lb``."""
    return PUNCTUATION.sub("_", heading.strip().casefold()).strip("_")
