"""The shop: what is to be made, by which route, with which hands, bats and kilns, as plain data for the scheduler."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from math import lcm

import polars as pl

from pipeline.calendar import HUNDREDTHS, Calendar, calendar
from pipeline.entering import entering
from pipeline.in_progress import Taken, share_in_progress, staying_on_bats
from pipeline.job import Job
from pipeline.lines import LINE, in_turn
from pipeline.packing.fit import kiln_counts
from pipeline.routes import minutes_a_piece, routes
from pipeline.scheduling.clay_in_time import clay_in_time
from pipeline.scheduling.last_plan import LastPlan, last_plan
from pipeline.waits import Wait, days_of_firings, drying_factors, window

PLENTY = 1 << 40
"""More pieces than any studio makes: no limit."""

LONG_WAIT = 5
"""A window of so many days before a firing is long: a kiln will be free in it."""

NO_DUE = date.max.toordinal()
"""The due day, for sorting, of a line that has none."""


@dataclass(frozen=True, slots=True)
class Stop:
    """A stage on a form's route. Times are hundredths of a minute; ``each`` may be a fraction of one.

    ``number`` is one for each form and stage; ``next_each`` is the next stage's ``each``; ``limits`` are (name, most
    pieces in a day); ``tail`` is the least days from this stage to the last.
    """

    number: int
    place: int
    step: int
    stage: str
    form: str
    each: float
    next_each: float
    setup: int
    wait: Wait
    bat: str | None
    firing: str | None
    limits: tuple[tuple[str, int], ...]
    tail: int

    def time(self, pieces: int) -> int:
        """Time for so many pieces, without the set-up."""
        return int(pieces * self.each + 0.5)

    def fitting(self, time: int, done: int) -> int:
        """How many pieces more fit into the time, so many being done on the day already."""
        each = self.each
        if not each:
            return PLENTY
        # The day's time is rounded once, so what is done already counts.
        time += int(done * each + 0.5)
        pieces = int((time + 1) / each) + 1 - done
        while pieces and int((done + pieces) * each + 0.5) > time:
            pieces -= 1
        return pieces


@dataclass(frozen=True, slots=True)
class Flow:
    """Pieces of one line that go the same way: those still to begin, or some that already stand in the studio.

    ``totals[k]`` is how many of them enter the route's k-th stage, for every stage from ``first`` on; ``ready`` and
    ``latest`` are the window of that first stage (``latest`` None: no limit). ``at_once`` is how many there is clay
    for before ``clay_day``. Those in progress have ``standing``, their place in ``in_progress``.
    """

    line: int
    turn: int
    form: str
    due: int
    weight: float
    route: tuple[Stop, ...]
    first: int
    totals: tuple[int, ...]
    ready: int
    latest: int | None
    bat: str | None
    standing: int | None = None
    at_once: int = 0
    clay_day: int = 0
    linked: tuple[bool, ...] = field(init=False, repr=False)
    tied: tuple[bool, ...] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Works out once which stages' next has to be settled with them: a window closes, or a bat is tied up
        (``linked``); and of those the ones that are not only a long window before a firing (``tied``).
        """
        last = len(self.route) - 1
        linked = tuple(
            place < last and (stop.wait.most is not None or self.on_bats_after(place))
            for place, stop in enumerate(self.route)
        )
        tied = tuple(
            together
            and (self.on_bats_after(place) or stop.wait.most is None or not self._waits_long_for_kiln(place, stop.wait))
            for place, (stop, together) in enumerate(zip(self.route, linked, strict=True))
        )
        object.__setattr__(self, "linked", linked)
        object.__setattr__(self, "tied", tied)

    def may_wait_for_kiln(self, latest: int) -> bool:
        """Whether pieces in progress that may go on up to ``latest`` have long to wait for a kiln."""
        return self.route[self.first].firing is not None and latest - self.ready >= LONG_WAIT

    def _waits_long_for_kiln(self, place: int, wait: Wait) -> bool:
        return self.route[place + 1].firing is not None and (wait.most or 0) - wait.least >= LONG_WAIT

    def onward(self, place: int, piece: int) -> int:
        """Where the ``piece``-th of the pieces that enter a stage stands among those that enter the next."""
        return -(-piece * self.totals[place + 1] // self.totals[place])

    def back(self, place: int, piece: int) -> int:
        """The most pieces that may enter a stage so that no more than ``piece`` enter the next."""
        entering = self.totals[place + 1]
        return piece * self.totals[place] // entering if entering else self.totals[place]

    def on_bats_after(self, place: int) -> bool:
        """Whether a piece stands on a bat after the stage."""
        if self.bat is None:
            return False
        marks = [stop.bat for stop in self.route[: place + 1] if stop.bat]
        return bool(marks) and marks[-1] == "on"


@dataclass(frozen=True, slots=True)
class Firing:
    """A firing in a kiln; times in hundredths of a minute, ``counts`` the pieces of a form that fill it alone.

    A full kiln is counted in ``parts``, so many that each form's piece takes a whole number of them: its ``share``.
    """

    firing: str
    kiln: str
    days: int
    load_time: int
    unload_time: int
    least_fill: float
    counts: Mapping[str, int]
    parts: int = field(init=False, repr=False)
    share: Mapping[str, int] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Works out the parts once."""
        parts = lcm(*(count for count in self.counts.values() if count))
        object.__setattr__(self, "parts", parts)
        object.__setattr__(self, "share", {form: parts // count for form, count in self.counts.items() if count})


@dataclass(frozen=True)
class Shop:
    """Everything the scheduler knows. ``bats`` are those owned, less those that pieces no line takes stand on for good,
    by size; None: as many as it takes.
    """

    calendar: Calendar
    flows: tuple[Flow, ...]
    firings: tuple[Firing, ...]
    bats: Mapping[str, int] | None
    factors: Mapping[int, float]
    lines: tuple[tuple[str, str, str | None], ...] = field(default=())
    last: LastPlan = field(default_factory=LastPlan)
    _fired_best: dict[int, frozenset[str]] = field(init=False, repr=False, default_factory=dict)
    _day_full: dict[int, int] = field(init=False, repr=False, default_factory=dict)
    _hands: dict[tuple[int, int], tuple[int, ...]] = field(init=False, repr=False, default_factory=dict)
    _windows: dict[tuple[int, int], tuple[int, int | None]] = field(init=False, repr=False, default_factory=dict)

    def hands(self, stop: Stop, day: int) -> tuple[int, ...]:
        """The workers who may do the stage on the day, those who can do least else first."""
        known = self._hands.get((day, stop.number))
        if known is None:
            able = [
                (PLENTY if shift.stages is None else len(shift.stages), place)
                for place, shift in enumerate(self.calendar.shifts(day))
                if shift.time and shift.covers(stop.stage, stop.firing)
            ]
            known = self._hands[day, stop.number] = tuple(place for _, place in sorted(able))
        return known

    def day_full(self, stop: Stop) -> int:
        """How many pieces a whole day of the longest shift holds at a stage and the next after it."""
        known = self._day_full.get(stop.number)
        if known is None:
            longest = max((shift.time for worker in self.calendar.workers for shift in worker.by_weekday), default=0)
            most = min((limit for _, limit in stop.limits), default=PLENTY)
            each = stop.each + stop.next_each
            known = self._day_full[stop.number] = min(most, int(longest / each)) if each else most
        return known

    def fired_best(self, place: int) -> frozenset[str]:
        """The forms of which no other kiln holds more in the same firing; ``place`` is the firing's in the list."""
        known = self._fired_best.get(place)
        if known is None:
            firing = self.firings[place]
            others = [other.counts for other in self.firings if other.firing == firing.firing]
            best = {form: max(counts[form] for counts in others) for form in firing.share}
            known = frozenset(form for form in firing.share if firing.counts[form] == best[form])
            self._fired_best[place] = known
        return known

    def window(self, stop: Stop, done: int) -> tuple[int, int | None]:
        """First and last day (None: no last) of the stage after ``stop``, which was done on ``done``."""
        known = self._windows.get((stop.number, done))
        if known is None:
            known = self._windows[stop.number, done] = window(stop.wait, done, self.factors)
        return known

    def last_day(self, flow: Flow) -> int | None:
        """The last day on which pieces in progress may go on; None if there is no limit, or none that can be kept as
        it is over before anybody works.
        """
        if flow.latest is None:
            return None
        first = self.calendar.next_work(self.calendar.start)
        return None if first is None or flow.latest < first else flow.latest


def build_shop(job: Job, pieces: pl.DataFrame) -> Shop:
    """The shop of a job whose lines go through the stages as ``pieces`` says.

    A line's pieces to begin come first, then what stands in progress for it.
    """
    route = routes(job.forms, job.stages, job.form_minutes)
    taken = share_in_progress(job.orders, job.forms, route, job.in_progress, job.settings.loss_cover)
    counts = kiln_counts(job.forms, job.firings, job.kilns, job.kiln_fit)
    stops = _stops(job, route)
    factors = drying_factors(job.drying_months)
    turn = {line: place for place, line in enumerate(in_turn(job.orders.with_row_index("line"))["line"])}
    clay = clay_in_time(job, pieces)
    entered = _entered(job.orders, pieces)
    sizes = dict(zip(job.forms["form"], job.forms["bat"], strict=True))
    weights = _weights(job.orders)
    start = job.settings.start.toordinal()
    flows = []
    for line, row in enumerate(job.orders.iter_rows(named=True)):
        way = stops[row["form"]]
        due = NO_DUE if row["due"] is None else row["due"].toordinal()
        chances = [chance for _, chance in way]
        route_of_form = tuple(stop for stop, _ in way)
        shared = {
            "line": line, "turn": turn[line], "form": row["form"], "due": due, "weight": weights[line],
            "route": route_of_form, "bat": sizes[row["form"]],
        }  # fmt: skip
        standing = [_standing(take, job, shared, chances, factors) for take in taken if take.line == line]
        fresh = _fresh(entered[line], standing)
        if fresh[0]:
            at_once, clay_day = clay[line]
            flows.append(
                Flow(**shared, first=0, totals=fresh, ready=start, latest=None, at_once=at_once, clay_day=clay_day)
            )
        flows.extend(flow for flow in standing if flow.first < len(route_of_form))
    firings = tuple(
        Firing(
            row["firing"],
            row["kiln"],
            row["days"],
            round(row["load_minutes"] * HUNDREDTHS),
            round(row["unload_minutes"] * HUNDREDTHS),
            row["least_fill_pct"] / 100,
            {form: counts[row["firing"], row["kiln"], form].pieces for form in job.forms["form"]},
        )
        for row in job.firings.iter_rows(named=True)
    )
    bats = dict(job.bats_and_boards.filter(pl.col("kind") == "bat").select("item", "count").iter_rows())
    limited = bool(bats)
    for _, size, pieces_on in staying_on_bats(taken, job.forms, route, job.in_progress):
        bats[size] = bats.get(size, 0) - pieces_on
    return Shop(
        calendar(job.labour_hours, job.closed_days, job.settings.start),
        tuple(flows),
        firings,
        bats if limited else None,
        factors,
        tuple(job.orders.select(*LINE).iter_rows()),
        last_plan(job.last_schedule, job.orders, _places(stops), start),
    )


def _places(stops: Mapping[str, list[tuple[Stop, float]]]) -> dict[tuple[str, str], tuple[int, str | None]]:
    return {(form, stop.stage): (stop.place, stop.firing) for form, way in stops.items() for stop, _ in way}


def _entered(orders: pl.DataFrame, pieces: pl.DataFrame) -> list[list[int]]:
    """For each line the pieces still to go through each of its stages."""
    places = {key: place for place, key in enumerate(orders.select(*LINE).iter_rows())}
    found: list[list[int]] = [[] for _ in places]
    for *key, entered, done in pieces.sort("step").select(*LINE, "pieces_in", "already_done").iter_rows():
        found[places[tuple(key)]].append(entered - done)
    return found


def _fresh(entered: list[int], standing: list[Flow]) -> tuple[int, ...]:
    """The pieces to begin and how many of them enter each stage: all that enter, less those in progress."""
    totals: list[int] = []
    for place, number in enumerate(entered):
        own = number - sum(flow.totals[place] for flow in standing if flow.first <= place)
        totals.append(max(0, min([own, *totals[-1:]])))
    return tuple(totals)


def _stops(job: Job, route: pl.DataFrame) -> dict[str, list[tuple[Stop, float]]]:
    """Each form's stages with the chance of a piece to come through."""
    route = route.with_columns(each=minutes_a_piece(job.settings.spare_clay_pct))
    fired = days_of_firings(job.firings)
    found: dict[str, list[tuple[Stop, float]]] = {}
    number = 0
    for form, rows in route.group_by("form", maintain_order=True):
        way: list[tuple[Stop, float]] = []
        tail = 0
        steps = list(rows.with_row_index("place").iter_rows(named=True))
        for row in reversed(steps):
            days = None if row["firing"] is None else fired[row["firing"]]
            wait = Wait(row["wait_days"], row["wait_days_max"], days)
            if row["place"] + 1 < len(steps):
                tail += wait.least + (days or 0)
            elif days:
                tail += days
            limits = []
            if row["most_per_day"] is not None:
                limits.append((f"{row['method']}\n{row['stage']}", row["most_per_day"]))
            if row["form_most_per_day"] is not None:
                limits.append((f"{row['method']}\n{row['stage']}\n{row['form']}", row["form_most_per_day"]))
            number += 1
            stop = Stop(
                number, row["place"], row["step"], row["stage"], row["form"], round(row["each"] * HUNDREDTHS, 6),
                way[-1][0].each if way else 0.0, round(row["setup_minutes"] * HUNDREDTHS), wait, row["bat"],
                row["firing"], tuple(limits), tail,
            )  # fmt: skip
            way.append((stop, 1 - row["loss_pct"] / 100))
        found[str(form[0])] = way[::-1]
    return found


def _standing(
    take: Taken, job: Job, shared: dict[str, object], chances: list[float], factors: Mapping[int, float]
) -> Flow:
    """The flow of pieces in progress; their next stage's window counts from the date in the sheet."""
    done = take.done
    route: tuple[Stop, ...] = shared["route"]  # type: ignore[assignment]  # one mapping holds fields of many types
    since = job.in_progress["date"][take.standing].toordinal()
    first, last = window(route[done].wait, since, factors)
    totals = (*(take.pieces for _ in range(done + 1)), *entering(take.pieces, chances[done + 1 :])[:-1])
    start = job.settings.start.toordinal()
    return Flow(
        **shared,  # type: ignore[arg-type]  # one mapping holds fields of many types
        first=done + 1,
        totals=totals,
        ready=max(first, start),
        latest=last,
        standing=take.standing,
    )


def _weights(orders: pl.DataFrame) -> list[float]:
    """How much a piece's late day counts: priority 1 counts once, 2 half, 3 a third; a blank one follows the last."""
    last = orders["priority"].max()
    blank = 1 + (last if isinstance(last, int) else 0)
    return [1 / (blank if priority is None else priority) for priority in orders["priority"]]
