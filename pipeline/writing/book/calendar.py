"""The calendar: a row a batch, a column a date."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date
from functools import cache
from math import ceil
from typing import cast

import polars as pl

from pipeline.calendar import closed_ordinals
from pipeline.job import Job
from pipeline.writing.book.cells import Area, Cell, Cells, Look, Paint, Plain, Print, Tab
from pipeline.writing.book.fit import LINE_HEIGHT
from pipeline.writing.book.grid import NOTE, Grid, letter
from pipeline.writing.book.hours import days_between
from pipeline.writing.book.stages import letters, mark, stages_in_order
from pipeline.writing.book.tables import NOTHING

LABELS = ("order", "form", "glaze", "batch", "pieces")
"""What stands before the dates in a row."""

DAY_WIDTH = 3.6
DAYS_A_PAGE = 31
"""Days across a printed page, the labels before them on each: as many as stay easy to read."""

IN, OUT = "in", "out"
CLOSED = "x"
DATE_HEAD = Look("text", "date_head")


def calendar_tab(job: Job, schedule: pl.DataFrame, kiln_loads: pl.DataFrame) -> Tab:
    """The calendar, readable without colour: two letters a stage, ``x`` for closed days."""
    stages = stages_in_order(job.stages, schedule)
    short = letters(stages)
    grid = Grid("calendar")
    legend = ", ".join(f"{short[stage]} = {stage}" for stage in stages)
    grid.head_beside(
        "Calendar",
        "One row is a batch.",
        len(LABELS),
        "A batch is the pieces of one order line that are thrown on one day. Its cells say what is done with "
        f"it on which day; {IN} and {OUT} of the kiln. {CLOSED} = closed.",
        *([f"{legend}."] if legend else []),
    )
    if schedule.is_empty():
        grid.add(Plain(NOTHING, NOTE))
        return grid.tab()
    days = days_between(schedule)
    closed = closed_ordinals(job.closed_days)
    dates_row = _date_heads(grid, days, closed)
    first = grid.next_row
    _batches(grid, days, _work(schedule, kiln_loads, stages, short), schedule)
    last = grid.next_row - 1
    return grid.tab(
        freeze=(first, len(LABELS)),
        paints=_free_days(Area(first, len(LABELS), last, len(LABELS) + len(days) - 1), dates_row),
        printed=Print(
            repeat_rows=(dates_row - 1, first - 1),
            repeat_columns=(0, len(LABELS) - 1),
            pages_across=ceil(len(days) / DAYS_A_PAGE),
        ),
    )


def _date_heads(grid: Grid, days: list[date], closed: frozenset[int]) -> int:
    """Month, day of the month, weekday and closed days, a row each; gives the row of the dates."""
    blank: list[Cell | None] = [Plain(None, DATE_HEAD)] * len(LABELS)
    pages = ceil(len(days) / DAYS_A_PAGE)
    a_page = ceil(len(days) / pages) if pages else 1
    month = [Plain(_month(day, tops=at % a_page == 0), Look("text", "strong")) for at, day in enumerate(days)]
    grid.add(*[None] * len(LABELS), *month)
    row = grid.add(*blank, *(Plain(day, Look("day", "date_head")) for day in days))
    grid.add(*blank, *(Plain(f"{day:%a}"[:2], DATE_HEAD) for day in days))
    labels = [Plain(label, Look("text", "heading")) for label in LABELS]
    grid.add(*labels, *(Plain(CLOSED if day.toordinal() in closed else None, DATE_HEAD) for day in days))
    for at, width in enumerate((11.0, 9.0, 8.0, 7.0, 7.0)):
        grid.widen(at, width)
    for at in range(len(days)):
        grid.widen(len(LABELS) + at, DAY_WIDTH)
    return row


def _month(day: date, *, tops: bool) -> str | None:
    """The month over its first day, with the year where a year begins or the day ``tops`` a page."""
    if tops or (day.day, day.month) == (1, 1):
        return f"{day:%b %Y}"
    return f"{day:%b}" if day.day == 1 else None


def _work(
    schedule: pl.DataFrame, kiln_loads: pl.DataFrame, stages: list[str], short: Mapping[str, str]
) -> pl.DataFrame:
    """What is done with each ``batch`` on each ``date``, its days in the kiln included: all of it in ``words``, in the
    order of the stages, and the place of the ``last`` stage."""
    place = pl.col("stage").replace_strict(stages, range(len(stages)), return_dtype=pl.Int64)
    words = pl.col("stage").replace_strict(short, return_dtype=pl.String)
    tail = pl.col("task").replace_strict({"load": f"\n{IN}", "unload": f"\n{OUT}"}, default="")
    worked = schedule.select("batch", "date", place=place, words=words + tail)
    stage_of_load = schedule.select("load", "batch", "stage").unique(["load", "batch"], keep="last")
    day = pl.duration(days=1)
    fired = (
        kiln_loads.join(stage_of_load, on=["load", "batch"])
        .select(
            "batch", date=pl.date_ranges(pl.col("load_on") + day, pl.col("unload_on") - day), place=place, words=words
        )
        .explode("date")
        .drop_nulls("date")
    )
    return (
        pl.concat([worked, fired])
        .unique()
        .sort("batch", "date", "place", "words")
        .group_by("batch", "date", maintain_order=True)
        .agg(pl.col("words").str.join("\n"), pl.col("place").last().alias("last"))
    )


def _batches(grid: Grid, days: list[date], work: pl.DataFrame, schedule: pl.DataFrame) -> None:
    """A row for each batch, in the order in which they are begun; only days on which something is done have cells."""
    counted = schedule.filter(pl.col("task") != "unload")
    sizes = counted.group_by("batch", "stage", maintain_order=True).agg(pl.col("pieces").sum())
    most = dict(sizes.group_by("batch").agg(pl.col("pieces").max()).iter_rows())
    places = {day: place for place, day in enumerate(days, len(LABELS))}
    cells: defaultdict[str, dict[int, Cells]] = defaultdict(dict)
    lines: defaultdict[str, int] = defaultdict(lambda: 1)
    for batch, day, words, last in work.iter_rows():
        if day in places:
            cells[batch][places[day]] = _cells(words, last)
            lines[batch] = max(lines[batch], words.count("\n") + 1)
    batches = schedule.unique("batch", keep="first", maintain_order=True).select("order", "form", "glaze", "batch")
    for place, column in enumerate(batches):
        grid.widen(place, min(cast(int, column.str.len_chars().max() or 0) + 2.5, 18.0))
    for labels in batches.iter_rows():
        batch = labels[-1]
        columns = {place: Cells((label,), Look("text", "batch")) for place, label in enumerate(labels)}
        columns[len(labels)] = Cells((most.get(batch, 0),), Look("plain", "batch"))
        grid.heights[grid.stack(1, columns | cells[batch])] = LINE_HEIGHT * lines[batch] + 1


@cache
def _cells(words: str, last: int) -> Cells:
    """The cell of what is done on a date, in the fill of its last stage."""
    return Cells((words,), Look("wrap", "work", mark(last)))


def _free_days(area: Area, dates_row: int) -> list[Paint]:
    """Closed days and weekends, where nothing is done on them."""
    at = letter(area.first_column)
    empty = f'{at}{area.first_row + 1}=""'
    return [
        Paint(area, f'AND({empty},{at}${area.first_row}="{CLOSED}")', "closed"),
        Paint(area, f"AND({empty},WEEKDAY({at}${dates_row + 1},2)>5)", "weekend"),
        Paint(area, empty, "squares"),
    ]
