"""What stands for a sheet or a cell that was left out, as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import polars as pl

from pipeline.reading.cells import value_of
from pipeline.reading.headings import ROW
from schemas import SHEETS_IN
from schemas.sheet import columns, types

METHOD = "thrown"
"""How a form is made that does not say."""

STAGES: tuple[dict[str, Any], ...] = (
    {"stage": "wedge", "minutes_per_kg": 2.0, "wait_days_max": 1},
    {
        "stage": "throw",
        "minutes_each": 3.0,
        "setup_minutes": 10.0,
        "loss_pct": 2.0,
        "wait_days": 1,
        "wait_days_max": 2,
        "bat": "on",
    },
    {
        "stage": "turn",
        "minutes_each": 3.0,
        "setup_minutes": 5.0,
        "loss_pct": 1.0,
        "wait_days": 1,
        "wait_days_max": 2,
        "bat": "off",
    },
    {"stage": "finish", "minutes_each": 2.0, "loss_pct": 1.0, "wait_days": 5},
    {"stage": "bisque", "minutes_each": 0.5, "loss_pct": 2.0, "firing": "bisque"},
    {"stage": "glaze", "minutes_each": 2.0, "setup_minutes": 10.0, "loss_pct": 1.0, "wait_days": 1},
    {"stage": "glaze firing", "minutes_each": 0.5, "loss_pct": 3.0, "firing": "glaze"},
    {"stage": "check", "minutes_each": 1.0},
)
"""The way of a thrown form where ``stages`` is not given, in order. Common practice, no source: a practised thrower
makes twenty mugs an hour and turns as many, two dips of glaze take two minutes, and about one piece in ten is lost."""

KILN: dict[str, Any] = {
    "kiln": "kiln",
    "shelf_shape": "round",
    "shelf_width_mm": 500.0,
    "shelves": 5,
    "inside_height_mm": 650.0,
    "shelf_thickness_mm": 15.0,
}
"""The kiln where ``kilns`` is not given, and the sizes of one that does not give them: a common electric kiln for a
small studio. Common practice, no source. A shelf without depth is as deep as wide."""

FIRINGS: dict[str, dict[str, Any]] = {
    "bisque": {"firing": "bisque", "days": 2, "gap_mm": 3.0, "stack": 1, "least_fill_pct": 80.0},
    "glaze": {"firing": "glaze", "days": 2, "gap_mm": 6.0, "stack": 1, "least_fill_pct": 80.0},
}
"""The firings where ``firings`` is not given, each in every kiln; any other that a stage names is as ``firings`` says
of blank cells. Common practice, no source: loaded on one day, unloaded two days later; glazed pieces never touch."""

SIZE_PER_CUBE_ROOT = 13.0
"""Height and width of a form that gives none, in mm: this times the cube root of the ball's grams, as a mug of 380 g is
about 94 mm high and wide. Common practice, no source."""

Sheets = Mapping[str, pl.DataFrame]


def stand_ins(sheets: Sheets, absent: frozenset[str]) -> dict[str, pl.DataFrame]:
    """Rows for ``stages``, ``kilns`` and ``firings`` where they are absent; their ``row`` is null.

    Stages that are a default bring the firings that they name with them, also if ``firings`` is given without them.
    """
    found: dict[str, pl.DataFrame] = {}
    if "stages" in absent:
        rows = [{"method": METHOD, "step": step} | stage for step, stage in enumerate(STAGES, 1)]
        found["stages"] = rows_of("stages", rows)
    if "kilns" in absent:
        found["kilns"] = rows_of("kilns", [KILN])
    stages = found.get("stages", sheets.get("stages"))
    if stages is not None and absent & {"stages", "firings"}:
        given = sheets["firings"] if "firings" in sheets else rows_of("firings", [])
        named = dict.fromkeys([*(FIRINGS if "firings" in absent else ()), *stages["firing"].drop_nulls()])
        missing = [name for name in named if name not in set(given["firing"])]
        new = [FIRINGS.get(name, {"firing": name}) for name in missing]
        found["firings"] = pl.concat([given, rows_of("firings", new)])
    return found


def rows_of(sheet: str, rows: list[dict[str, Any]]) -> pl.DataFrame:
    """A typed frame of an input sheet from the cells that are filled, with a null ``row``."""
    return pl.DataFrame(rows, schema=types(SHEETS_IN[sheet]) | {ROW: pl.Int64()})


@cache
def plain_defaults() -> dict[str, dict[str, Any]]:
    """By sheet and column, the defaults that are values, not words such as ``no limit``."""
    written = {
        (sheet, column.name): (column, column.default)
        for sheet, model in SHEETS_IN.items()
        for column in columns(model)
        if column.default and column.kind not in ("text", "list")
    }
    cells = pl.DataFrame({f"{sheet}.{name}": [default] for (sheet, name), (_, default) in written.items()})
    values = cells.select(
        value_of(sheet, replace(column, name=f"{sheet}.{name}")) for (sheet, name), (column, _) in written.items()
    ).row(0)
    found: dict[str, dict[str, Any]] = {sheet: {} for sheet in SHEETS_IN}
    for (sheet, name), value in zip(written, values, strict=True):
        if value is not None:
            found[sheet][name] = value
    return found
