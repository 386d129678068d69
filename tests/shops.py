"""Jobs for tests: from a few cells, or whole shops at random."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from random import Random
from typing import Any

import polars as pl
from hypothesis import strategies as st

from pipeline.checking.facts import shop_of
from pipeline.job import Job
from schemas import SHEETS_IN, SHEETS_OUT
from schemas.settings import Settings
from schemas.sheet import Column, blank, columns, types
from tests.random_sheets import Cells, random_in_progress, random_sheets

START = dt.date(2027, 3, 1)
"""The first day of a made job's plan unless it says otherwise: a Monday."""

WORDS = ("all", "any", "no bat", "every kiln", "when it is sold", "the first that does the firing")
"""Defaults that are words, not values."""

MODELS = SHEETS_IN | SHEETS_OUT

THROWN: list[Cells] = [
    {"stage": "throw", "minutes_each": 2.0, "wait_days": 1},
    {"stage": "turn", "minutes_each": 3.0, "wait_days": 3},
    {"stage": "bisque", "firing": "bisque"},
    {"stage": "glaze", "minutes_each": 1.0},
    {"stage": "glaze fire", "firing": "glaze"},
]
"""The stages of a made job, if it names none."""

FILLED: dict[str, Cells] = {
    "forms": {"height_mm": 100.0, "width_mm": 80.0},
    "kilns": {"shelf_width_mm": 480.0, "shelf_depth_mm": 480.0, "shelves": 5, "inside_height_mm": 640.0},
    "labour_hours": {"own_time": False, "hourly_rate": Decimal(0)},
}
"""What a job fills in where the schema has no plain value as the default."""


# Sheets and jobs from a few cells


def frame(sheet: str, rows: list[Cells]) -> pl.DataFrame:
    """A typed sheet, in or out, from the cells that matter.

    A column that a row leaves out has its default if that is a plain value, the schema's example if it must be filled,
    and else is blank. Raises KeyError for a column that the sheet does not have.
    """
    known = columns(MODELS[sheet])
    for row in rows:
        if strange := set(row) - {column.name for column in known}:
            raise KeyError(f"{sheet} has no column {sorted(strange)}")
    filled = [{column.name: row.get(column.name, _unsaid(sheet, column)) for column in known} for row in rows]
    return pl.DataFrame(filled, schema=types(MODELS[sheet]))


def _unsaid(sheet: str, column: Column) -> Any:
    """The value of a cell that a test does not care about."""
    if column.name in FILLED.get(sheet, {}):
        return FILLED[sheet][column.name]
    for written in (column.default, column.example if column.needed else ""):
        try:
            return _typed(column, written)
        except (ValueError, ArithmeticError):  # blank, or words such as "as the stage"
            continue
    return None


def _typed(column: Column, written: str) -> Any:
    match column.kind:
        case "whole" | "month":
            return int(written)
        case "number":
            return float(written)
        case "amount" | "price":
            return Decimal(written)
        case "day":
            return dt.date.fromisoformat(written)
        case "choice" if written not in column.options:
            raise ValueError(written)
        case _ if not written or written in WORDS:
            raise ValueError(written)
        case _:
            return written


