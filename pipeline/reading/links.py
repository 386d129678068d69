"""Names that must stand in another sheet: the links of the schemas, followed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import polars as pl

from pipeline.reading.headings import ROW
from pipeline.reading.spelling import Home, homes_of
from schemas import REQUIRED, SHEETS_IN, kinds
from schemas.problem import Problem, closest
from schemas.sheet import columns

ONLY_ROWS: dict[str, pl.Expr] = {"bats_and_boards": pl.col("kind") == "bat"}
"""Rows of a sheet in which names are sought: no piece is thrown on a board."""

NOUNS = {"item": "bat"}
"""What a name is called, if not by its column at home."""

MOST_GUESSED = 100
"""Different unknown names of a column for which the closest known one is sought: the search is slow."""

NOT_LINKED = {("orders", "glaze"), ("in_progress", "glaze"), ("labour_hours", "worker")}
"""Columns that share a spelling with another sheet and need not stand there."""


@dataclass(frozen=True)
class Checked:
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
    return [problem for name in SHEETS_IN if name in job.given for problem in _sheet_broken(job, name)]


def _sheet_broken(job: Checked, sheet: str) -> Iterator[Problem]:
    for column in columns(SHEETS_IN[sheet]):
        homes = () if (sheet, column.name) in NOT_LINKED else homes_of(sheet, column.name)
        known = _known(job, homes)
        if known is None:
            continue
        names = job.sheets[sheet].select(ROW, name=column.name).drop_nulls()
        if column.kind == "list":
            names = names.with_columns(pl.col("name").str.split(";")).explode("name")
            names = names.with_columns(pl.col("name").str.strip_chars()).filter(pl.col("name") != "")
        names = names.filter(~pl.col("name").is_in(known.implode()))
        if sheet == "clay_blends":
            blends = job.sheets[sheet]["clay"].drop_nulls().implode()
            for row, name in names.filter(pl.col("name").is_in(blends)).select(ROW, "name").iter_rows():
                yield kinds.BLEND_OF_A_BLEND.at(sheet, row, column.name, name)
            names = names.filter(~pl.col("name").is_in(blends))
        yield from _unknown(sheet, column.name, names, homes, known)


def _known(job: Checked, homes: tuple[Home, ...]) -> pl.Series | None:
    """The names at home; None if nothing can be said: there is no home, or a sheet of it is not there to be read."""
    needed = [sheet for sheet, _ in homes if sheet in REQUIRED]
    if any(sheet in job.broken for sheet, _ in homes) or not all(job.has(sheet) for sheet in needed):
        return None
    rows = [(job.sheets[sheet].filter(ONLY_ROWS.get(sheet, True)), column) for sheet, column in homes if job.has(sheet)]
    if not any(len(frame) for frame, _ in rows):
        return None
    return pl.concat([frame[column] for frame, column in rows]).drop_nulls().unique(maintain_order=True)


def _unknown(
    sheet: str, column: str, unknown: pl.DataFrame, homes: tuple[Home, ...], known: pl.Series
) -> Iterator[Problem]:
    what = NOUNS.get(homes[0][1], homes[0][1])
    where = " or ".join(home for home, _ in homes)
    near: dict[str, str | None] = {}
    for row, name in unknown.select(ROW, "name").iter_rows():
        if name not in near:
            near[name] = closest(name, known.to_list()) if len(near) < MOST_GUESSED else None
        yield kinds.UNKNOWN_NAME.at(sheet, row, column, name, near[name], what=what, where=where)
