"""What can be and is hardly meant: told as doubts, and planned all the same."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from datetime import date
from math import pi
from typing import Any, NamedTuple

import polars as pl
from dateutil.relativedelta import relativedelta

from pipeline.calendar import breadth, is_date, weekdays_named
from pipeline.reading.defaults import METHOD, Sheets
from pipeline.reading.headings import ROW
from schemas import range_kinds
from schemas.problem import Problem
from schemas.settings import SETTINGS, Settings


class Likely(NamedTuple):
    """Bounds of a column beyond which a number is hardly meant, and what such a number would be in a studio."""

    sheet: str
    column: str
    unit: str
    low: float | None = None
    below: str = ""
    high: float | None = None
    above: str = ""


LIKELY = (
    Likely("orders", "quantity", "pieces", high=100_000, above="years of work for a studio"),
    Likely("forms", "ball_g", "g", 20, "less clay than a thimble takes", 15_000, "more than is thrown in one ball"),
    Likely("forms", "width_mm", "mm", 20, "narrower than a thimble", 700, "wider than a potter's kiln"),
    Likely("clay_stock", "bag_kg", "kg", 1, "less than any bag of clay holds", 50, "more than anybody lifts"),
    Likely("clay_prices", "pack_kg", "kg", 1, "less than any bag of clay holds", 1_500, "more than a pallet carries"),
    Likely(
        "glaze_buckets", "in_bucket_ml", "ml", 100, "less than a cup of glaze", 200_000, "more than a dustbin holds"
    ),
    Likely(
        "glaze_buckets", "keep_ml", "ml", 100, "too little to dip anything in", 200_000, "more than a dustbin holds"
    ),
    Likely("glaze_buckets", "litre_g", "g", high=2_000, above="thicker than any glaze that is dipped"),
    Likely("form_materials", "each_g", "g", high=5_000, above="more than a pot weighs"),
    Likely("stages", "minutes_each", "min", high=240, above="half a day for one piece"),
    Likely("form_minutes", "minutes_each", "min", high=240, above="half a day for one piece"),
    Likely("stages", "wait_days", "days", high=60, above="longer than any pot dries"),
    Likely("form_minutes", "wait_days", "days", high=60, above="longer than any pot dries"),
)
"""Common practice, no source."""

LEAST_PER_CENT = {
    ("clay_stock", "shrinkage_pct"): 1.0,
    ("forms", "seconds_pct"): 1.0,
    ("firings", "least_fill_pct"): 1.0,
    ("clay_blends", "share_pct"): 1.0,
    ("stages", "loss_pct"): 0.5,
    ("form_minutes", "loss_pct"): 0.5,
}
"""Percentages below which, but for nought, a share of one may be meant. Common practice, no source."""

LONGEST_WEEK = 100
"""Hours."""

FARTHEST_DUE = relativedelta(years=3)

IN_A_SHARE = 100


def doubts(sheets: Sheets, given: Collection[str], settings: Settings) -> list[Problem]:
    """What is hardly meant in the typed sheets that were given, and in the settings."""
    found = [problem for likely in LIKELY if likely.sheet in given for problem in _unlikely(likely, sheets)]
    for (sheet, column), least in LEAST_PER_CENT.items():
        if sheet in given:
            found += _shares(sheets[sheet], sheet, column, least)
    if "settings" in given:
        found += _setting_shares(sheets["settings"], settings)
    for sheet, rule in RULES:
        if sheet in given:
            found += rule(sheets, settings.start)
    return found


def _unlikely(likely: Likely, sheets: Sheets) -> Iterator[Problem]:
    numbers = sheets[likely.sheet][likely.column]
    for bound, than, reason in ((likely.low, "less than", likely.below), (likely.high, "more than", likely.above)):
        if bound is None:
            continue
        beyond = numbers < bound if than == "less than" else numbers > bound
        for row, number in _where(beyond & (numbers > 0), sheets[likely.sheet][ROW], numbers):
            told = {"than": than, "bound": f"{bound:,g}", "unit": likely.unit, "reason": reason}
            yield range_kinds.UNLIKELY_NUMBER.at(likely.sheet, row, likely.column, number, **told)


def _where(mark: pl.Series, rows: pl.Series, values: pl.Series) -> list[tuple[int, Any]]:
    """Row and value of the rows that are marked, but for those of a default."""
    if not mark.any():
        return []
    found = zip(rows.filter(mark), values.filter(mark), strict=True)
    return [(row, value) for row, value in found if row is not None]


def _shares(frame: pl.DataFrame, sheet: str, column: str, least: float) -> Iterator[Problem]:
    shares = frame[column]
    for row, share in _where((shares > 0) & (shares < least), frame[ROW], shares):
        yield range_kinds.SHARE_FOR_PER_CENT.at(sheet, row, column, share, meant=f"{share * IN_A_SHARE:g}")


def _setting_shares(rows: pl.DataFrame, settings: Settings) -> Iterator[Problem]:
    """Percentages among the settings; none that matters is below one."""
    named = dict(reversed(rows.select("name", ROW).rows()))
    for setting in SETTINGS:
        if setting.kind == "percent" and setting.name in named and 0 < getattr(settings, setting.name) < 1:
            share = getattr(settings, setting.name)
            meant = f"{share * IN_A_SHARE:g}"
            yield range_kinds.SHARE_FOR_PER_CENT.at("settings", named[setting.name], "value", share, meant=meant)


def long_weeks(sheets: Sheets, _start: date) -> Iterator[Problem]:
    """Workers whose weekdays add up to more hours than anybody works; told at their first row."""
    weeks: dict[str, dict[int, float]] = {}
    first: dict[str, int] = {}
    whole = sheets["labour_hours"].select("worker", "day", "hours", ROW).drop_nulls().rows()
    rows = [row for row in whole if not is_date(row[1])]
    for worker, _, _, row in rows:
        first.setdefault(worker, row)
    for worker, day, hours, _ in sorted(rows, key=lambda row: -breadth(row[1])):  # fewer days override more
        weeks.setdefault(worker, {}).update(dict.fromkeys(weekdays_named(day), hours))
    for worker, week in weeks.items():
        if (total := sum(week.values())) > LONGEST_WEEK:
            words = {"hours": f"{total:g}"}
            yield range_kinds.LONG_WEEK.at("labour_hours", first[worker], "hours", worker, **words)


def due_dates(sheets: Sheets, start: date) -> Iterator[Problem]:
    """Lines due before the plan begins, or years after."""
    due = sheets["orders"]["due"]
    last = start + FARTHEST_DUE
    for row, day in _where((due < start) | (due > last), sheets["orders"][ROW], due):
        kind = range_kinds.DUE_FAR_AWAY if day > last else range_kinds.DUE_BEFORE_START
        yield kind.at("orders", row, "due", day, start=start)


def capacities(sheets: Sheets, _start: date) -> Iterator[Problem]:
    """Forms that hold more than a cylinder of their outside, pi/4 d^2 h; 1000 cubic millimetres are a millilitre."""
    sizes = sheets["forms"].select(ROW, "capacity_ml", "width_mm", "height_mm").drop_nulls()
    outside = pl.col("width_mm") ** 2 * pl.col("height_mm") * (pi / 4 / 1000)
    for row, capacity, width, height, most in (
        sizes.with_columns(most=outside).filter(pl.col("capacity_ml") > pl.col("most")).iter_rows()
    ):
        from pipeline.reading.measures import short  # brings all units along, which few sheets need

        words = {"width": f"{width:g}", "height": f"{height:g}", "most": short(f"{most:f}")}
        yield range_kinds.CAPACITY_TOO_LARGE.at("forms", row, "capacity_ml", capacity, **words)


def waits_of_forms(sheets: Sheets, _start: date) -> Iterator[Problem]:
    """A form's own wait that the stage's other wait does not allow."""
    if "forms" not in sheets or "stages" not in sheets:
        return
    methods = dict(reversed(sheets["forms"].select("form", "method").rows()))
    waits = sheets["stages"].select("method", "stage", "wait_days", "wait_days_max").rows()
    of_stages = {(method, stage): both for method, stage, *both in reversed(waits)}
    own = sheets["form_minutes"].select("form", "stage", "wait_days", "wait_days_max", ROW)
    for form, stage, least, most, row in own.iter_rows():
        if form not in methods or (methods[form] or METHOD, stage) not in of_stages:
            continue
        stage_least, stage_most = of_stages[methods[form] or METHOD, stage]
        words = {"form": form, "stage": stage}
        if least is not None and most is None and stage_most is not None and least > stage_most:
            told = {"own": "at least", "other": "at most", "stage_is": stage_most, **words}
            yield range_kinds.FORM_WAITS_CROSSED.at("form_minutes", row, "wait_days", least, **told)
        if most is not None and least is None and stage_least is not None and stage_least > most:
            told = {"own": "at most", "other": "at least", "stage_is": stage_least, **words}
            yield range_kinds.FORM_WAITS_CROSSED.at("form_minutes", row, "wait_days_max", most, **told)


def work_done(sheets: Sheets, start: date) -> Iterator[Problem]:
    """Pieces in progress whose last stage is on or after the day on which the plan begins; those that are in a kiln
    come out then. Not asked where the stages could not be read.
    """
    standing = sheets["in_progress"]
    if "stages" not in sheets:
        return
    done = standing["date"]
    firings = sheets["stages"].filter(pl.col("firing").is_not_null())["stage"]
    worked = ~standing["stage_done"].is_in(firings.implode())
    for row, day in _where((done >= start) & worked, standing[ROW], done):
        yield range_kinds.DONE_AFTER_START.at("in_progress", row, "date", day, start=start)


RULES: tuple[tuple[str, Callable[[Sheets, date], Iterator[Problem]]], ...] = (
    ("labour_hours", long_weeks),
    ("orders", due_dates),
    ("forms", capacities),
    ("form_minutes", waits_of_forms),
    ("in_progress", work_done),
)
"""Doubts that more than one number makes, and the sheet that must be given for each."""
