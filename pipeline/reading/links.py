"""Names that must stand in another sheet: the links of the schemas, followed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from functools import cache
from typing import NamedTuple

import polars as pl

from pipeline.reading.headings import ROW
from pipeline.reading.spelling import Home, distinct, homes_of
from schemas import REQUIRED, SHEETS_IN, kinds
from schemas.problem import Problem, closest
from schemas.sheet import columns

ONLY_ROWS: dict[str, pl.Expr] = {"bats_and_boards": pl.col("kind") == "bat"}
"""Rows of a sheet in which names are sought: no piece is thrown on a board."""

NOUNS = {"item": "bat"}
"""What a name is called, if not by its column at home."""

MOST_GUESSED = 25
"""Different unknown names of a column for which the closest known one is sought: the search is slow."""

NOT_LINKED = {("orders", "glaze"), ("in_progress", "glaze"), ("labour_hours", "worker")}
"""Columns that share a spelling with another sheet and need not stand there."""


class Checked(NamedTuple):
    """The typed sheets, defaults standing in, with one spelling for every name.

    ``given`` are those that were filled in; ``broken`` those that were, and cannot be relied on; ``unclear`` are the
    rows of sheets in which something is wrong already.
    """

    sheets: Mapping[str, pl.DataFrame]
    given: frozenset[str]
    broken: frozenset[str]
    unclear: frozenset[tuple[str, int | None]]

    def has(self, *names: str) -> bool:
        """Whether all of the sheets have rows."""
        return all(name in self.sheets and not self.sheets[name].is_empty() for name in names)


def links_broken(job: Checked) -> list[Problem]:
    """Every name that does not stand where it must. Only sheets that were given are checked, and only against sheets
    that were given and could be read, or have a default."""

    @cache
    def known(homes: tuple[Home, ...]) -> dict[str, None] | None:
        return _known(job, homes)

    return [problem for name in SHEETS_IN if name in job.given for problem in _sheet_broken(job, name, known)]


def _sheet_broken(
    job: Checked, sheet: str, known_at: Callable[[tuple[Home, ...]], dict[str, None] | None]
) -> Iterator[Problem]:
    for column in columns(SHEETS_IN[sheet]):
        homes = () if (sheet, column.name) in NOT_LINKED else homes_of(sheet, column.name)
        known = known_at(homes)
        if known is None:
            continue
        listed = column.kind == "list"
        cells = distinct(job.sheets[sheet][column.name])
        unknown = {name for cell in cells for name in _names(cell, listed) if name not in known}
        if not unknown:
            continue
        named = job.sheets[sheet].select(ROW, cell=column.name).drop_nulls()
        if not listed:
            named = named.filter(pl.col("cell").is_in(pl.Series(list(unknown)).implode()))
        blends = set(distinct(job.sheets[sheet]["clay"])) if sheet == "clay_blends" else set[str]()
        places = [(row, name) for row, cell in named.iter_rows() for name in _names(cell, listed) if name in unknown]
        for row, name in places:
            if name in blends:
                yield kinds.BLEND_OF_A_BLEND.at(sheet, row, column.name, name)
        strange = [(row, name) for row, name in places if name not in blends]
        yield from _unknown(sheet, column.name, strange, homes, known)


def _names(cell: str, listed: bool) -> list[str]:
    """The name in a cell, or the names of a list."""
    return [name for part in cell.split(";") if (name := part.strip())] if listed else [cell]


def _known(job: Checked, homes: tuple[Home, ...]) -> dict[str, None] | None:
    """The names at home; None if nothing can be said: there is no home, or a sheet of it is not there to be read."""
    needed = [sheet for sheet, _ in homes if sheet in REQUIRED]
    if any(sheet in job.broken for sheet, _ in homes) or not all(job.has(sheet) for sheet in needed):
        return None
    there = [(job.sheets[sheet], sheet, column) for sheet, column in homes if job.has(sheet)]
    rows = [(frame.filter(ONLY_ROWS[sheet]) if sheet in ONLY_ROWS else frame, column) for frame, sheet, column in there]
    if not any(len(frame) for frame, _ in rows):
        return None
    return {name: None for frame, column in rows for name in distinct(frame[column])}


def _unknown(
    sheet: str, column: str, unknown: list[tuple[int, str]], homes: tuple[Home, ...], known: Collection[str]
) -> Iterator[Problem]:
    what = NOUNS.get(homes[0][1], homes[0][1])
    where = " or ".join(home for home, _ in homes)
    near: dict[str, str | None] = {}
    for row, name in unknown:
        if name not in near:
            near[name] = closest(name, known) if len(near) < MOST_GUESSED else None
        yield kinds.UNKNOWN_NAME.at(sheet, row, column, name, near[name], what=what, where=where)
