"""What people type in a cell, and what it means: the one room for the spelling of every kind of value.

Each function takes stripped text, null where blank, and gives the value, null where the text is not understood. A new
spelling (a decimal comma, a unit, another order of dates) is added here and nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

import polars as pl

from schemas import kinds
from schemas.fields import MONEY_DIGITS, Kind
from schemas.problem import ProblemKind
from schemas.sheet import Column

LARGEST = 1_000_000_000
"""No number that is typed comes near it; it keeps sums and products of any sheet within what can be counted."""

NUMBER = r"^[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?$"
MONEY: tuple[Kind, ...] = ("amount", "price")
NUMBERS: tuple[Kind, ...] = ("whole", "number", *MONEY)
"""Kinds of columns that hold numbers."""

AMOUNT = rf"^[+-]?(?:[0-9]+\.?[0-9]{{0,{MONEY_DIGITS}}}|\.[0-9]{{1,{MONEY_DIGITS}}})0*$"
WHOLE = r"^([+-]?[0-9]+)(?:\.0*)?$"
DATE = r"^([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[T ]00:00(?::00(?:\.0+)?)?)?$"
"""A day as ISO 8601 writes it; spreadsheets may add midnight."""

YEARS = (1900, 2999)
"""The first and last year of a date: spreadsheets count from the one, and nobody plans beyond the other."""

PROTECTED = r"^'('*(?:[\t\r\n]|\s*[=+\-@＝＋－＠]))"  # noqa: RUF001 - full-width signs start formulas, too
"""The ``'`` that is written before text that a spreadsheet would take for a formula. Source: OWASP, "CSV Injection"."""

YES, NO = ("yes", "y", "true"), ("no", "n", "false")

MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

SHORTEST = 3
"""Letters of a month or weekday that tell it from the others."""


def words(cell: pl.Expr) -> pl.Expr:
    """Text as it stands, without the sign that was written before it to keep it text."""
    return cell.str.replace(PROTECTED, "$1")


def number(cell: pl.Expr) -> pl.Expr:
    """A number with a decimal point."""
    value = pl.when(cell.str.contains(NUMBER)).then(cell).cast(pl.Float64, strict=False)
    return pl.when(value.abs() < LARGEST).then(value)


def percent(cell: pl.Expr) -> pl.Expr:
    """A number, with or without ``%``."""
    return number(cell.str.replace(r"\s*%$", ""))


def whole(cell: pl.Expr) -> pl.Expr:
    """A whole number; ``12.0`` is one, ``12.5`` is not."""
    value = cell.str.extract(WHOLE).str.strip_prefix("+").cast(pl.Int64, strict=False)
    return pl.when(value.abs() < LARGEST).then(value)


def money(cell: pl.Expr) -> pl.Expr:
    """An exact amount; noughts beyond the sixth decimal change nothing."""
    plain = pl.when(cell.str.contains(AMOUNT)).then(cell.str.strip_prefix("+"))
    value = plain.cast(pl.Decimal(38, MONEY_DIGITS), strict=False)
    return pl.when(value.abs() < LARGEST).then(value)


def day(cell: pl.Expr) -> pl.Expr:
    """A date as year, month and day, if the calendar has it."""
    value = cell.str.extract(DATE).str.to_date("%Y-%m-%d", strict=False)
    return pl.when(value.dt.year().is_between(*YEARS)).then(value)


def yes_no(cell: pl.Expr) -> pl.Expr:
    """``yes``, ``y``, ``true``, ``no``, ``n`` or ``false``."""
    lower = cell.str.to_lowercase()
    return pl.when(lower.is_in(YES)).then(pl.lit(True)).when(lower.is_in(NO)).then(pl.lit(False))


