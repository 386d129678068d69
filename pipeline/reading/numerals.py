"""Numbers with marks in them: which mark is the decimal one, and the same number written plainly."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from pipeline.reading.evidence import ANY, OPEN, Decision, decided

MARKS = (".", ",")
"""The decimal marks there are; the other one may then stand between groups of three digits."""

SPACES = " \u00a0\u202f\u2009"
"""Space, no-break space, narrow no-break space and thin space: between groups of digits all the same."""

BETWEEN = SPACES + "'’"  # noqa: RUF001 - the apostrophe that word processors put

NUMERAL = rf"(?:(?:[0-9]{{1,3}}(?:[{BETWEEN}.,][0-9]{{3}})+(?![0-9])|[0-9]+)(?:[.,][0-9]*)?|[.,][0-9]+)"
"""A number with marks anywhere; whether they are where they may be is told by ``plainly``."""

GROUP = 3

EVERY = re.compile(NUMERAL)

SPLIT = {mark: re.compile(f"[{BETWEEN}{mark}]") for mark in MARKS}
"""Between the groups of a number whose decimal mark is the other one."""


def plainly(numeral: str, mark: str) -> str | None:
    """The number with a point before its decimals and no other mark, if ``mark`` is the decimal one; else None.

    ``1.234,50`` with a comma is ``1234.50``, with a point it is no number.
    """
    if numeral.isdigit():
        return numeral
    before, _, decimals = numeral.partition(mark)
    if decimals and not (decimals.isascii() and decimals.isdigit()):
        return None
    whole = before
    if before and not before.isdigit():
        first, *rest = groups = SPLIT[MARKS[1 - MARKS.index(mark)]].split(before)
        if not 1 <= len(first) <= GROUP or first[0] == "0" or any(map(_no_group, rest)):
            return None
        if len({" " if sign in SPACES else sign for sign in before if not sign.isdigit()}) > 1:
            return None
        whole = "".join(groups)
    if not (whole or decimals):
        return None
    return f"{whole or '0'}.{decimals}" if decimals else whole


def _no_group(digits: str) -> bool:
    return len(digits) != GROUP


def says(numerals: Iterable[str]) -> str:
    """The decimal mark that the numbers of a cell show; ``OPEN`` if they are other numbers with the other one.

    A cell that is wrong either way says nothing.
    """
    found = ANY
    for numeral in numerals:
        point, comma = (plainly(numeral, mark) for mark in MARKS)
        if point == comma:
            continue
        own = "." if comma is None else "," if point is None else OPEN
        if found in (ANY, OPEN):
            found = own
    return found


def decimal_mark(cells: Mapping[str, int], chosen: str | None, *, semicolons: bool) -> Decision:
    """The decimal mark of a sheet, from how often each of its number cells stands in it.

    Where no cell shows it, the one ``chosen`` holds; failing that, in a file with semicolons between its cells a comma
    is the decimal mark, since that is why they are there, unless a point stands in just such a place.
    """
    said = {cell: says(EVERY.findall(cell)) for cell in cells}
    if chosen is None and semicolons:
        open_marks = {mark for cell, way in said.items() if way == OPEN for mark in MARKS if mark in cell}
        chosen = "," if open_marks == {","} else None
    return decided(said, cells, chosen)
