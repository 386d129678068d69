"""One cell of a column of numbers: what it is worth, how it was written, or what is wrong with it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from pipeline.reading.cells import MONEY, NUMBER
from pipeline.reading.currencies import without_currency
from pipeline.reading.measures import Part, in_unit, ready, rounded, short, taken_apart, units_of
from pipeline.reading.not_numbers import OF_A_FRACTION, Trouble, trouble
from pipeline.reading.numerals import MARKS, NUMERAL, plainly
from schemas import written_kinds
from schemas.sheet import Column
from schemas.units import Unit, unit_written

PER_CENT = re.compile(r"\s*(?:%|per ?cent|pct)\.?$", re.IGNORECASE)

SINGLE = re.compile(rf"([+-]?)\s*({NUMERAL})")
"""A number with or without a sign before it."""

FRACTION_DIGITS = 6
"""Decimal places of a fraction in a column that has no unit of the table, such as 1 1/2 hours."""

FINE = ("g", "mm", "ml")
"""Units of which nobody measures fractions such as 3/4."""

COMMA = "with a comma before the decimals"
GROUPED = "with a mark between thousands"
FRACTION = "as a fraction"


@dataclass(frozen=True)
class Cell:
    """What came of a cell: its number plainly, or the trouble with it; neither if nothing can be said of it.

    ``how`` says how it was written, if that is worth telling, and ``shown`` its value; ``sign`` is a currency's.
    """

    plain: str | None = None
    how: str = ""
    shown: str = ""
    sign: str | None = None
    trouble: Trouble | None = None


def number_cell(cell: str, column: Column, mark: str, heading: Unit | None) -> Cell:
    """A cell of a column. ``mark`` is the sheet's decimal mark, ``heading`` the unit that the heading gives."""
    return _understood(cell, column, mark, heading) or Cell(trouble=trouble(cell, column, mark))


def ways(cell: str, column: Column, heading: Unit | None) -> tuple[str, ...]:
    """What a cell is worth with each of the decimal marks, as far as it is a number then."""
    found = (_understood(cell, column, mark, heading) for mark in MARKS)
    return tuple(value.shown or value.plain for value in found if value is not None and value.plain is not None)


def _understood(cell: str, column: Column, mark: str, heading: Unit | None) -> Cell | None:
    return _money(cell, mark) if column.kind in MONEY else _measured(cell, column, mark, heading)


def _money(cell: str, mark: str) -> Cell | None:
    amount, sign = without_currency(ready(cell))
    plain = _single(amount, mark)
    if plain is None:
        return None
    how = f"as money in {sign}" if sign else _marks(amount, plain)
    return Cell(plain, how, plain, sign)


def _measured(cell: str, column: Column, mark: str, heading: Unit | None) -> Cell | None:
    own = unit_written(column.unit)
    if own is None or column.kind != "number":
        return _unmeasured(cell, column, mark)
    if power := _power(cell, column.unit, heading or own):
        return power
    apart = taken_apart(cell, mark)
    if apart is None:
        return None
    minus, parts = apart
    if len(parts) == 1 and not parts[0].word:
        units: list[Unit] | None = [heading or own]
    else:
        units = units_of(parts)
    if units is None or units[0].quantity != own.quantity:
        return None
    if parts[0].fraction and not parts[0].word and heading is None and column.unit in FINE:
        instead = f"{cell} {OF_A_FRACTION.get(own.quantity, 'fl oz')}"
        return Cell(trouble=(written_kinds.FRACTION_WITHOUT_UNIT, {"unit": column.unit, "instead": instead}))
    plain = in_unit(parts, units, minus, column.unit)
    return Cell(plain, _how(cell, parts, units, own, heading, mark), f"{short(plain)} {column.unit}")


def _how(cell: str, parts: list[Part], units: list[Unit], own: Unit, heading: Unit | None, mark: str) -> str:
    """How a measure was written, if not simply as a number in the column's unit."""
    if units != [own]:
        how = "in " + " and ".join(unit.name for unit in units)
        notes = "; ".join(unit.note for unit in units if unit.note)
        how += f" ({notes})" if notes else ""
        return f"{how}, as the heading says" if heading is not None and not parts[0].word else how
    if parts[0].word:
        return f"in {own.name}"
    return FRACTION if parts[0].fraction else _marks(cell, parts[0].plain)


def _unmeasured(cell: str, column: Column, mark: str) -> Cell | None:
    if power := _power(cell, "", None):
        return power
    text = PER_CENT.sub("", cell) if column.unit == "%" else cell
    plain = _single(ready(text), mark)
    if plain is not None:
        return Cell(plain, _marks(text, plain), plain)
    apart = taken_apart(text, mark) if column.kind == "number" and column.unit != "%" else None
    if apart is None:
        return None
    minus, parts = apart
    if len(parts) > 1 or parts[0].word or not parts[0].fraction:
        return None
    plain = rounded(-parts[0].number if minus else parts[0].number, FRACTION_DIGITS)
    return Cell(plain, FRACTION, plain)


def _power(cell: str, unit: str, written_in: Unit | None) -> Cell | None:
    """A number with a power of ten, as spreadsheets put large ones: 1E+03."""
    if "e" not in cell.casefold() or not re.match(NUMBER, cell):
        return None
    value = Fraction(cell)
    if written_in is None or unit_written(unit) is written_in:
        return Cell(cell)
    plain = in_unit([Part(value, cell, True, "")], [written_in], False, unit)
    return Cell(plain, f"in {written_in.name}, as the heading says", f"{short(plain)} {unit}")


def _single(text: str, mark: str) -> str | None:
    """A number with or without a sign before it, plainly."""
    found = SINGLE.fullmatch(text.strip())
    plain = plainly(found[2], mark) if found else None
    return None if found is None or plain is None else found[1].replace("+", "") + plain


def _marks(text: str, plain: str) -> str:
    """How the marks in a number are meant, if not as a point before decimals."""
    if "," in text and "." in plain:
        return COMMA
    return GROUPED if any(not sign.isdigit() for sign in text.strip().lstrip("+-").replace(".", "", 1)) else ""