def make_job(*, settings: Cells | None = None, **sheets: list[Cells]) -> Job:
    """A job from the rows given, everything else filled in as reading a folder would.

    Left out, the forms are those that are ordered, thrown of one clay by the stages of ``THROWN``; one worker, Ada,
    works from Monday to Friday, 5 hours a day; and there is one kiln, which does every firing that a stage names.
    ``stages`` without ``method`` and ``step`` are thrown, and count up. Spare clay is none unless ``settings`` say so.
    """
    rows: dict[str, list[Cells]] = {name: [] for name in SHEETS_IN} | sheets
    if "forms" not in sheets:
        rows["forms"] = [{"form": form} for form in dict.fromkeys(row["form"] for row in rows["orders"])]
    rows["forms"] = [{"clay": "buff", "ball_g": 400.0} | row for row in rows["forms"]]
    rows["stages"] = _stages(sheets.get("stages", THROWN))
    if "clay_stock" not in sheets:
        rows["clay_stock"] = [{"clay": clay} for clay in dict.fromkeys(row["clay"] for row in rows["forms"])]
    rows["labour_hours"] = sheets.get("labour_hours", [{}])
    if "kilns" not in sheets:
        rows["kilns"] = [{"kiln": "kiln"}]
    kilns = [row["kiln"] for row in rows["kilns"]]
    if "firings" not in sheets:
        named = dict.fromkeys(row["firing"] for row in rows["stages"] if row.get("firing"))
        rows["firings"] = [{"firing": firing} for firing in named]
    choices = Settings(**({"start": START, "spare_clay_pct": 0.0} | (settings or {})))
    rows["closed_days"] = [{"to": row["from"]} | row for row in rows["closed_days"]]
    rows["in_progress"] = [{"date": choices.start - dt.timedelta(days=1)} | row for row in rows["in_progress"]]
    for name in ("firings", "kiln_fit"):
        rows[name] = [
            {"row": number} | row | {"kiln": kiln}
            for number, row in enumerate(rows[name], start=2)
            for kiln in ([row["kiln"]] if row.get("kiln") else kilns)
        ]
    frames = {name: _numbered(name, rows[name]) for name in SHEETS_IN if name != "settings"}
    return Job(**frames, settings=choices, readings=blank(SHEETS_OUT["assumptions"]))


def _numbered(sheet: str, rows: list[Cells]) -> pl.DataFrame:
    """The sheet with ``row``, its rows' numbers in the spreadsheet: 2, 3 … unless a row has its own."""
    numbers = [row.get("row", number) for number, row in enumerate(rows, start=2)]
    cells = [{name: value for name, value in row.items() if name != "row"} for row in rows]
    return frame(sheet, cells).with_columns(pl.Series("row", numbers, pl.Int64))


def _stages(rows: list[Cells]) -> list[Cells]:
    steps: dict[str, int] = {}
    numbered = []
    for row in rows:
        method = row.get("method", "thrown")
        steps[method] = steps.get(method, 0) + 1
        numbered.append({"method": method, "step": steps[method]} | row)
    return numbered


def fit_counts(job: Job) -> dict[tuple[str, str, str], int]:
    """By firing, kiln and form: the pieces that fill the kiln alone, as ``kiln_fit`` says."""
    fit = job.kiln_fit.select("firing", "kiln", "form", "pieces")
    return {(firing, kiln, form): pieces for firing, kiln, form, pieces in fit.iter_rows()}


# Shops at random


def shop(seed: int) -> Job:
    """A shop at random; the same seed gives the same shop."""
    return random_shop(Random(seed))


def shops() -> st.SearchStrategy[Job]:
    """Shops at random, as hypothesis makes and shrinks them."""
    return st.randoms(use_true_random=False).map(random_shop)


def random_shop(random: Random) -> Job:
    """A valid job that can be planned in principle.

    1 to 6 lines of 20 to 300 pieces together; two or three methods; one to three workers, of whom one does every stage
    in most shops, and two share the stages in others; one or two kilns; due dates tight, loose and blank; scarce bats;
    closed weeks; windows of a single day; most per day; slow and fast months; work in progress anywhere.

    What makes them plannable: some worker for each stage on every day of a week of five days or more; each form's count
    in every kiln that has its firing; at least three bats of a size; windows only where a week has room for them; and
    work in progress whose window can still be kept, or was missed before the plan began.
    """
    start = dt.date(2027, 1, 1) + dt.timedelta(days=random.randrange(365))
    settings = {
        "start": start,
        "loss_cover": random.choice([None, None, 0.9]),
        "spare_clay_pct": random.choice([0.0, 5.0]),
    }
    sheets = random_sheets(random, start)
    before = shop_of(make_job(settings=settings, **sheets))
    in_progress = random_in_progress(random, before, sheets["orders"])
    return make_job(settings=settings, **sheets, in_progress=in_progress)
