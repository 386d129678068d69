"""What the rules read: routes of forms, batches and loads; and what they report."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import Any, NamedTuple

from pipeline.checking.working_days import WorkingDays
from pipeline.job import Job

Line = tuple[str, str, str | None]
"""Order, form, glaze."""


@dataclass(frozen=True)
class BrokenRule:
    """A rule that the schedule breaks.

    ``rule`` is ``5a`` pieces, ``5b`` waits, ``5c`` hours, ``5d`` bats, ``5e`` kilns, ``5f`` closed days, ``5g`` most a
    day, ``5h`` materials that have to come, or ``row`` where a row of the schedule does not add up. ``where`` names the
    date, batch or load; ``what`` is a sentence.
    """

    rule: str
    where: str
    what: str


class Row(NamedTuple):
    """A row of ``schedule``."""

    date: dt.date
    weekday: str
    stage: str
    task: str
    batch: str
    order: str
    form: str
    glaze: str | None
    pieces: int
    minutes: float
    worker: str | None
    kiln: str | None
    load: str | None

    @property
    def line(self) -> Line:
        """The order line that the pieces are for."""
        return self.order, self.form, self.glaze

    @property
    def counts(self) -> bool:
        """Whether its pieces enter the stage; an ``unload`` row only tells them again."""
        return self.task != "unload"

    @property
    def where(self) -> str:
        """Date, batch and stage, as a message names the row."""
        return f"{self.date}, batch {self.batch}, {self.stage}"


class LoadRow(NamedTuple):
    """A row of ``kiln_loads``."""

    load: str
    firing: str
    kiln: str
    load_on: dt.date
    unload_on: dt.date
    batch: str
    order: str
    form: str
    glaze: str | None
    pieces: int
    share_pct: float

    @property
    def line(self) -> Line:
        """The order line that the pieces are for."""
        return self.order, self.form, self.glaze


@dataclass(frozen=True)
class Stage:
    """A stage as one form meets it, with the form's own minutes and waits.

    ``place`` counts from 0 along the route. ``minutes_each`` includes the minutes that go by weight.
    ``most_per_day`` is for all forms of the method, ``most_of_form`` for this form; None means no limit.
    """

    place: int
    name: str
    method: str
    firing: str | None
    minutes_each: float
    setup_minutes: float
    wait_days: int
    wait_days_max: int | None
    bat: str | None
    most_per_day: int | None
    most_of_form: int | None


class Lot(NamedTuple):
    """Pieces of a batch that enter a stage, or are done with it, on one date."""

    date: dt.date
    pieces: int


@dataclass(frozen=True)
class Batch:
    """A batch's way along its form's route, by the place of each stage.

    ``entered`` is when pieces enter a stage; ``done`` when they are done with it, which for a firing is the date of
    unloading.
    """

    name: str
    line: Line
    route: tuple[Stage, ...]
    entered: Mapping[int, list[Lot]]
    done: Mapping[int, list[Lot]]

    @property
    def from_studio(self) -> bool:
        """Whether its pieces stood in the studio before the plan began."""
        return self.name.startswith("P")

    @property
    def first_place(self) -> int:
        """The place of its first scheduled stage."""
        return min(self.entered)


@dataclass(frozen=True)
class Shop:
    """A job's sheets as the rules ask for them; ``routes`` is by form, ``stages`` by form and stage."""

    job: Job
    days: WorkingDays
    routes: Mapping[str, tuple[Stage, ...]]
    stages: Mapping[tuple[str, str], Stage]
    drying: Mapping[int, Fraction]

    def done_on(self, row: Mapping[str, Any]) -> dt.date:
        """When pieces of a row of ``in_progress`` are done with their stage: those in a kiln, when it is unloaded."""
        date: dt.date = row["date"]
        return (self.days.first_with_work(date) or date) if self.in_a_kiln(row) else date

    def in_a_kiln(self, row: Mapping[str, Any]) -> str | None:
        """The kiln that pieces of a row of ``in_progress`` are in when the plan begins; None if they are in none.

        They are in one if their last stage is a firing that is not over: its date is that of unloading. A blank kiln is
        the first that does the firing.
        """
        stage = self.stages.get((row["form"], row["stage_done"]))
        if stage is None or stage.firing is None or row["date"] < self.job.settings.start:
            return None
        kilns = [kiln for firing, kiln in self.job.firings["firing", "kiln"].iter_rows() if firing == stage.firing]
        return str(row["kiln"] or kilns[0])

    def window(self, stage: Stage, done: dt.date) -> tuple[dt.date, dt.date | None]:
        """First and last date on which the next stage may follow pieces done with ``stage`` on ``done``.

        The waits of an ordinary stage are times the month's drying factor, the least rounded up, the most rounded
        down but never below the least; a firing's waits are as they stand.
        """
        factor = Fraction(1) if stage.firing else self.drying.get(done.month, Fraction(1))
        least = ceil(stage.wait_days * factor)
        if stage.wait_days_max is None:
            return done + dt.timedelta(days=least), None
        most = max(least, floor(stage.wait_days_max * factor))
        return done + dt.timedelta(days=least), done + dt.timedelta(days=most)


