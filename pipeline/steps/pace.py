"""The pace that each due date asks for, stage by stage."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import accumulate
from typing import Any

import polars as pl

from pipeline.alike import once_each
from pipeline.calendar import HUNDREDTHS, Calendar, calendar
from pipeline.in_progress import share_in_progress
from pipeline.lines import LINE, with_line
from pipeline.routes import minutes_a_piece, routes
from pipeline.waits import Wait, days_of_firings, drying_factors, window
from schemas.settings import Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.pace import ABOVE_MOST, NO_DAY_LEFT, TOO_FEW_HOURS, Pace

HANDLING = ("load_minutes", "unload_minutes")

ROUNDED = 0.01
"""Minutes by which rounding may make a day's work at a stage shorter than its pieces take."""


@dataclass(frozen=True)
class _Days:
    """Days (ordinals, in order) on which a stage can be worked, and ``upto[n]``, the minutes that the first n of them
    have for it."""

    days: list[int]
    upto: list[float]

    def at_or_after(self, day: int | None) -> int | None:
        """The first of the days that is not before ``day``."""
        place = len(self.days) if day is None else bisect_left(self.days, day)
        return self.days[place] if place < len(self.days) else None

    def at_or_before(self, day: int | None) -> int | None:
        """The last of the days that is not after ``day``."""
        place = 0 if day is None else bisect_right(self.days, day)
        return self.days[place - 1] if place else None

    def between(self, first: int | None, last: int | None) -> tuple[int, float]:
        """How many of the days lie from ``first`` to ``last``, and their minutes."""
        if first is None or last is None or last < first:
            return 0, 0.0
        low, high = bisect_left(self.days, first), bisect_right(self.days, last)
        return high - low, self.upto[high] - self.upto[low]


@dataclass(frozen=True)
class _Stage:
    """A stage of a route: its row, the wait after it, and the days on which it can be worked; a firing is loaded on
    those, and unloaded on days ``out``.
    """

    row: Mapping[str, Any]
    wait: Wait
    days: _Days
    out: _Days

    def opens(self, day: int, factors: Mapping[int, float]) -> int | None:
        """The first day of the next stage for what has this one on ``day``; None if a kiln finds no day to unload."""
        if self.wait.fired is None:
            return window(self.wait, day, factors)[0]
        out = self.out.at_or_after(day + self.wait.fired)
        return None if out is None else window(self.wait, out, factors)[0]


