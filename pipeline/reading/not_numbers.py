"""What stands in a cell where a number belongs, and what to type instead."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from pipeline.reading.measures import Part, ready, short, taken_apart
from pipeline.reading.numerals import NUMERAL, plainly
from pipeline.reading.written_dates import MONTH_NAMES, dated
from schemas import written_kinds
from schemas.problem import ProblemKind
from schemas.sheet import Column
from schemas.units import TWO_MEANINGS, Unit, spelled, unit_written

Trouble = tuple[ProblemKind, dict[str, Any]]
"""A kind of problem, and words for its sentences."""

DAY_AND_MONTH = (
    re.compile(r"^(?P<day>[0-9]{1,2})[-. ]+(?P<month>[^\W\d_]{3,9})\.?$"),
    re.compile(r"^(?P<month>[^\W\d_]{3,9})\.?[- ]+(?P<day>[0-9]{1,2})$"),
)
"""A day without its year, as spreadsheets show 3/4."""

ROUGHLY = re.compile(
    rf"^(?:(?:about|abt|approx(?:imately)?|around|roughly|circa|ca|c|some|nearly|almost|over|under|up to|at least|"
    rf"at most|min|max|maybe|[~≈±<>≤≥])\.?\s*(?P<a>{NUMERAL}).*"
    rf"|(?P<b>{NUMERAL})\s*(?:\+$|(?:\?|-?ish|or so|or more|approx).*)"
    rf"|(?P<c>{NUMERAL})\s*(?:[-–—]|to|or|bis|à)\s*{NUMERAL}\s*[^\W\d_]*\.?)$",  # noqa: RUF001 - dashes as typed
    re.IGNORECASE,
)
SUM = re.compile(rf"^=?\s*{NUMERAL}(?:\s*[+x×*]\s*{NUMERAL})+$", re.IGNORECASE)  # noqa: RUF001 - a times sign as typed
STEP = re.compile(rf"([+x×*]?)\s*({NUMERAL})", re.IGNORECASE)  # noqa: RUF001 - a times sign as typed
WITH_WORDS = re.compile(rf"[+-]?(?P<number>{NUMERAL})")

UNITS = {"weight": "g, kg, lb or oz", "length": "mm, cm or in", "volume": "ml, l or fl oz"}
"""Units to type, by what they measure."""

OF_A_FRACTION = {"weight": "lb", "length": "in"}
"""Units in which people write fractions."""


def trouble(cell: str, column: Column, mark: str) -> Trouble | None:
    """What is wrong with a cell that is no number, as far as it can be told. ``mark`` is the decimal mark."""
    own = unit_written(column.unit) if column.kind == "number" else None
    if fraction := _fraction(cell):
        top, bottom = fraction
        unit = OF_A_FRACTION.get(own.quantity, "") if own else ""
        instead = f"{short(f'{top / bottom:.6f}')} {unit}".rstrip()
        return written_kinds.FRACTION_AS_DATE, {"fraction": f"{top}/{bottom}", "instead": instead}
    text = ready(cell)
    if found := ROUGHLY.match(text):
        number = plainly(found["a"] or found["b"] or found["c"], mark)
        return (written_kinds.ABOUT_A_NUMBER, {"number": number}) if number else None
    if SUM.match(text) and (worked_out := _worked_out(text, mark)):
        return written_kinds.SUM_IN_A_CELL, worked_out
    if own is not None and (apart := taken_apart(cell, mark)) and (wrong := _unit(apart[1], column, own)):
        return wrong
    if (found := WITH_WORDS.search(text)) and (number := plainly(found["number"], mark)):
        note = " ".join((text[: found.start()] + " " + text[found.end() :]).split())
        units = f", in {column.unit} or with {UNITS[own.quantity]} behind it" if own else ""
        return (written_kinds.NOTE_IN_A_NUMBER, {"number": number, "note": note, "units": units}) if note else None
    return None


def _fraction(cell: str) -> tuple[int, int] | None:
    """The fraction that a spreadsheet may have turned into a date: the smaller of day and month over the other."""
    for form in DAY_AND_MONTH:
        if (found := form.match(cell)) and (month := MONTH_NAMES.get(found["month"].casefold())):
            day = int(found["day"])
            return (min(day, month), max(day, month)) if day else None
    written = dated(cell, year_first=False)
    if written is None or not written.days:
        return None
    day_of_it = next(iter(written.days.values()))
    return min(day_of_it.day, day_of_it.month), max(day_of_it.day, day_of_it.month)


def _worked_out(text: str, mark: str) -> dict[str, Any] | None:
    """A sum's total and first number; products go before sums."""
    total, product = Decimal(0), Decimal(0)
    first = None
    for sign, numeral in STEP.findall(text):
        plain = plainly(numeral, mark)
        if plain is None:
            return None
        first = first or plain
        if sign in ("", "+"):
            total, product = total + product, Decimal(plain)
        else:
            product *= Decimal(plain)
    return {"total": f"{total + product:f}", "first": first}


def _unit(parts: list[Part], column: Column, own: Unit) -> Trouble | None:
    """A unit that is of something else than the column, or has two meanings."""
    for part in parts:
        word = spelled(part.word)
        unit = unit_written(word)
        number = part.plain or short(f"{float(part.number):.6f}")
        if word in TWO_MEANINGS:
            one, two, meanings = TWO_MEANINGS[word]
            return written_kinds.UNIT_OF_TWO_MEANINGS, {"word": word, "meanings": meanings, "one": one, "two": two}
        if unit is None or unit.quantity == own.quantity:
            continue
        if own.quantity == "volume" and unit.name == "ounces":
            return written_kinds.WEIGHT_OR_VOLUME, {"number": number}
        wanted = {"quantity": unit.quantity, "wanted": own.quantity, "units": UNITS[own.quantity], "unit": column.unit}
        return written_kinds.WRONG_QUANTITY, {**wanted, "example": column.example}
    return None
