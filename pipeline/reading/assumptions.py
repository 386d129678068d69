"""What a plan rests on without a sheet saying so, in words: the rows of ``assumptions`` that reading makes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import polars as pl

from pipeline.reading.defaults import METHOD, SIZE_PER_CUBE_ROOT, Sheets
from pipeline.reading.readings import Assumption
from pipeline.reading.spelling import distinct
from schemas.settings import CHEAPEST, SETTINGS, Settings

MOST_NAMED = 5
"""Names that a row of ``assumptions`` lists before it says how many more there are."""

COMMON = "common practice"


class Blank(NamedTuple):
    """A column whose blanks are worth telling: of which rows, named by which column, taken as what, and why."""

    sheet: str
    column: str
    names: str
    value: str
    why: str
    only: pl.Expr | None = None


SIZE = f"{SIZE_PER_CUBE_ROOT:g} mm times the cube root of ball_g"

BLANKS = (
    Blank("forms", "method", "form", METHOD, "no method is given in forms"),
    Blank("forms", "height_mm", "form", SIZE, f"{COMMON}; measure a fired piece and fill in height_mm"),
    Blank("forms", "width_mm", "form", SIZE, f"{COMMON}; measure a fired piece and fill in width_mm"),
    Blank("forms", "glaze_g", "form", "0 g", "left blank in forms, so no glaze is counted"),
    Blank("clay_stock", "lead_days", "clay", "0 days", "left blank in clay_stock: clay ordered is there the same day"),
    Blank(
        "clay_stock",
        "received",
        "clay",
        "oldest of all",
        "left blank in clay_stock, where a clay has several lots; the oldest is used first",
        pl.len().over("clay") > 1,
    ),
    Blank(
        "clay_prices", "lead_days", "clay", "0 days", "left blank in clay_prices: clay ordered is there the same day"
    ),
    Blank("glaze_buckets", "litre_g", "glaze", "1450 g", f"{COMMON} for dipping; weigh a litre and fill in litre_g"),
    Blank("glaze_buckets", "dry_density", "glaze", "2.6", f"{COMMON}: feldspar, quartz and clay are 2.5 to 2.7"),
    Blank(
        "labour_hours",
        "own_time",
        "worker",
        "no",
        "left blank in labour_hours: counted as paid work; type yes if it is the owner's own unpaid time",
    ),
    Blank("labour_hours", "hourly_rate", "worker", "not known", "left blank in labour_hours, so no wage is counted"),
    Blank(
        "stages",
        "minutes_each",
        "stage",
        "0 min",
        "no time is given in stages, so none is counted",
        pl.all_horizontal(pl.col("minutes_per_kg", "setup_minutes", "firing").is_null()),
    ),
    Blank("stages", "loss_pct", "stage", "0 %", "left blank in stages: nothing is lost there"),
    Blank("firings", "kiln", "firing", "every kiln", "no kiln is given in firings"),
    Blank("firings", "days", "firing", "2 days", f"{COMMON}: loaded one day, unloaded two days later"),
    Blank("firings", "kwh", "firing", "0 kWh", "left blank in firings, so no energy is counted"),
    Blank("firings", "gap_mm", "firing", "5 mm", f"{COMMON}; fill in gap_mm to change it"),
    Blank("firings", "least_fill_pct", "firing", "80 %", f"{COMMON}; fill in least_fill_pct to change it"),
    Blank("kilns", "shelf_shape", "kiln", "round", f"{COMMON}; fill in shelf_shape to change it"),
    Blank("kilns", "shelf_width_mm", "kiln", "500 mm", f"{COMMON}; measure a shelf and fill in shelf_width_mm"),
    Blank(
        "kilns",
        "shelf_depth_mm",
        "kiln",
        "as the width",
        "left blank in kilns",
        pl.col("shelf_shape") == "rectangular",
    ),
    Blank("kilns", "shelves", "kiln", "5", f"{COMMON}; count them and fill in shelves"),
    Blank("kilns", "inside_height_mm", "kiln", "650 mm", f"{COMMON}; measure it and fill in inside_height_mm"),
    Blank("kilns", "shelf_thickness_mm", "kiln", "15 mm", f"{COMMON}; fill in shelf_thickness_mm to change it"),
    Blank("in_progress", "date", "form", "the day before the plan", "no date is given in in_progress"),
)
"""Every blank that is told. Sheets that were not given at all are told as a whole."""

UNREAD = {"decimal_mark", "date_order", "units"}
"""Settings on which nothing rests unless they are chosen: what a sheet leaves open is else a problem."""

BY_THE_MONTH = ("overhead_per_month", "normal_hours_per_month")
"""Settings that give the overhead of an hour together; it is else ``overhead_per_hour``."""


def told(sheets: Sheets, stand_in: Iterable[str], chosen: Iterable[str], settings: Settings) -> list[Assumption]:
    """What was taken, before blanks are filled. ``sheets`` hold what stands in; ``chosen`` are the settings given."""
    left = [*_settings(set(chosen), settings), *_stand_ins(sheets, set(stand_in))]
    if "bat" not in sheets["bats_and_boards"]["kind"]:
        left += _bats(sheets["forms"])
    return [*left, *(row for blank in BLANKS for row in _blank(blank, sheets[blank.sheet], set(stand_in)))]


def _settings(chosen: set[str], settings: Settings) -> Iterator[Assumption]:
    monthly = set(BY_THE_MONTH)
    unread = UNREAD | ({"overhead_per_hour"} if monthly <= chosen else monthly if not monthly & chosen else set())
    if settings.loss_cover != CHEAPEST:
        unread.add("spare_value_pct")
    if not settings.tax_pct:
        unread.add("prices_with_tax")
    for setting in SETTINGS:
        if setting.name not in chosen | unread:
            value = settings.start.isoformat() if setting.name == "start" else setting.default
            unit = f" {setting.unit}" if setting.unit else ""
            yield Assumption(setting.name, value + unit, f"not chosen in settings: {setting.why}")


def _stand_ins(sheets: Sheets, stand_in: set[str]) -> Iterator[Assumption]:
    """The rows that stand for a sheet, one each."""
    why = f"{COMMON}; fill in {{}} to change it"
    if "stages" in stand_in:
        for row in sheets["stages"].iter_rows(named=True):
            yield Assumption(f"stage {row['step']}: {row['stage']}", _stage(row), why.format("stages"))
    if "kilns" in stand_in:
        for row in sheets["kilns"].iter_rows(named=True):
            size = f"{row['shelves']} {row['shelf_shape']} shelves of {row['shelf_width_mm']:g} mm"
            value = f"{size}, {row['inside_height_mm']:g} mm high inside"
            yield Assumption(f"kiln: {row['kiln']}", value, why.format("kilns"))
    for row in sheets["firings"].iter_rows(named=True):
        if row["row"] is not None:
            continue
        days, gap = row["days"] or 2, row["gap_mm"] or 5
        value = f"{_days(days)}, pieces {gap:g} mm apart, in every kiln, at no cost"
        yield Assumption(f"firing: {row['firing']}", value, why.format("firings"))


def _stage(row: dict[str, object]) -> str:
    """A stage that stands in, in words: ``3 min each, 10 min to set up, 2 % lost, then 1 to 2 days``."""
    parts = [
        _of(row["minutes_each"], "min each"),
        _of(row["minutes_per_kg"], "min a kg"),
        _of(row["setup_minutes"], "min to set up"),
        _of(row["loss_pct"], "% lost"),
        f"fired as {row['firing']}" if row["firing"] else "",
        _wait(row["wait_days"], row["wait_days_max"]),
    ]
    return ", ".join(part for part in parts if part)


def _of(value: object, unit: str) -> str:
    return "" if value is None else f"{value:g} {unit}"


def _wait(least: object, most: object) -> str:
    if most is not None:
        return f"next stage {least or 0} to {_days(most)} later"
    return "" if least is None else f"next stage {_days(least)} later or more"


def _days(count: object) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _bats(forms: pl.DataFrame) -> list[Assumption]:
    sizes = forms["bat"].drop_nulls().unique(maintain_order=True).to_list()
    if not sizes:
        return []
    return [Assumption(f"bats: {_named(sizes)}", "as many as needed", "no bat is counted in bats_and_boards")]


def _blank(blank: Blank, sheet: pl.DataFrame, stand_in: set[str]) -> list[Assumption]:
    if blank.sheet in stand_in or not sheet[blank.column].has_nulls():
        return []
    only = [] if blank.only is None else [blank.only]
    rows = sheet.filter(*only, pl.col("row").is_not_null(), pl.col(blank.column).is_null())
    names = distinct(rows[blank.names])
    return [Assumption(f"{blank.sheet}.{blank.column}: {_named(names)}", blank.value, blank.why)] if names else []


def _named(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
