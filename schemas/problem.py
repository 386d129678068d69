"""A problem in a sheet: what is wrong, where, and what to type instead."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from difflib import get_close_matches
from functools import lru_cache
from typing import Literal, NamedTuple

import polars as pl

from schemas.sheet import blank, types
from schemas.sheets_out.problems import Problems

Severity = Literal["stop", "doubt"]

LONGEST_SHOWN = 160
"""Characters of a cell that a message repeats; what is longer is cut."""

LONGEST_TOLD = 1_000
"""The same of a word of a message that is more than a cell: names in a sentence, a list of lots or tabs."""


class Problem(NamedTuple):
    """One row of the sheet ``problems``."""

    sheet: str
    row: int | None
    column: str | None
    value: str | None
    problem: str
    what_to_do: str
    severity: str
    kind: str


class ProblemKind(NamedTuple):
    """A kind of problem: its name, what it means, and the sentences that tell of one.

    ``problem`` and ``what_to_do`` are templates: ``{sheet}``, ``{column}``, ``{value}`` and what ``at`` is given.
    ``suggestion`` goes before ``what_to_do`` where there is a known name ``{near}`` to what was read.
    """

    code: str
    severity: Severity
    meaning: str
    problem: str
    what_to_do: str
    suggestion: str = ""

    def at(
        self,
        sheet: str,
        row: int | None = None,
        column: str | None = None,
        value: object = None,
        near: str | None = None,
        **words: object,
    ) -> Problem:
        """The problem at a place. ``row`` is the spreadsheet's, None for the whole sheet; ``value`` was read.

        A word of several, a tuple, is a choice between them: it is ours, so it is told whole.
        """
        read = None if value is None else shown(value)
        told: dict[str, object] = {
            name: " or ".join(f"`{option}`" for option in word)
            if isinstance(word, tuple)
            else shown(word, LONGEST_TOLD)
            for name, word in words.items()
        }
        told |= {"sheet": sheet, "column": column, "value": read, "near": near}
        template = self.suggestion + self.what_to_do if near else self.what_to_do
        problem, what_to_do = self.problem.format(**told), template.format(**told)
        return Problem(sheet, row, column, read, problem, what_to_do, self.severity, self.code)


def shown(value: object, longest: int = LONGEST_SHOWN) -> str:
    """A value on one line and not too long for a message."""
    return _line(f"{value:.10g}" if isinstance(value, float) else str(value), longest)


@lru_cache(maxsize=1024)
def _line(text: str, longest: int) -> str:
    """A text on one line, cut to length. Kept, since the problems of a column share most of their words."""
    line = " ".join(text.split())
    return line if len(line) <= longest else line[: longest - 1] + "…"


def problems_sheet(problems: Iterable[Problem]) -> pl.DataFrame:
    """The problems as the sheet ``problems``, in the order given."""
    rows = list(problems)
    return pl.DataFrame(rows, schema=types(Problems), orient="row") if rows else blank(Problems)


def closest(word: str, known: Collection[str]) -> str | None:
    """The known word that is spelled most like ``word``, None if none is near. Capitals do not count."""
    spelled = {name.casefold(): name for name in sorted(known, reverse=True)}
    near = get_close_matches(word.casefold(), list(spelled), n=1)
    return spelled[near[0]] if near else None
