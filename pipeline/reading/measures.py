"""A cell with a number in it, taken apart: sign, numbers, fractions, units, a currency; and its value."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction

from pipeline.reading.numerals import NUMERAL, plainly
from schemas.units import Unit, unit_written

GLYPHS = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5",
    "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
"""Fractions that are one letter."""

GLYPH = re.compile(rf"\s*([{''.join(GLYPHS)}])")

MINUS = "−"  # noqa: RUF001 - the minus sign that word processors put
SLASH = "⁄"  # noqa: RUF001 - the slash that they put into a fraction

SIGN = r"(?P<sign>[+-]?)\s*"
FRACTION = r"(?:(?P<whole>[0-9]{1,3})[ \-]+)?(?P<top>[0-9]{1,2})/(?P<bottom>[0-9]{1,2})(?![0-9/])"
UNIT = r"#s?|''|[\"”″'’′]|[^\W\d_]+\.?(?:\s?[^\W\d_]+\.?)?"  # noqa: RUF001 - marks of feet and inches
PART = re.compile(rf"(?:{FRACTION}|(?P<numeral>{NUMERAL}))\s*(?P<unit>{UNIT})?\s*")
START = re.compile(SIGN)

DIGITS = {"kg": 6}
"""Decimal places of a converted value, by the column's unit, if not three: thousandths of a gram everywhere."""

USUAL_DIGITS = 3


@dataclass(frozen=True)
class Part:
    """A number and the word behind it, if there is one; ``fraction`` if it is written as one."""

    number: Fraction
    plain: str
    fraction: bool
    word: str


def ready(cell: str) -> str:
    """A cell with fractions, minus signs and slashes as a keyboard has them."""
    if cell.isascii():
        return cell.strip()
    return GLYPH.sub(lambda found: f" {GLYPHS[found[1]]}", cell).replace(MINUS, "-").replace(SLASH, "/").strip()


def taken_apart(cell: str, mark: str) -> tuple[bool, list[Part]] | None:
    """Whether there is a minus, and the numbers of a cell in order, each with its word; None if it holds more."""
    text = ready(cell)
    start = START.match(text)
    place = start.end() if start else 0
    parts = []
    while place < len(text):
        found = PART.match(text, place)
        part = _part(found, mark) if found else None
        if found is None or part is None:
            return None
        parts.append(part)
        place = found.end()
    return (start is not None and start["sign"] == "-", parts) if parts else None


def _part(found: re.Match[str], mark: str) -> Part | None:
    word = found["unit"] or ""
    if found["numeral"] is not None:
        plain = plainly(found["numeral"], mark)
        return None if plain is None else Part(Fraction(plain), plain, False, word)
    bottom = int(found["bottom"])
    if not bottom:
        return None
    return Part(int(found["whole"] or 0) + Fraction(int(found["top"]), bottom), "", True, word)


def units_of(parts: Sequence[Part]) -> list[Unit] | None:
    """The units of the parts, None if a word is none or they do not go down within one quantity, as lb and oz do."""
    units = [unit_written(part.word) for part in parts]
    known = [unit for unit in units if unit is not None]
    if len(known) < len(units) or len({unit.quantity for unit in known}) > 1:
        return None
    for larger, smaller, part in zip(known, known[1:], parts[1:], strict=False):
        if smaller.size * part.number >= larger.size:
            return None
    return known


def in_unit(parts: Sequence[Part], units: Sequence[Unit], minus: bool, unit: str) -> str:
    """The value in the column's unit, plainly, to a thousandth of a gram, millimetre or millilitre."""
    own = unit_written(unit)
    if own is None:
        raise ValueError(f"{unit} is not in the table of units")
    if len(parts) == 1 and units[0] is own and not parts[0].fraction:
        return ("-" if minus else "") + parts[0].plain
    total = sum(part.number * found.size for part, found in zip(parts, units, strict=True)) / own.size
    return rounded(-total if minus else total, DIGITS.get(unit, USUAL_DIGITS))


def rounded(value: Fraction, digits: int) -> str:
    """A number plainly, to so many decimal places, halves away from nought; noughts at the end are left out."""
    with localcontext(prec=60, rounding="ROUND_HALF_UP"):
        exact = (Decimal(value.numerator) / Decimal(value.denominator)).quantize(Decimal(1).scaleb(-digits))
    text = f"{exact:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def short(plain: str) -> str:
    """A value to four figures, for a sentence; whole figures are all kept."""
    value = Decimal(plain)
    places = max(0, 3 - max(0, value.adjusted())) if value else 0
    return rounded(Fraction(value), places)
