"""Bats, boards and pieces waiting, night by night."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from math import ceil

import polars as pl

from pipeline.in_progress import share_in_progress, staying_on_bats
from pipeline.routes import routes
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.space import Space

BOARD = "board"

Way = list[tuple[str, str | None, str | None]]
"""A form's route as (stage, bat, firing)."""

Batch = list[tuple[str, str, date, int]]
"""What is done with a batch as (stage, task, date, pieces)."""


def space(
    schedule: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    bats_and_boards: pl.DataFrame,
    orders: pl.DataFrame,
    in_progress: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """What stands in the studio on the night after each date of the schedule.

    A piece holds a bat from the date of its `on` stage up to that of its `off` stage; one in progress that no line
    takes keeps its bat. A piece waits for the stage that comes next from the date on which it had the last (after a
    firing from unloading); pieces in a kiln do not.
    Boards are counted form by form, those that are not full included; forms without ``per_board`` take none.

    25 pieces waiting, 12 to a board: 3 boards.
    """
    owned = {(kind, item): count for item, kind, count in bats_and_boards.select("item", "kind", "count").iter_rows()}
    boards = sum(count for (kind, _), count in owned.items() if kind == BOARD) if _has(bats_and_boards, BOARD) else None
    route = routes(forms, stages, form_minutes)
    way = {
        form: steps.select("stage", "bat", "firing").rows()
        for (form,), steps in route.group_by("form", maintain_order=True)
    }
    size = dict(forms.select("form", "bat").iter_rows())
    per_board = dict(forms.select("form", "per_board").iter_rows())
    counted = boards is not None or any(number is not None for number in per_board.values())
    dates = schedule["date"].unique().sort().to_list()
    on_bats: dict[tuple[date, str], int] = defaultdict(int)
    waiting: dict[tuple[date, str], int] = defaultdict(int)
    standing: dict[tuple[date, str], int] = defaultdict(int)
    for form, batch in _batches(schedule):
        nights = _nights(way[form], batch, dates)
        done = _done_by_date(batch, nights)
        for night, for_stage, pieces in _waits(way[form], done, nights):
            waiting[night, for_stage] += pieces
            standing[night, form] += pieces
        if size[form] is not None:
            for night, pieces in _nights_on_bats(way[form], done, nights):
                on_bats[night, size[form]] += pieces
    taken = share_in_progress(orders, forms, route, in_progress, settings.loss_cover)
    for _, item, pieces in staying_on_bats(taken, forms, route, in_progress):
        for night in dates:
            on_bats[night, item] += pieces
    sizes = sorted({item for _, item in on_bats})
    rows = []
    for night in dates:
        for item in sizes:
            rows.append((night, "bat", item, on_bats[night, item], owned.get(("bat", item))))
        used = sum(
            ceil(standing[night, form] / per_board[form])
            for form in way
            if per_board[form] is not None and standing[night, form]
        )
        if counted:
            rows.append((night, BOARD, BOARD, used, boards))
        stages_in_order = dict.fromkeys(stage for steps in way.values() for stage, _, _ in steps)
        rows.extend(
            (night, "waiting", stage, waiting[night, stage], None) for stage in stages_in_order if waiting[night, stage]
        )
    return shaped(Space, pl.DataFrame(rows, schema=types(Space), orient="row"))


def _batches(schedule: pl.DataFrame) -> Iterator[tuple[str, Batch]]:
    """The form of each batch, and what is done with it."""
    found: dict[str, Batch] = {}
    forms: dict[str, str] = {}
    for batch, form, *row in schedule.select("batch", "form", "stage", "task", "date", "pieces").iter_rows():
        found.setdefault(batch, []).append(tuple(row))
        forms.setdefault(batch, form)
    return zip(forms.values(), found.values(), strict=True)


def _has(bats_and_boards: pl.DataFrame, kind: str) -> bool:
    return not bats_and_boards.filter(pl.col("kind") == kind).is_empty()


def _nights(way: Way, batch: Batch, dates: list[date]) -> list[date]:
    """The dates of the schedule on which a batch can stand anywhere: up to its last one, and from its first one on if
    it is begun in the plan; pieces in progress stand there from the plan's first day.
    """
    begun = {stage for stage, _, _ in way} <= {stage for stage, _, _, _ in batch}
    days = [day for _, _, day, _ in batch]
    return dates[bisect_left(dates, min(days)) if begun else 0 : bisect_right(dates, max(days))]


def _done_by_date(batch: Batch, dates: list[date]) -> dict[tuple[str, str], list[int]]:
    """For each stage and task of a batch the pieces that have had it by each date."""
    found: dict[tuple[str, str], list[int]] = {}
    place = {day: number for number, day in enumerate(dates)}
    for stage, task, day, pieces in batch:
        upto = found.setdefault((stage, task), [0] * len(dates))
        for later in range(place[day], len(dates)):
            upto[later] += pieces
    return found


def _entered(done: dict[tuple[str, str], list[int]], stage: str, firing: str | None, *, out: bool) -> list[int] | None:
    """By date the pieces that have entered a stage, or (``out``) are through with it; None if it is not in the plan."""
    return done.get((stage, "work" if firing is None else "unload" if out else "load"))


def _waits(way: Way, done: dict[tuple[str, str], list[int]], dates: list[date]) -> list[tuple[date, str, int]]:
    """The nights on which pieces of a batch wait, for which stage, and how many."""
    found = []
    for (before, _, fired), (stage, _, firing) in zip([("", None, None), *way], way, strict=False):
        entered = _entered(done, stage, firing, out=False)
        if entered is None:
            continue
        came = _entered(done, before, fired, out=True)
        total = entered[-1]
        for number, night in enumerate(dates):
            # Pieces in progress have no stage before in the plan: they wait from its first day.
            arrived = total if came is None else ceil(came[number] * total / came[-1])
            if came is None and before == "":
                arrived = entered[number]
            if arrived > entered[number]:
                found.append((night, stage, arrived - entered[number]))
    return found


def _nights_on_bats(way: Way, done: dict[tuple[str, str], list[int]], dates: list[date]) -> list[tuple[date, int]]:
    """The nights on which pieces of a batch stand on bats, and how many.

    Pieces that are lost there leave their bats with the first that come off, as the schedule has it.
    """
    found: list[tuple[date, int]] = []
    on: list[int] | None = None
    for stage, bat, firing in way:
        entered = _entered(done, stage, firing, out=False)
        if bat == "on":
            on = entered
        if bat == "off" and entered is not None and entered[-1]:
            # Pieces in progress have no `on` stage in the plan: they stand on their bats from its first day.
            put = [entered[-1]] * len(dates) if on is None else on
            lost = put[-1] - entered[-1]
            taken = [pieces + lost if pieces else 0 for pieces in entered]
            found.extend((night, up - off) for night, up, off in zip(dates, put, taken, strict=True) if up > off)
    return found
