"""What cannot be planned at all, with the row that causes it."""

from __future__ import annotations

from collections.abc import Iterator

import polars as pl

from pipeline.calendar import HUNDREDTHS, Calendar
from pipeline.exact import solver_is_there
from pipeline.in_progress import share_in_progress, staying_on_bats
from pipeline.job import Job
from pipeline.kiln_counts import kiln_counts
from pipeline.lines import LINE
from pipeline.routes import routes
from pipeline.scheduling.chain import LONGEST_ON_BATS
from pipeline.scheduling.from_job import build_shop
from pipeline.scheduling.shop import Flow, Shop, Stop
from pipeline.waits import window
from schemas.plan_kinds import (
    BATS_ALL_TAKEN,
    DAY_TOO_SHORT,
    DOES_NOT_FIT,
    NO_BAT,
    NO_DAY_IN_WINDOW,
    NO_DAY_LEFT,
    NO_SOLVER,
    NOBODY_DOES_IT,
)
from schemas.problem import Problem, problems_sheet
from schemas.settings import THOROUGH

LONG_LOOK = 400
"""Days of the calendar on which a window is tried."""

Rows = dict[tuple[str, str], int | None]
"""The row in ``stages`` of each form's stage."""


def obstacles(job: Job, pieces: pl.DataFrame) -> pl.DataFrame:
    """A ``problems`` sheet of what makes the job impossible: no hands, a day too short, no room in the kiln, no bat, a
    wait that closed days make impossible. Each is told once, at the row that would mend it.
    """
    shop = build_shop(job, pieces)
    rows = _stage_rows(job)
    found = [
        *_solver(job),
        *_hands(shop, rows),
        *_kiln_work(job, shop),
        *_room(job, shop),
        *_bats(job, shop),
    ]
    if not found:
        found = list(_windows(job, shop, rows))
    return problems_sheet(dict.fromkeys(found))


def unplaced(job: Job, pieces: pl.DataFrame, schedule: pl.DataFrame) -> pl.DataFrame:
    """A ``problems`` sheet of the lines of which pieces found no day: the first stage that is short of them."""
    counted = schedule.filter(pl.col("task") != "unload").group_by(*LINE, "stage").agg(placed=pl.col("pieces").sum())
    short = (
        pieces.join(counted, on=[*LINE, "stage"], how="left", nulls_equal=True, maintain_order="left")
        .with_columns(left=pl.col("pieces_in") - pl.col("already_done") - pl.col("placed").fill_null(0))
        .filter(pl.col("left") > 0)
        .unique(LINE, keep="first", maintain_order=True)
        .join(job.orders.select(*LINE, "row"), on=LINE, how="left", nulls_equal=True, maintain_order="left")
    )
    return problems_sheet(
        NO_DAY_LEFT.at("orders", row, "form", form, pieces=left, stage=stage)
        for form, stage, left, row in short.select("form", "stage", "left", "row").iter_rows()
    )


def _solver(job: Job) -> Iterator[Problem]:
    if job.settings.search == THOROUGH and not solver_is_there():
        yield NO_SOLVER.at("settings", None, "value", THOROUGH)


def _stage_rows(job: Job) -> Rows:
    route = routes(job.forms, job.stages, job.form_minutes)
    return {(form, stage): row for form, stage, row in route.select("form", "stage", "row").iter_rows()}


def _stops(shop: Shop) -> Iterator[Stop]:
    """The stages that pieces of this job still go through, each form's once."""
    unlike = {(flow.form, flow.first): flow for flow in shop.flows}
    yield from dict.fromkeys(stop for flow in unlike.values() for stop in flow.route[flow.first :])


def _longest(calendar: Calendar, stop: Stop) -> int:
    """The longest day of anybody who does the stage, in hundredths of a minute; 0 if nobody does."""
    days = [shift for worker in calendar.workers for shift in worker.by_weekday]
    days += [shift for worker in calendar.workers for day, shift in worker.by_date.items() if day >= calendar.start]
    return max((shift.time for shift in days if shift.covers(stop.stage, stop.firing)), default=0)


def _hands(shop: Shop, rows: Rows) -> Iterator[Problem]:
    for stop in _stops(shop):
        needed = stop.setup + stop.time(1)
        longest = _longest(shop.calendar, stop)
        row = rows[stop.form, stop.stage]
        if needed and not longest:
            yield NOBODY_DOES_IT.at("stages", row, "stage", stop.stage)
        elif needed > longest:
            what = f"one piece of `{stop.form}` at `{stop.stage}`, set-up included,"
            yield DAY_TOO_SHORT.at(
                "stages", row, "minutes_each", None, what=what, needed=_minutes(needed), longest=_minutes(longest)
            )


def _kiln_work(job: Job, shop: Shop) -> Iterator[Problem]:
    """Loading and unloading may be shared between people, but have to be done within a day."""
    named = {stop.firing: stop for stop in _stops(shop) if stop.firing is not None}
    sheet_rows = {(firing, kiln): row for firing, kiln, row in job.firings.select("firing", "kiln", "row").iter_rows()}
    for firing in shop.firings:
        stop = named.get(firing.firing)
        if stop is None:
            continue
        row = sheet_rows[firing.firing, firing.kiln]
        together = _together(shop.calendar, stop)
        for column, time in (("load_minutes", firing.load_time), ("unload_minutes", firing.unload_time)):
            if time and not together:
                yield NOBODY_DOES_IT.at("firings", row, "firing", firing.firing)
            elif time > together:
                what = f"`{column}` of `{firing.firing}`"
                yield DAY_TOO_SHORT.at(
                    "firings", row, column, None, what=what, needed=_minutes(time), longest=_minutes(together)
                )


