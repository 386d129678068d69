"""One spelling for one thing: headings and names that differ only in capitals, spaces and the like are the same."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from functools import cache

import polars as pl

from schemas import SHEETS_IN
from schemas.sheet import columns

Home = tuple[str, str]
"""A sheet and its column in which names are at home: their spelling there holds for every other sheet."""

WIDE_SPACE = r"\s\s|[^\S ]"
"""A space inside a name that is not a single plain one."""

SHORT = 1_000
"""Rows of a column that Python has gone through before polars has begun."""

MORE_HOMES: dict[Home, tuple[Home, ...]] = {
    ("orders", "glaze"): (("glazes", "glaze"), ("orders", "glaze")),
    ("in_progress", "glaze"): (("glazes", "glaze"), ("orders", "glaze")),
    ("labour_hours", "worker"): (("labour_hours", "worker"),),
}
"""Homes of names beside those that the sheets' links give: a glaze needs no recipe."""


def tidy(heading: str) -> str:
    """A heading, a setting or a sheet as the schemas name it: ``Due date``, ``due-date``, `` DUE_DATE `` are one."""
    return re.sub(r"[\s\-_]+", "_", heading.strip().casefold()).strip("_")


def alike(name: str) -> str:
    """What names have in common that differ only in capitals and in the spaces inside them."""
    return " ".join(name.casefold().split())


def homes_of(sheet: str, column: str) -> tuple[Home, ...]:
    """Where the names of a column are at home; empty if it holds no names."""
    if (sheet, column) in MORE_HOMES:
        return MORE_HOMES[sheet, column]
    link = next(found.link for found in columns(SHEETS_IN[sheet]) if found.name == column)
    return link.targets if link else ()


def one_spelling(sheets: Mapping[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
    """The input sheets with every name spelled as where it is at home, and there as where it stands first.

    Only names that are the same but for capitals and inner spaces are changed; all else is left for the checks.
    """
    homes = {home for home in _homes() if home[0] in sheets}

    @cache
    def spellings(home: Home) -> Mapping[str, str]:
        return _spellings(sheets[home[0]][home[1]])

    return {sheet: _respelled(sheet, frame, homes, spellings) for sheet, frame in sheets.items()}


def _homes() -> dict[Home, None]:
    """Every column in which names are at home, in order."""
    links = [homes_of(sheet, column.name) for sheet, model in SHEETS_IN.items() for column in columns(model)]
    return dict.fromkeys(home for homes in links for home in homes)


def distinct(names: pl.Series) -> list[str]:
    """The different names in a column, in the order in which they first stand."""
    seen = names if len(names) < SHORT else names.unique(maintain_order=True)
    return [name for name in dict.fromkeys(seen.to_list()) if name is not None]


def _spellings(names: pl.Series) -> dict[str, str]:
    """What names are alike in, to the first spelling of it."""
    first: dict[str, str] = {}
    for name in distinct(names):
        first.setdefault(alike(name), name)
    return first


def _all_differ(names: pl.Series) -> bool:
    """Whether surely no two names of a long column are alike; quicker than to look at each of them."""
    if len(names) < SHORT:
        return False
    name = pl.col(names.name)
    simple = (name.str.len_bytes() == name.str.len_chars()).all() & ~name.str.contains(WIDE_SPACE).any()
    plain, different = names.to_frame().select(simple.alias("plain"), name.str.to_lowercase().n_unique()).row(0)
    return bool(plain) and different in (len(names), names.n_unique())


def _respelled(
    sheet: str, frame: pl.DataFrame, all_homes: Collection[Home], spellings: Callable[[Home], Mapping[str, str]]
) -> pl.DataFrame:
    """The sheet with the names of all its columns spelled as they are at home."""
    changed = []
    for column in columns(SHEETS_IN[sheet]):
        homes = [home for home in _sources(sheet, column.name) if home in all_homes]
        if not homes or (homes == [(sheet, column.name)] and _all_differ(frame[column.name])):
            continue
        known = {key: name for home in reversed(homes) for key, name in spellings(home).items()}
        changes = _changes(frame[column.name], known, listed=column.kind == "list")
        changed += [pl.col(column.name).replace(changes)] if changes else []
    return frame.with_columns(changed) if changed else frame


def _sources(sheet: str, column: str) -> tuple[Home, ...]:
    """Where the spelling of a column's names comes from, the first that has the name: their homes, then itself."""
    homes = homes_of(sheet, column)
    return homes if (sheet, column) in homes else (*homes, (sheet, column))


def _listed(part: str, known: Mapping[str, str]) -> list[str]:
    """The names in a part of a list: commas between them do as well, where they part it into known names alone."""
    names = [name.strip() for name in part.split(",")]
    return names if all(alike(name) in known for name in names) else [part]


def _changes(names: pl.Series, known: Mapping[str, str], *, listed: bool) -> dict[str, str]:
    """Cell to its spelling at home, for those that differ from it; in a list, each name is spelled by itself."""
    changes = {}
    for cell in distinct(names):
        parts = [name for part in cell.split(";") for name in _listed(part.strip(), known)] if listed else [cell]
        spelled = "; ".join(known.get(alike(part), part) for part in parts if part or not listed)
        if spelled != cell:
            changes[cell] = spelled
    return changes