def month(cell: pl.Expr) -> pl.Expr:
    """A month by its number or its English name, whole or cut to three letters or more."""
    names = {name[:length]: place for place, name in enumerate(MONTHS, 1) for length in range(SHORTEST, len(name) + 1)}
    named = cell.str.to_lowercase().str.strip_suffix(".").replace_strict(names, default=None, return_dtype=pl.Int64)
    counted = whole(cell)
    return pl.coalesce(pl.when(counted.is_between(1, len(MONTHS))).then(counted), named)


def choice(cell: pl.Expr, options: Sequence[str]) -> pl.Expr:
    """One of the options, in any case."""
    spelled = {option.lower(): option for option in options}
    return cell.str.to_lowercase().replace_strict(spelled, default=None, return_dtype=pl.String)


def work_days(cell: pl.Expr) -> pl.Expr:
    """``Mon``, ``Mon-Fri``, ``Mon-Wed, Sat`` or an ISO date, from weekdays named in full or cut short, with any dash,
    and with commas, ``and`` or whatever else people type between."""
    name = rf"(?:{'|'.join(_beginnings(name) for name in WEEKDAYS)})\.?"
    dash = r"\s*[-–—]\s*"  # noqa: RUF001 - dashes typed
    span, between = rf"{name}(?:{dash}{name})?", r"(?:\s*[,;/&+]\s*(?:and\s+)?|\s+and\s+|\s+)"
    lower = cell.str.to_lowercase()
    cut = lower.str.replace_all(dash, "-").str.replace_all(between, ", ").str.replace_all(r"([a-z]{3})[a-z]*\.?", "$1")
    weekdays = pl.when(lower.str.contains(rf"^{span}(?:{between}{span})*$")).then(cut.str.to_titlecase())
    return pl.coalesce(weekdays, day(cell).dt.to_string("iso"))


def _beginnings(name: str) -> str:
    """A pattern of a name cut to three letters or more."""
    tail = "".join(f"(?:{letter}" for letter in name[SHORTEST:])
    return f"{name[:SHORTEST]}{tail}{')?' * (len(name) - SHORTEST)}"


OWN_SPELLING: dict[tuple[str, str], Callable[[pl.Expr], pl.Expr]] = {("labour_hours", "day"): work_days}
"""Columns whose values have a spelling that no other column shares."""


def value_of(sheet: str, column: Column) -> pl.Expr:
    """The values of a column of text."""
    cell = pl.col(column.name)
    if own := OWN_SPELLING.get((sheet, column.name)):
        return own(cell)
    if column.kind == "choice":
        return choice(cell, column.options)
    if column.kind == "number" and column.unit == "%":
        return percent(cell)
    return BY_KIND[column.kind](cell)


BY_KIND: dict[Kind, Callable[[pl.Expr], pl.Expr]] = {
    "text": words,
    "list": words,
    "yes_no": yes_no,
    "whole": whole,
    "number": number,
    "month": month,
    "day": day,
    "amount": money,
    "price": money,
}

NOT_UNDERSTOOD: dict[Kind, ProblemKind] = {
    "text": kinds.NOT_WORK_DAYS,
    "choice": kinds.NOT_A_CHOICE,
    "yes_no": kinds.NOT_YES_OR_NO,
    "whole": kinds.NOT_WHOLE,
    "number": kinds.NOT_A_NUMBER,
    "month": kinds.NOT_A_MONTH,
    "day": kinds.NOT_A_DATE,
    "amount": kinds.NOT_MONEY,
    "price": kinds.NOT_MONEY,
}
"""What is wrong with a cell that was not understood, if nothing more can be said."""


def why_not(kind: Kind, cell: str) -> ProblemKind:
    """What is wrong with a cell that was not understood."""
    if kind == "day" and (date := re.match(DATE, cell)):
        year = int(date.group(1)[:4])
        return kinds.NO_SUCH_DAY if YEARS[0] <= year <= YEARS[1] else kinds.FAR_OFF_DATE
    if kind in ("number", "whole", "amount", "price") and re.match(NUMBER, cell) and abs(float(cell)) >= LARGEST:
        return kinds.TOO_LARGE
    return NOT_UNDERSTOOD[kind]
