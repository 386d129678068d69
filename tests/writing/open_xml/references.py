"""References to cells, and the formulas they stand in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

from openpyxl.formula.tokenizer import Token, Tokenizer, TokenizerError
from openpyxl.utils import FORMULAE, column_index_from_string

MOST_ROWS, MOST_COLUMNS = 1_048_576, 16_384
"""Of a sheet. Source: Microsoft, Excel specifications and limits."""

LONGEST_LITERAL = 255
"""Letters of a text within a formula. Source: Microsoft, of the formula error that tells of it: "Text values in
formulas are limited to 255 characters"."""

CELL = r"\$?([A-Z]{1,3})\$?([1-9][0-9]{0,6})"
AREA = re.compile(rf"{CELL}(?::{CELL})?")
COLUMNS = re.compile(r"\$?([A-Z]{1,3}):\$?([A-Z]{1,3})")
ROWS = re.compile(r"\$?([1-9][0-9]{0,6}):\$?([1-9][0-9]{0,6})")
ON_TAB = re.compile(r"(?:'((?:[^']|'')+)'|([^\W\d][\w.]*))!(.+)")

SOME_ROW = re.compile(r"(?<=[A-Z$])[1-9][0-9]{0,5}(?![0-9(])")
"""The number of a row that every sheet has: formulas that differ in nothing else are alike."""


class Area(NamedTuple):
    """Cells from a first row and column to a last, all counted from 1."""

    top: int
    left: int
    bottom: int
    right: int

    def meets(self, other: Area) -> bool:
        return (
            self.top <= other.bottom
            and other.top <= self.bottom
            and self.left <= other.right
            and other.left <= self.right
        )


def area(written: str) -> Area | None:
    """The cells that are meant by ``A1``, ``A1:B2``, ``A:B`` or ``1:2``; None if none of a sheet's are."""
    if found := AREA.fullmatch(written):
        column, row, last_column, last_row = found.groups()
        cells = Area(int(row), _number(column), int(last_row or row), _number(last_column or column))
    elif found := COLUMNS.fullmatch(written):
        cells = Area(1, _number(found[1]), MOST_ROWS, _number(found[2]))
    elif found := ROWS.fullmatch(written):
        cells = Area(int(found[1]), 1, int(found[2]), MOST_COLUMNS)
    else:
        return None
    fits = cells.top <= cells.bottom <= MOST_ROWS and cells.left <= cells.right <= MOST_COLUMNS
    return cells if fits else None


@cache
def _number(letters: str) -> int:
    number: int = column_index_from_string(letters)
    return number


def reference_fault(written: str, tabs: frozenset[str]) -> str | None:
    """What is wrong with a reference that may name a tab."""
    on = ON_TAB.fullmatch(written)
    if on and (on[1] or on[2]).replace("''", "'") not in tabs:
        return f"there is no tab for {written}"
    return None if area(on[3] if on else written) else f"no sheet has {written}"


def formula_faults(formula: str, tabs: frozenset[str], names: frozenset[str]) -> Iterator[str]:
    """What Excel would not read in a formula, which stands in a file without its ``=``; any row that is there as 1."""
    for fault in _faults_of_all_alike(SOME_ROW.sub("1", formula), tabs, names):
        yield f"{fault} in ={formula}"


@cache
def _faults_of_all_alike(formula: str, tabs: frozenset[str], names: frozenset[str]) -> list[str]:
    if formula.startswith("="):
        return ["a second ="]
    try:
        tokens: list[Token] = Tokenizer(f"={formula}").items
    except TokenizerError as refusal:
        return [str(refusal)]
    except IndexError:
        return ["a bracket that was not opened"]
    kinds = [token.subtype for token in tokens]
    found = [fault for token in tokens if (fault := _token_fault(token, tabs, names))]
    if kinds.count(Token.OPEN) != kinds.count(Token.CLOSE):
        found.append("a bracket that is not closed")
    return found


def _token_fault(token: Token, tabs: frozenset[str], names: frozenset[str]) -> str | None:
    if token.type == Token.FUNC and token.subtype == Token.OPEN:
        # A cell, a colon and a function that gives another cell come as one.
        first, _, function = token.value[:-1].rpartition(":")
        if function not in FORMULAE:
            return f"{function} is no function of the standard"
        return reference_fault(first, tabs) if first else None
    if token.type != Token.OPERAND:
        return None
    if token.subtype == Token.TEXT and len(token.value) - 2 > LONGEST_LITERAL:
        return f"a text of {len(token.value) - 2} letters"
    if token.subtype == Token.ERROR:
        return f"the error {token.value}"
    if token.subtype == Token.RANGE and token.value not in names:
        return reference_fault(token.value, tabs)
    return None