def _minutes(time: int) -> str:
    """A time in hundredths of a minute, in minutes."""
    return f"{time / HUNDREDTHS:g}"


def _together(calendar: Calendar, stop: Stop) -> int:
    """The most time that all who do the stage have on one day of the year to come."""
    return max(
        sum(shift.time for shift in calendar.shifts(day) if shift.covers(stop.stage, stop.firing))
        for day in range(calendar.start, calendar.start + LONG_LOOK)
    )


def _room(job: Job, shop: Shop) -> Iterator[Problem]:
    counts = kiln_counts(job.forms, job.firings, job.kilns, job.kiln_fit)
    form_rows = dict(job.forms.select("form", "row").iter_rows())
    for stop in _stops(shop):
        if stop.firing is None:
            continue
        fits = [
            counts[firing.firing, firing.kiln, stop.form] for firing in shop.firings if firing.firing == stop.firing
        ]
        if not any(fit.pieces for fit in fits):
            yield DOES_NOT_FIT.at(
                "forms",
                form_rows[stop.form],
                None,
                None,
                form=stop.form,
                firing=stop.firing,
                why=fits[0].how.removeprefix("none: "),
            )


def _bats(job: Job, shop: Shop) -> Iterator[Problem]:
    if shop.bats is None:
        return
    form_rows = dict(job.forms.select("form", "row").iter_rows())
    owned = {item for item, kind, count in job.bats_and_boards.select("item", "kind", "count").iter_rows()
             if kind == "bat" and count}  # fmt: skip
    for flow in shop.flows:
        on = any(stop.bat == "on" for stop in flow.route[flow.first :])
        if not on or flow.bat is None or shop.bats.get(flow.bat, 0) > 0:
            continue
        if flow.bat not in owned:
            yield NO_BAT.at("forms", form_rows[flow.form], "bat", flow.bat)
            continue
        for place, size, pieces in _staying(job):
            if size == flow.bat:
                row, form = job.in_progress.select("row", "form").row(place)
                yield BATS_ALL_TAKEN.at("in_progress", row, "pieces", pieces, form=form, size=size)


def _staying(job: Job) -> list[tuple[int, str, int]]:
    route = routes(job.forms, job.stages, job.form_minutes)
    taken = share_in_progress(job.orders, job.forms, route, job.in_progress, job.settings.loss_cover)
    return staying_on_bats(taken, job.forms, route, job.in_progress)


def _windows(job: Job, shop: Shop, rows: Rows) -> Iterator[Problem]:
    """A chain of stages whose windows close has to fit the calendar on some day, for one piece with nothing else.

    Pieces in progress have to begin it while their own window is open. What holds for some pieces of a form holds for
    all that begin like them.
    """
    unlike = {(flow.form, flow.first, flow.ready, flow.latest, flow.standing): flow for flow in shop.flows}
    for flow in unlike.values():
        starts = [
            place for place in range(flow.first, len(flow.route)) if place == flow.first or not flow.linked[place - 1]
        ]
        reached: dict[tuple[int, int], int] = {}
        for place in starts:
            last = shop.last_day(flow) if place == flow.first else None
            days = range(flow.ready, shop.calendar.start + LONG_LOOK if last is None else last + 1)
            deepest = place
            for day in days:
                deepest = max(deepest, _reach(shop, flow, place, day, reached))
                if deepest == len(flow.route):
                    break
            if deepest == place and last is not None and flow.standing is not None:
                row = job.in_progress["row"][flow.standing]
                yield _no_day(flow, deepest, "in_progress", row, "stage_done")
            elif place < deepest < len(flow.route) and flow.linked[deepest - 1]:
                row = rows[flow.form, flow.route[deepest - 1].stage]
                yield _no_day(flow, deepest, "stages", row, "wait_days_max")


def _no_day(flow: Flow, place: int, sheet: str, row: int | None, column: str) -> Problem:
    """No day for the stage ``place`` after the one before it."""
    before, after = flow.route[place - 1], flow.route[place]
    least, most = before.wait.least, before.wait.most
    return NO_DAY_IN_WINDOW.at(
        sheet, row, column, before.stage, after=after.stage, least=least,
        most=least + LONGEST_ON_BATS if most is None else most,
    )  # fmt: skip


def _reach(shop: Shop, flow: Flow, place: int, day: int, reached: dict[tuple[int, int], int]) -> int:
    """The place after the last stage that the calendar allows of a chain whose stage ``place`` is done on ``day``.

    ``reached`` keeps what was found: many days of one stage lead to the same days of the next.
    """
    if (place, day) not in reached:
        reached[place, day] = _furthest(shop, flow, place, day, reached)
    return reached[place, day]


def _furthest(shop: Shop, flow: Flow, place: int, day: int, reached: dict[tuple[int, int], int]) -> int:
    stop = flow.route[place]
    needed = stop.setup + stop.time(1)
    shifts = shop.calendar.shifts(day)
    able = not needed or any(shift.time >= needed and shift.covers(stop.stage, stop.firing) for shift in shifts)
    if not able or not shop.calendar.works(day):
        return place
    if not flow.linked[place]:
        return len(flow.route)
    done = day
    if stop.wait.fired is not None:
        done = shop.calendar.next_work(day + stop.wait.fired) or day
    opens, closes = window(stop.wait, done, shop.factors)
    if closes is None:
        closes = opens + LONGEST_ON_BATS
    return max(_reach(shop, flow, place + 1, later, reached) for later in range(opens, closes + 1))