def shop_of(job: Job) -> Shop:
    """The job's sheets, indexed for the rules."""
    method_stages = defaultdict(list)
    for row in job.stages.sort("method", "step").rows(named=True):
        method_stages[row["method"]].append(row)
    of_form = {(row["form"], row["stage"]): row for row in job.form_minutes.rows(named=True)}
    routes = {
        form["form"]: tuple(
            _stage(place, row, form, of_form.get((form["form"], row["stage"]), {}), job.settings.spare_clay_pct)
            for place, row in enumerate(method_stages[form["method"]])
        )
        for form in job.forms.rows(named=True)
    }
    # The factor as it is written: 10 days x 1.1 are 11 days, where binary fractions would round up to 12.
    drying = {row["month"]: Fraction(str(row["wait_factor"])) for row in job.drying_months.rows(named=True)}
    return Shop(
        job=job,
        days=WorkingDays(job.labour_hours, job.closed_days),
        routes=routes,
        stages={(form, stage.name): stage for form, route in routes.items() for stage in route},
        drying=drying,
    )


def _stage(
    place: int, row: Mapping[str, Any], form: Mapping[str, Any], own: Mapping[str, Any], spare_clay_pct: float
) -> Stage:
    """A stage of a method with what ``form_minutes`` says of the form at it."""

    def value(column: str) -> Any:
        return row[column] if own.get(column) is None else own[column]

    kg = (form["ball_g"] + form["added_clay_g"]) / 1000 * (1 + spare_clay_pct / 100)
    return Stage(
        place=place,
        name=row["stage"],
        method=row["method"],
        firing=row["firing"],
        minutes_each=value("minutes_each") + row["minutes_per_kg"] * kg,
        setup_minutes=value("setup_minutes"),
        wait_days=value("wait_days"),
        wait_days_max=value("wait_days_max"),
        bat=row["bat"],
        most_per_day=row["most_per_day"],
        most_of_form=own.get("most_per_day"),
    )


def batches_of(shop: Shop, rows: Iterable[Row], loads: Iterable[LoadRow]) -> list[Batch]:
    """The batches of a schedule, each with the dates on which its pieces enter and are done with each stage.

    Pieces of a load that ``kiln_loads`` does not know never get done.
    """
    unload_on = {load.load: load.unload_on for load in loads}
    entered: dict[tuple[str, Line], dict[int, list[Lot]]] = defaultdict(lambda: defaultdict(list))
    done: dict[tuple[str, Line], dict[int, list[Lot]]] = defaultdict(lambda: defaultdict(list))
    for row in sorted((row for row in rows if row.counts), key=lambda row: row.date):
        place = shop.stages[row.form, row.stage].place
        entered[row.batch, row.line][place].append(Lot(row.date, row.pieces))
        done_on = row.date if row.task == "work" else unload_on.get(row.load or "")
        if done_on is not None:
            done[row.batch, row.line][place].append(Lot(done_on, row.pieces))
    return [
        Batch(name, line, shop.routes[line[1]], dict(places), dict(done[name, line]))
        for (name, line), places in entered.items()
    ]
