"""The job as the exact model counts it: days from the plan's start, pieces, and whole units of working time."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import lcm

import polars as pl

from pipeline.checking.facts import Line, Shop, Stage, shop_of
from pipeline.checking.hours import DAY_TOLERANCE
from pipeline.job import Job
from pipeline.kiln_counts import kiln_counts

UNITS = 10_000
"""Units of working time in a minute. A piece's minutes are rounded down to them, so never to more than they are."""


@dataclass(frozen=True)
class LineToMake:
    """A line and, by the place of each stage, how many pieces enter it and how many of those stood before it at first.

    ``due`` is the day (0: the plan's first; None: no due date); ``weight`` the cost of a piece's late day.
    """

    name: Line
    route: tuple[Stage, ...]
    bat: str | None
    due: int | None
    weight: int
    entering: tuple[int, ...]
    standing: tuple[int, ...]


@dataclass(frozen=True)
class Standing:
    """Pieces of a row of ``in_progress`` that may go on to the stage at ``place``, from day ``first`` to day ``last``.

    ``last`` is None where nothing closes, or where the window closed before anybody worked.
    """

    place: int
    order: str | None
    form: str
    glaze: str | None
    pieces: int
    first: int
    last: int | None

    def may_be(self, line: Line) -> bool:
        """Whether the pieces may be the line's."""
        return self.form == line[1] and self.order in (None, line[0]) and self.glaze in (None, line[2])


@dataclass(frozen=True)
class Kiln:
    """A firing in a kiln: its days and minutes, and the pieces of a form that fill it alone."""

    firing: str
    name: str
    days: int
    load_minutes: float
    unload_minutes: float
    counts: dict[str, int]


@dataclass(frozen=True)
class Studio:
    """A job up to the day before ``end``. ``scale``: cost of one piece's late day at priority 1."""

    shop: Shop
    end: int
    scale: int
    lines: tuple[LineToMake, ...]
    standing: tuple[Standing, ...]
    kilns: tuple[Kiln, ...]
    bats: dict[str, int]

    def date(self, day: int) -> dt.date:
        """The date of a day of the plan."""
        return self.shop.job.settings.start + dt.timedelta(days=day)

    def day(self, date: dt.date) -> int:
        """The day of the plan of a date."""
        return (date - self.shop.job.settings.start).days

    def works(self, day: int) -> bool:
        """Whether there is work on the day."""
        return self.shop.days.has_work(self.date(day))

    def window(self, stage: Stage, done: int) -> tuple[int, int | None]:
        """First and last day (None: no last) of the next stage for pieces done with ``stage`` on a day."""
        first, last = self.shop.window(stage, self.date(done))
        return self.day(first), None if last is None else self.day(last)

    def unload_day(self, kiln: Kiln, day: int) -> int | None:
        """When what is loaded on the day is unloaded; None if after the end."""
        date = self.shop.days.first_with_work(self.date(day + kiln.days))
        return None if date is None or self.day(date) >= self.end else self.day(date)

    def workers(self, day: int, names: set[str | None]) -> list[tuple[str, int]]:
        """Who does stages or firings of these names on the day, each with the day's working time.

        The time is a hair longer than the hours, by what the rounding of a day's rows may add up to.
        """
        found = []
        for worker in self.shop.job.labour_hours["worker"].unique(maintain_order=True):
            if self.does(worker, day, names):
                hours = self.shop.days.shift(worker, self.date(day)).hours
                found.append((worker, round((hours * 60 + DAY_TOLERANCE) * UNITS)))
        return found

    def does(self, worker: str, day: int, names: set[str | None]) -> bool:
        """Whether a worker works on the day and does stages or firings of these names."""
        shift = self.shop.days.shift(worker, self.date(day))
        return shift.hours > 0 and self.works(day) and (shift.stages is None or bool(names & shift.stages))


def studio_of(job: Job, pieces: pl.DataFrame, end: dt.date) -> Studio:
    """The studio of a job whose lines go through the stages as ``pieces`` says, for plans that end before ``end``.

    Of the work in progress each line takes at each stage as many pieces as ``pieces`` counts as done up to there; which
    rows of ``in_progress`` they come from is left to the model.
    """
    shop = shop_of(job)
    start = job.settings.start
    counts = kiln_counts(job.forms, job.firings, job.kilns, job.kiln_fit)
    kilns = tuple(
        Kiln(
            row["firing"],
            row["kiln"],
            row["days"],
            row["load_minutes"],
            row["unload_minutes"],
            {form: counts[row["firing"], row["kiln"], form].pieces for form in job.forms["form"]},
        )
        for row in job.firings.iter_rows(named=True)
    )
    scale, lines = _lines(shop, pieces)
    bats = job.bats_and_boards.filter(pl.col("kind") == "bat").select("item", "count")
    return Studio(shop, (end - start).days, scale, lines, _standing(shop), kilns, dict(bats.iter_rows()))


def _lines(shop: Shop, pieces: pl.DataFrame) -> tuple[int, tuple[LineToMake, ...]]:
    """Every line of the orders; priority 1 counts once, 2 half, 3 a third; a blank one follows the last."""
    orders = shop.job.orders
    last = orders["priority"].max()
    blank = 1 + (last if isinstance(last, int) else 0)
    priorities: list[int] = [blank if priority is None else priority for priority in orders["priority"]]
    scale = lcm(*priorities)
    flow: dict[Line, list[tuple[int, int]]] = {}
    for row in pieces.sort("step").iter_rows(named=True):
        flow.setdefault((row["order"], row["form"], row["glaze"]), []).append((row["pieces_in"], row["already_done"]))
    bat = dict(shop.job.forms.select("form", "bat").iter_rows())
    lines = []
    for row, priority in zip(orders.iter_rows(named=True), priorities, strict=True):
        name = (row["order"], row["form"], row["glaze"])
        done = [already for _, already in flow[name]]
        lines.append(
            LineToMake(
                name,
                shop.routes[row["form"]],
                bat[row["form"]] if shop.job.bats_and_boards.filter(pl.col("kind") == "bat").height else None,
                None if row["due"] is None else (row["due"] - shop.job.settings.start).days,
                int(Fraction(scale, priority)),
                tuple(entering - already for entering, already in flow[name]),
                (0, *(before - after for before, after in pairwise(done))),
            )
        )
    return scale, tuple(lines)


def _standing(shop: Shop) -> tuple[Standing, ...]:
    start = shop.job.settings.start
    first_work = shop.days.first_with_work(start)
    found = []
    for row in shop.job.in_progress.iter_rows(named=True):
        stage = shop.stages[row["form"], row["stage_done"]]
        if stage.place + 1 < len(shop.routes[row["form"]]):
            first, last = shop.window(stage, row["date"])
            missed = last is None or first_work is None or last < first_work
            found.append(
                Standing(
                    stage.place + 1,
                    row["order"],
                    row["form"],
                    row["glaze"],
                    row["pieces"],
                    max(0, (first - start).days),
                    None if missed or last is None else (last - start).days,
                )
            )
    return tuple(found)
