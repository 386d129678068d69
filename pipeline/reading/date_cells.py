"""The cells of a column of dates: which day each is, decided from the column as a whole."""

from __future__ import annotations

import re
from collections.abc import Mapping

from pipeline.reading.cells import DATE, WEEKDAYS
from pipeline.reading.evidence import OPEN, Decision
from pipeline.reading.number_cells import Cell
from pipeline.reading.written_dates import DAY, MONTH, YEAR, Dated, date_order, dated, named, says, serial_day
from schemas import kinds, written_kinds
from schemas.sheet import Column


def plain_dates(counts: Mapping[str, int], column: Column, chosen: str | None, *, words: bool) -> dict[str, Cell]:
    """What came of the cells of a column, by their text; ``counts`` says how often each stands in it.

    ``chosen`` says what comes first where the column leaves it open. In a column of ``words`` what is no date is left.
    """
    written = {text: day for text in counts if (day := dated(text, year_first=chosen == YEAR))}
    order = date_order(written, counts, chosen)
    found = {text: _cell(text, day, order, column) for text, day in written.items() if not re.match(DATE, text)}
    if not words:
        found |= {text: _serial(text) for text in counts if text not in written}
    return found


def _serial(text: str) -> Cell:
    day = serial_day(text)
    if day is None:
        return Cell()
    return Cell(trouble=(written_kinds.SERIAL_DATE, {"day": named([day]), "iso": day.isoformat()}))


def _cell(text: str, written: Dated, order: Decision, column: Column) -> Cell:
    days = dict.fromkeys(written.days.values())
    if not days:
        return Cell(trouble=(kinds.NO_SUCH_DAY, {"example": column.example}))
    iso = next(iter(days)).isoformat()
    if written.wrong_weekday:
        own = " and ".join(f"{named([day])} is a {WEEKDAYS[day.weekday()].capitalize()}" for day in days)
        return Cell(trouble=(written_kinds.WRONG_WEEKDAY, {"days": own, "iso": iso}))
    if text in order.against:
        own = says(written)
        usual = order.way or (MONTH if own == DAY else DAY)
        other = order.shown_by or next(cell for cell in order.against if cell != text)
        return Cell(trouble=(written_kinds.DATES_AT_ODDS, {"own": own, "usual": usual, "other": other, "iso": iso}))
    if len(days) == 1:
        day = next(iter(days))
        return Cell(day.isoformat(), _how(written, order), day.isoformat())
    if order.way is None or order.way not in written.days:
        return Cell(trouble=(written_kinds.AMBIGUOUS_DATE, {"days": named(days), "iso": iso}))
    day = written.days[order.way]
    return Cell(day.isoformat(), _how(written, order), day.isoformat())


def _how(written: Dated, order: Decision) -> str:
    """How a date was written: what came first, and what told."""
    short = ", years of two digits in this century" if written.short_year else ""
    if says(written) == OPEN:
        why = f"as `{order.shown_by}` in the column shows" if order.shown_by else "as settings.date_order says"
        return f"as a date with the {order.way} first, {why}{short}"
    first = next(iter(written.days)) if len(written.days) == 1 else ""
    return (f"as a date with the {first} first" if first else "as a date") + short
