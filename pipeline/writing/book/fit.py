"""How wide a column and how high a row must be for what is in it: not every spreadsheet finds that out itself."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any

import polars as pl

from pipeline.writing.book.cells import Look

MONEY_WIDTH = 10.5
"""Characters of a column of money, so that a larger price typed over a small one is still seen."""

FILLED = 0.9
"""The part of a line that words surely fit in, as letters differ in width."""

MOST_LINES = 25
"""Lines of the tallest row: no spreadsheet has rows much higher."""

LINE_HEIGHT = 14.0
"""Points of a line of a heading."""

MANY = 256
"""From so many texts on, it is quicker to look for the longest by column than to look at each."""


def shown_width(value: object, look: Look, minor_digits: int) -> float:
    """Characters that a value takes in its format, a little room included."""
    match value:
        case None:
            return 0
        case date():
            return 12.5
        case str():
            return max(map(len, value.split("\n"))) * 1.05 + 1
        case int() | float() | Decimal() if look.kind in ("amount", "price", "rate"):
            digits = minor_digits if look.kind == "amount" else minor_digits + 3
            return max(len(f"{value:,.{digits}f}") + 2.0, MONEY_WIDTH)
        case int():
            return len(f"{value:,}") + 1.5
        case float() if look.kind == "quantity":
            return len(f"{value:,.6f}") + 1.5
        case _:
            return len(f"{value:,.2f}") + 2.5


def extremes(cells: pl.Series) -> set[Any]:
    """The cells among which is the widest: of numbers the least and the greatest; of texts each once, or of very many
    the longest of one line and those of several."""
    if cells.dtype != pl.String:
        return {cells.min(), cells.max()}
    if len(cells) < MANY:
        return set(cells.to_list())
    has_lines = cells.str.contains("\n", literal=True)
    single = cells.filter(~has_lines)
    longest = single.str.len_chars().arg_max()
    return {None if longest is None else single[longest], *cells.filter(has_lines).to_list()}


def row_heights(first: int, frame: pl.DataFrame, wrapped: Mapping[str, float]) -> dict[int, float]:
    """Points of rows from ``first`` on with texts that run over several lines: their columns and the letters of a line.

    Not every spreadsheet finds that out itself.
    """
    lines = [_lines(frame[name].to_list(), int(widest * FILLED)) for name, widest in wrapped.items()]
    tallest = (min(max(row), MOST_LINES) for row in zip(*lines, strict=True))
    return {at: LINE_HEIGHT * tall + 2 for at, tall in enumerate(tallest, first)}


def _lines(cells: Sequence[str | None], letters: int) -> list[int]:
    """Lines that each text takes of so many letters."""
    return [lines_of(text, letters) if text and len(text) > letters else 1 for text in cells]


@cache
def lines_of(text: str, letters: int) -> int:
    """Lines of so many letters that a text takes, as the library breaks it: it takes ten times as long, and is asked
    where more can be done than to break at a blank."""
    words = text.split()
    if "-" in text or " ".join(words) != text or max(map(len, words), default=0) > letters:
        return len(textwrap.wrap(text, letters, break_on_hyphens="-" in text))
    lines, begin = 1, 0
    while len(text) - begin > letters:
        begin = text.rindex(" ", begin, begin + letters + 1) + 1
        lines += 1
    return lines