def pace(
    pieces: pl.DataFrame,
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    stages: pl.DataFrame,
    form_minutes: pl.DataFrame,
    drying_months: pl.DataFrame,
    firings: pl.DataFrame,
    labour_hours: pl.DataFrame,
    closed_days: pl.DataFrame,
    in_progress: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """Pieces and hours a day that each line with a due date needs at each stage, as if it were the only one.

    The last day of a stage is the due date less the waits and firings after it; its first day is the plan's first day,
    or the date of what is in progress, and the waits and firings before it; both are moved to days on which somebody
    who does the stage works. What dries faster in the next month may begin later and yet go on sooner; this is counted
    in. Pieces a day = pieces still to do / such days from the first to the last. No schedule is
    needed: the plan may put the pieces on other days, as it has other lines, bats and kilns to think of.

    200 pieces to throw at 3 minutes, a set-up of 10 minutes, ten days left: 20 pieces and 70 minutes (1.1667 h) a day.
    """
    whole_route = routes(forms, stages, form_minutes)
    dated = orders.select(*LINE, "due").with_row_index("line").filter(pl.col("due").is_not_null())
    last_due = max((due.toordinal() for due in dated["due"]), default=0)
    shifts = calendar(labour_hours, closed_days, settings.start)
    route = whole_route.filter(pl.col("form").is_in(dated["form"].implode()))
    ways = _ways(route, firings, shifts, last_due, settings)
    factors = drying_factors(drying_months)
    standing: dict[int, list[tuple[int, int]]] = {}
    for take in share_in_progress(orders, forms, whole_route, in_progress, settings.loss_cover):
        standing.setdefault(take.line, []).append((take.done, in_progress["date"][take.standing].toordinal()))

    def first_days(form: str, begins: bool | None, line: int | None) -> list[int | None]:
        begun = [(-1, settings.start.toordinal())] if begins else []
        return _first_days(ways[form], begun if line is None else [*begun, *standing[line]], factors)

    def last_days(form: str, due: date) -> list[int | None]:
        return _last_days(ways[form], due.toordinal(), factors)

    def asked(form: str, place: int, left: int, first: int | None, last: int | None) -> dict[str, Any]:
        return _asked(ways[form][place], left, first, last)

    places = whole_route.select("form", "step", place=pl.int_range(pl.len()).over("form"))
    to_do = (
        pieces.select(*LINE, "step", "stage", pieces=pl.col("pieces_in") - pl.col("already_done"))
        .filter(pl.col("pieces") > 0)
        .join(places, on=["form", "step"], how="left", validate="m:1", maintain_order="left")
    )
    begun = to_do.filter(pl.col("place") == 0).select(*LINE, begins=pl.lit(True))
    lines = with_line(dated, begun).with_columns(standing=pl.when(pl.col("line").is_in(list(standing))).then("line"))
    days = pl.List(pl.Int64)
    lines = lines.with_columns(
        first=once_each(lines.select("form", "begins", "standing"), first_days, days),
        last=once_each(lines.select("form", "due"), last_days, days),
    )
    rows = (
        to_do.join(lines, on=LINE, nulls_equal=True, validate="m:1", maintain_order="left")
        .with_columns(pl.col("first", "last").list.get(pl.col("place")))
        .sort("line", "step")
    )
    paces = once_each(rows.select("form", "place", "pieces", "first", "last"), asked, pl.Struct(ASKED))
    return shaped(Pace, rows.hstack(paces.struct.unnest()))


ASKED = {
    name: types(Pace)[name]
    for name in ("hours", "first_day", "last_day", "days_left", "pieces_a_day", "hours_a_day", "in_the_way")
}
"""What is worked out for each number of pieces at a stage."""


def _asked(stage: _Stage, pieces: int, first: int | None, last: int | None) -> dict[str, Any]:
    """Hours, first and last day, days left, pieces and hours a day, and what is in the way."""
    minutes = pieces * stage.row["each"]
    days, there = stage.days.between(first, last)
    shown = [None if day is None else date.fromordinal(day) for day in (first, last)]
    known: list[Any] = [round(minutes / 60, 4), *shown, days]
    if not days:
        return dict(zip(ASKED, [*known, None, None, NO_DAY_LEFT], strict=True))
    each_day = (200 * pieces + days) // (2 * days) / 100  # rounded half up, as a spreadsheet's ROUND
    hours_a_day = (minutes / days + stage.row["setup_minutes"]) / 60
    limits = [stage.row[name] for name in ("most_per_day", "form_most_per_day") if stage.row[name] is not None]
    why = None
    if any(pieces > limit * days for limit in limits):
        why = ABOVE_MOST
    elif minutes + stage.row["setup_minutes"] > there + ROUNDED * days:
        why = TOO_FEW_HOURS
    return dict(zip(ASKED, [*known, each_day, round(hours_a_day, 4), why], strict=True))


def _ways(
    route: pl.DataFrame, firings: pl.DataFrame, shifts: Calendar, last_due: int, settings: Settings
) -> dict[str, list[_Stage]]:
    """The stages of each form, ``each`` in their rows being the minutes of a piece, its wedging by weight included."""
    fired = days_of_firings(firings)
    # Of several kilns that which takes least: what asks for no hands can be done on any day with work.
    load, unload = (dict(firings.group_by("firing").agg(pl.col(name).min()).iter_rows()) for name in HANDLING)
    each = minutes_a_piece(settings.spare_clay_pct).round(4)
    known: dict[tuple[str, str | None, bool], _Days] = {}

    def days(row: Mapping[str, Any], minutes: float) -> _Days:
        key = (row["stage"], row["firing"], minutes > 0)
        if key not in known:
            known[key] = _days(shifts, *key, last_due)
        return known[key]

    found: dict[str, list[_Stage]] = {}
    for row in route.with_columns(each=each).iter_rows(named=True):
        firing = row["firing"]
        wait = Wait(row["wait_days"], row["wait_days_max"], None if firing is None else fired[firing])
        worked = days(row, row["each"] + row["setup_minutes"] + load.get(firing, 0))
        found.setdefault(row["form"], []).append(_Stage(row, wait, worked, days(row, unload.get(firing, 0))))
    return found


def _days(shifts: Calendar, stage: str, firing: str | None, hands: bool, last_due: int) -> _Days:
    """Days up to the last due date on which somebody does the stage; if it takes no hands, on which anybody works."""
    days, minutes = [], []
    for day in range(shifts.start, last_due + 1):
        there = sum(shift.time for shift in shifts.shifts(day) if not hands or shift.covers(stage, firing))
        if there:
            days.append(day)
            minutes.append(there / HUNDREDTHS)
    return _Days(days, list(accumulate(minutes, initial=0.0)))


def _first_days(way: list[_Stage], begun: Iterable[tuple[int, int]], factors: Mapping[int, float]) -> list[int | None]:
    """For each stage the first day on which a piece can come there.

    ``begun`` are the place of the last stage done (-1: none) and the day on which it was, or from which one may begin.
    """
    found: list[int | None] = [None] * len(way)
    for done, since in begun:
        ready: int | None = since if done < 0 else window(way[done].wait, since, factors)[0]
        for place in range(done + 1, len(way)):
            stage = way[place]
            day = stage.days.at_or_after(ready)
            if ready is None or day is None:
                break
            known = found[place]
            found[place] = day if known is None else min(known, day)
            ready = _soonest(stage, day, factors)
    return found


def _soonest(stage: _Stage, day: int, factors: Mapping[int, float]) -> int | None:
    """The first day of the next stage, this one being worked on ``day`` or on a later one that dries faster."""
    soonest = stage.opens(day, factors)
    for later in stage.days.days[bisect_right(stage.days.days, day) :] if factors else ():
        if soonest is None or later >= soonest:
            break
        opens = stage.opens(later, factors)
        soonest = soonest if opens is None else min(soonest, opens)
    return soonest


def _last_days(way: list[_Stage], due: int, factors: Mapping[int, float]) -> list[int | None]:
    """For each stage the last day on which it may end (a firing: be loaded) for the last one to end by ``due``."""
    found: list[int | None] = []
    for place, stage in reversed(list(enumerate(way))):
        last = place + 1 == len(way)
        after = due if last else found[-1]
        day = stage.days.at_or_before(after)
        while day is not None and after is not None and not _in_time(stage, day, after, factors, last=last):
            day = stage.days.at_or_before(day - 1)
        found.append(day)
    return found[::-1]


def _in_time(stage: _Stage, day: int, after: int, factors: Mapping[int, float], *, last: bool) -> bool:
    """Whether what has the stage on ``day`` can go on by the day ``after``; if it is the last, is finished by then."""
    if not last:
        opens = stage.opens(day, factors)
    elif stage.wait.fired is not None:
        opens = stage.out.at_or_after(day + stage.wait.fired)
    else:
        opens = day
    return opens is not None and opens <= after
