"""Dates as people write them: which day a cell may be, with the day first, the month first or the year first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from pipeline.reading.cells import MONTHS, SHORTEST, WEEKDAYS, YEARS
from pipeline.reading.evidence import ANY, OPEN, Decision, decided

DAY, MONTH, YEAR = "day", "month", "year"
"""What comes first, as ``settings.date_order`` has it."""

FOREIGN = {
    "mär": 3, "märz": 3, "mai": 5, "juni": 6, "juli": 7, "okt": 10, "oktober": 10, "dez": 12, "dezember": 12,
    "januar": 1, "februar": 2, "janv": 1, "févr": 2, "fév": 2, "mars": 3, "avr": 4, "avril": 4, "juin": 6, "juil": 7,
    "juillet": 7, "août": 8, "déc": 12, "ene": 1, "enero": 1, "abr": 4, "abril": 4, "mayo": 5, "ago": 8, "dic": 12,
}  # fmt: skip
"""German, French and Spanish names of months that differ from the English ones."""

MONTH_NAMES = FOREIGN | {
    name[:length]: place for place, name in enumerate(MONTHS, 1) for length in range(SHORTEST, len(name) + 1)
}

CENTURY = 2000
"""Added to years of two digits."""

SERIALS = (30_000, 80_000)
"""Numbers of days since the end of 1899 that a spreadsheet may have put for a date: the years 1982 to 2119."""

SPREADSHEET_ZERO = date(1899, 12, 30)

_WEEKDAY = rf"(?:(?P<weekday>{'|'.join(f'{name[:SHORTEST]}[a-z]*' for name in WEEKDAYS)})[.,]*\s+)?"
_TIME = r"(?:[T ]\s*00?:00(?::00(?:\.0+)?)?)?"
_NAME = r"(?P<name>[^\W\d_]{3,9})\.?"
_NTH = r"(?:st|nd|rd|th|\.)?"
FORMS = tuple(
    re.compile(rf"^{_WEEKDAY}{form}{_TIME}$", re.IGNORECASE)
    for form in (
        r"(?P<y>[0-9]{4})(?P<mark>[-/.])(?P<m>[0-9]{1,2})(?P=mark)(?P<d>[0-9]{1,2})",
        r"(?P<a>[0-9]{1,2})(?P<mark>[-/.])\s?(?P<b>[0-9]{1,2})(?P=mark)\s?(?P<c>[0-9]{4}|[0-9]{2})",
        rf"(?P<d>[0-9]{{1,2}}){_NTH}(?:\s+of)?[\s\-]*{_NAME},?[\s\-]*(?P<y>[0-9]{{4}}|[0-9]{{2}})",
        rf"{_NAME}\s*(?P<d>[0-9]{{1,2}}){_NTH},?\s+(?P<y>[0-9]{{4}}|[0-9]{{2}})",
    )
)


@dataclass(frozen=True)
class Dated:
    """The days that a cell may be, by what comes first in it; empty if the calendar has no such day.

    ``wrong_weekday``: the weekday that is written fits none of them.
    """

    days: Mapping[str, date]
    short_year: bool = False
    wrong_weekday: bool = False


def dated(cell: str, *, year_first: bool) -> Dated | None:
    """The days that a cell may be, None if it is not written as a date is. ``year_first``: 27/3/5 may be 5 March."""
    found = next((match for form in FORMS if (match := form.match(cell))), None)
    if found is None:
        return None
    parts = found.groupdict()
    weekday = (parts["weekday"] or "").casefold()
    if not any(name.startswith(weekday) for name in WEEKDAYS):
        return None
    if "a" in parts:
        a, b, c = (int(parts[name]) for name in "abc")
        short = len(parts["c"]) == 2
        orders = {DAY: (c, b, a)} if parts["mark"] == "." else {DAY: (c, b, a), MONTH: (c, a, b)}
        if short and year_first:
            orders[YEAR] = (a, b, c)
    else:
        short = len(parts["y"]) == 2
        month = int(parts["m"]) if parts.get("m") else MONTH_NAMES.get(parts["name"].casefold())
        if month is None:
            return None
        orders = dict.fromkeys((DAY, MONTH, YEAR), (int(parts["y"]), month, int(parts["d"])))
    days = {order: day for order, numbers in orders.items() if (day := _day(*numbers, short=short))}
    fitting = {order: day for order, day in days.items() if WEEKDAYS[day.weekday()].startswith(weekday)}
    return Dated(fitting or days, short, bool(days) and not fitting)


def _day(year: int, month: int, day: int, *, short: bool) -> date | None:
    try:
        found = date(year + CENTURY if short else year, month, day)
    except ValueError:
        return None
    return found if YEARS[0] <= found.year <= YEARS[1] else None


def says(cell: Dated) -> str:
    """What a date shows to come first, ``OPEN`` if it may be several days, ``ANY`` if it is one whichever is first."""
    if cell.wrong_weekday or not cell.days:
        return ANY
    if len(cell.days) > 1:
        return OPEN if len(set(cell.days.values())) > 1 else ANY
    return next(iter(cell.days))


def date_order(cells: Mapping[str, Dated], counts: Mapping[str, int], chosen: str | None) -> Decision:
    """What comes first in the dates of a column."""
    return decided({text: says(cell) for text, cell in cells.items()}, counts, chosen)


def serial_day(cell: str) -> date | None:
    """The day that a spreadsheet's number stands for, None if it is no such number."""
    if not re.match(r"^[0-9]{5}(?:[.,]0+)?$", cell):
        return None
    number = int(cell[:5])
    return SPREADSHEET_ZERO + timedelta(days=number) if SERIALS[0] <= number <= SERIALS[1] else None


def named(days: Iterable[date]) -> str:
    """Days in words that leave nothing open: ``3 May 2026 or 5 March 2026``."""
    return " or ".join(f"{day.day} {MONTHS[day.month - 1].capitalize()} {day.year}" for day in days)
