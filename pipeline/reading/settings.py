"""From the sheet ``settings`` to the choices of a job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any, NamedTuple

import polars as pl

from pipeline.reading import cells
from pipeline.reading.currencies import is_known
from pipeline.reading.headings import ROW
from pipeline.reading.meant import Source, Ways
from pipeline.reading.plain import is_plain
from pipeline.reading.readings import Assumption
from pipeline.reading.spelling import tidy
from schemas import SHEETS_IN, book_kinds, kinds
from schemas.fields import Kind
from schemas.problem import Problem, closest
from schemas.settings import CHEAPEST, SETTINGS, Setting, SettingKind, Settings
from schemas.sheet import columns

CERTAIN = 100
"""Per cent."""

FIRST = ("decimal_mark", "date_order", "currency")
"""Choices by which others are read."""

KINDS: dict[SettingKind, Kind] = {
    "day": "day", "price": "price", "percent": "number", "number": "number", "cover": "number",
}  # fmt: skip
"""The kind of column whose cells are written like a setting's value."""

VALUE = next(column for column in columns(SHEETS_IN["settings"]) if column.name == "value")


def chosen(sheet: pl.DataFrame) -> pl.DataFrame:
    """The rows that choose something, their names as the settings have them: a blank value leaves the default."""
    rows = sheet.filter(pl.col("value").is_not_null())
    names = [None if name is None else tidy(name) for name in rows["name"]]
    return rows.with_columns(pl.Series("name", names, dtype=pl.String))


def choices(sheet: pl.DataFrame, today: date) -> tuple[Settings, list[Problem], list[Assumption]]:
    """The settings that ``chosen`` rows make, all others at their defaults; the plan begins ``today`` if they do not
    say. What is not understood is a problem, and left at its default."""
    known = {setting.name: setting for setting in SETTINGS}
    values: dict[str, Any] = {"start": today}
    problems: list[Problem] = []
    readings: list[Assumption] = []
    rows = sheet.drop_nulls("name").select("name", "value", ROW).rows()
    for name, value, row in sorted(rows, key=lambda row: row[0] not in FIRST):
        if name not in known:
            problems.append(kinds.UNKNOWN_SETTING.at("settings", row, "name", name, closest(name, known)))
            continue
        found = _value(known[name], value, row, ways_of(values))
        problems += found.problems
        readings += found.readings
        if found.value is not UNCLEAR:
            values[name] = found.value
    settings = Settings(**values)
    if settings.books_to is not None and settings.books_to < settings.start:
        row = next(row for name, _, row in rows if name == "books_to")
        told = book_kinds.BOOKS_CLOSE_TOO_SOON.at("settings", row, "value", settings.books_to, start=settings.start)
        return replace(settings, books_to=None), [*problems, told], readings
    return settings, problems, readings


def ways_of(values: Mapping[str, Any]) -> Ways:
    """How cells are meant that a sheet leaves open, by the choices made."""
    currency = values.get("currency") or ""
    return Ways(
        values.get("decimal_mark") or None,
        values.get("date_order") or None,
        currency if is_known(currency) else "",
        "in settings",
    )


UNCLEAR = object()
"""Stands for a value that was not understood: None is a choice of ``loss_cover``."""


class _Value(NamedTuple):
    """The value that a cell chooses, what is wrong with it, and how it was understood."""

    value: Any
    problems: Sequence[Problem] = ()
    readings: Sequence[Assumption] = ()


def _value(setting: Setting, cell: str, row: int, meant: Ways) -> _Value:
    """What comes of a cell."""
    place = ("settings", row, "value", cell)
    match setting.kind:
        case "text":
            return _currency(cell, row)
        case "choice":
            choice = _read(cells.choice(pl.lit(cell), setting.options))
            near = closest(cell, setting.options)
            wrong = [kinds.NOT_A_CHOICE.at(*place, near, options=setting.options)]
            return _Value(UNCLEAR, wrong) if choice is None else _Value(choice)
    unit = "%" if setting.kind == "cover" else setting.unit
    column = replace(VALUE, kind=KINDS[setting.kind], unit=unit, example=setting.example)
    text, readings = cell, list[Assumption]()
    if not is_plain(column.kind, cell):
        # What knows all other spellings takes long to import, and most settings are plain.
        from pipeline.reading.as_written import as_written

        alone = pl.DataFrame({"value": [cell], ROW: [row]})
        written = as_written("settings", [column], ["value"], alone, Source(), meant)
        if written.problems:
            return _Value(UNCLEAR, written.problems)
        text, readings = written.text["value"].item(), written.readings
    if setting.kind == "cover":
        return _cover(cell, text, row)
    value = _read(cells.BY_KIND[column.kind](pl.lit(text)))
    if value is None:
        return _Value(UNCLEAR, [cells.why_not(column.kind, text).at(*place, example=setting.example)])
    if bound := _bound_broken(setting, value):
        return _Value(UNCLEAR, [kinds.OUT_OF_RANGE.at(*place, bound=bound, example=setting.example)])
    what = f"settings.{setting.name}: `{cell}`"
    return _Value(value, (), [reading._replace(what=what) for reading in readings])


def _read(value: pl.Expr) -> Any:
    return pl.select(value).item()


def _bound_broken(setting: Setting, value: Any) -> str:
    """The bound that a value breaks, in words: nothing is below nought, and no percentage above a hundred."""
    if setting.kind == "day":
        return ""
    if value < 0:
        return "at least 0"
    return "at most 100" if setting.kind == "percent" and value > CERTAIN else ""


def _currency(cell: str, row: int) -> _Value:
    letters = cell.upper()
    if len(letters) == 3 and letters.isascii() and letters.isalpha():
        return _Value(letters)
    return _Value(cell, [kinds.NOT_A_CURRENCY.at("settings", row, "value", cell)])


def _cover(cell: str, plain: str, row: int) -> _Value:
    """None for ``expected``, ``cheapest``, or a probability, also as a percentage; ``plain`` is its number alone."""
    if cell.casefold() == "expected":
        return _Value(None)
    if cell.casefold() == CHEAPEST:
        return _Value(CHEAPEST)
    value = _read(cells.percent(pl.lit(plain)))
    share = value / CERTAIN if value is not None and cell.endswith("%") else value
    if share is None or not 0 < share < 1:
        return _Value(UNCLEAR, [kinds.NOT_A_COVER.at("settings", row, "value", cell)])
    return _Value(share)
