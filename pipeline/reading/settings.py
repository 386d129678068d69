"""From the sheet ``settings`` to the choices of a job."""

from __future__ import annotations

from datetime import date
from typing import Any

import polars as pl

from pipeline.reading import cells
from pipeline.reading.headings import ROW
from pipeline.reading.spelling import tidy
from schemas import kinds
from schemas.problem import Problem, closest
from schemas.settings import SETTINGS, Setting, Settings

CERTAIN = 100
"""Per cent."""


def chosen(sheet: pl.DataFrame) -> pl.DataFrame:
    """The rows that choose something, their names as the settings have them: a blank value leaves the default."""
    named = pl.col("name").map_elements(tidy, return_dtype=pl.String)
    return sheet.filter(pl.col("value").is_not_null()).with_columns(named)


def choices(sheet: pl.DataFrame, today: date) -> tuple[Settings, list[Problem]]:
    """The settings that ``chosen`` rows make, all others at their defaults; the plan begins ``today`` if they do not
    say. What is not understood is a problem, and left at its default."""
    known = {setting.name: setting for setting in SETTINGS}
    values: dict[str, Any] = {"start": today}
    problems = []
    for name, value, row in sheet.drop_nulls("name").select("name", "value", ROW).iter_rows():
        if name not in known:
            problems.append(kinds.UNKNOWN_SETTING.at("settings", row, "name", name, closest(name, known)))
            continue
        meant, wrong = _value(known[name], value, row)
        problems += wrong
        if meant is not UNCLEAR:
            values[name] = meant
    return Settings(**values), problems


UNCLEAR = object()
"""Stands for a value that was not understood: None is a choice of ``loss_cover``."""


def _value(setting: Setting, cell: str, row: int) -> tuple[Any, list[Problem]]:
    """The value that a cell chooses, and what is wrong with it."""
    place = ("settings", row, "value", cell)
    match setting.kind:
        case "text":
            return _currency(cell, row)
        case "cover":
            return _cover(cell, row)
        case "choice":
            meant = _read(cells.choice(pl.lit(cell), setting.options))
            options = " or ".join(f"`{option}`" for option in setting.options)
            return (UNCLEAR, [kinds.NOT_A_CHOICE.at(*place, options=options)]) if meant is None else (meant, [])
        case "day":
            meant = _read(cells.day(pl.lit(cell)))
            wrong = cells.why_not("day", cell)
        case "price":
            meant = _read(cells.money(pl.lit(cell)))
            wrong = cells.why_not("price", cell)
        case "percent" | "number":
            meant = _read(cells.percent(pl.lit(cell)))
            wrong = cells.why_not("number", cell)
    if meant is None:
        return UNCLEAR, [wrong.at(*place, example=setting.example)]
    if bound := _bound_broken(setting, meant):
        return UNCLEAR, [kinds.OUT_OF_RANGE.at(*place, bound=bound, example=setting.example)]
    return meant, []


def _read(value: pl.Expr) -> Any:
    return pl.select(value).item()


def _bound_broken(setting: Setting, value: Any) -> str:
    """The bound that a value breaks, in words: nothing is below nought, and no percentage above a hundred."""
    if setting.kind == "day":
        return ""
    if value < 0:
        return "at least 0"
    return "at most 100" if setting.kind == "percent" and value > CERTAIN else ""


def _currency(cell: str, row: int) -> tuple[Any, list[Problem]]:
    letters = cell.upper()
    if len(letters) == 3 and letters.isascii() and letters.isalpha():
        return letters, []
    return cell, [kinds.NOT_A_CURRENCY.at("settings", row, "value", cell)]


def _cover(cell: str, row: int) -> tuple[Any, list[Problem]]:
    """None for ``expected``, else a probability, also written as a percentage with its sign."""
    if cell.casefold() == "expected":
        return None, []
    value = _read(cells.percent(pl.lit(cell)))
    share = value / CERTAIN if value is not None and cell.endswith("%") else value
    if share is None or not 0 < share < 1:
        return UNCLEAR, [kinds.NOT_A_COVER.at("settings", row, "value", cell)]
    return share, []
