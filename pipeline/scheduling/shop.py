"""The shop: what is to be made, by which route, with which hands, bats and kilns, as plain data for the scheduler."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from math import lcm

from pipeline.calendar import Calendar
from pipeline.scheduling.last_plan import LastPlan
from pipeline.waits import Wait, window

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

    def fitting(self, time: int, done: int, most: int) -> int:
        """How many pieces more, up to ``most``, fit into the time, so many being done on the day already."""
        each = self.each
        # The day's time is rounded once, so what is done already counts.
        time += int(done * each + 0.5)
        if int((done + most) * each + 0.5) <= time:
            return most
        pieces = int((time + 1) / each) + 1 - done
        while pieces and int((done + pieces) * each + 0.5) > time:
            pieces -= 1
        return pieces


@dataclass(frozen=True, slots=True)
class Flow:
    """Pieces of one line that go the same way: those still to begin, or some that already stand in the studio.

    ``totals[k]`` is how many of them enter the route's k-th stage, for every stage from ``first`` on; ``ready`` and
    ``latest`` are the window of that first stage (``latest`` None: no limit). ``at_once`` is how many there is clay
    for before ``clay_day``; ``supplied`` has, by the place of a stage that takes what is still to be bought, how many
    there is enough of it for before it comes, and that day. Those in progress have ``standing``, their place in
    ``in_progress``.
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
    supplied: Mapping[int, tuple[int, int]] = field(default_factory=dict)
    linked: tuple[bool, ...] = field(init=False, repr=False)
    tied: tuple[bool, ...] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Works out once which stages' next has to be settled with them: a window closes, or a bat is tied up
        (``linked``); and of those the ones that are not only a long window before a firing (``tied``).
        """
        last = len(self.route) - 1
        on_bats = [self.on_bats_after(place) for place in range(len(self.route))]
        linked = tuple(
            place < last and (stop.wait.most is not None or on_bats[place]) for place, stop in enumerate(self.route)
        )
        tied = tuple(
            together and (on_bats[place] or stop.wait.most is None or not self._waits_long_for_kiln(place, stop.wait))
            for place, (stop, together) in enumerate(zip(self.route, linked, strict=True))
        )
        object.__setattr__(self, "linked", linked)
        object.__setattr__(self, "tied", tied)

    def supplied_on(self, place: int, day: int) -> int:
        """How many of the pieces that enter a stage there is enough for on a day, of what it takes."""
        enough, comes = self.supplied.get(place, (PLENTY, day))
        return PLENTY if day >= comes else enough

    def lacks_supplies(self, day: int) -> bool:
        """Whether something that a stage of it takes has still to come on a day."""
        return any(day < comes for _, comes in self.supplied.values())

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
        return next((stop.bat for stop in reversed(self.route[: place + 1]) if stop.bat), None) == "on"

    def comes_off_first(self, place: int) -> bool:
        """Whether pieces in progress come off the bats that they stood on when the plan began at the stage: they go
        onto none before it.
        """
        before = self.route[self.first : place]
        return self.standing is not None and self.on_bats_after(self.first - 1) and not any(stop.bat for stop in before)


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


@dataclass(frozen=True, slots=True)
class Burning:
    """A load that is in its kiln when the plan begins, until it is unloaded on a day with work. ``inside``: of the
    lines' pieces in it the way on from the firing; nobody else's are told.
    """

    firing: Firing
    until: int
    inside: tuple[Flow, ...]

    @property
    def stops(self) -> tuple[Stop, ...]:
        """The firing as a stage of each of them."""
        return tuple(flow.route[flow.first - 1] for flow in self.inside)


@dataclass(frozen=True)
class Shop:
    """Everything the scheduler knows. ``bats`` are those owned, less those that pieces no line takes stand on for good,
    by size; None: as many as it takes. ``short`` are places in ``in_progress`` of pieces whose window is too short for
    them all.
    """

    calendar: Calendar
    flows: tuple[Flow, ...]
    firings: tuple[Firing, ...]
    bats: Mapping[str, int] | None
    factors: Mapping[int, float]
    lines: tuple[tuple[str, str, str | None], ...] = field(default=())
    last: LastPlan = field(default_factory=LastPlan)
    burning: tuple[Burning, ...] = ()
    short: frozenset[int] = frozenset()
    alike: tuple[int, ...] = field(init=False, repr=False)
    _fired_best: dict[int, frozenset[str]] = field(init=False, repr=False, compare=False, default_factory=dict)
    _day_full: dict[int, int] = field(init=False, repr=False, compare=False, default_factory=dict)
    _hands: dict[int, dict[int, tuple[int, ...]]] = field(init=False, repr=False, compare=False, default_factory=dict)
    _windows: dict[tuple[int, int], tuple[int, int | None]] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        """Works out once of each firing the first that is the same in another kiln, or itself (``alike``)."""
        kilnless = [replace(firing, kiln="") for firing in self.firings]
        object.__setattr__(self, "alike", tuple(kilnless.index(firing) for firing in kilnless))

    def hands(self, stop: Stop, day: int) -> tuple[int, ...]:
        """The workers who may do the stage on the day, those who can do least else first."""
        on_day = self.hands_on(day)
        known = on_day.get(stop.number)
        if known is None:
            able = [
                (PLENTY if shift.stages is None else len(shift.stages), place)
                for place, shift in enumerate(self.calendar.shifts(day))
                if shift.time and shift.covers(stop.stage, stop.firing)
            ]
            known = on_day[stop.number] = tuple(place for _, place in sorted(able))
        return known

    def hands_on(self, day: int) -> dict[int, tuple[int, ...]]:
        """The answers of ``hands`` for a day so far, by the number of the stage."""
        known = self._hands.get(day)
        if known is None:
            known = self._hands[day] = {}
        return known

    def day_full(self, flow: Flow, place: int) -> int:
        """How many pieces a whole day of the longest shift holds at a stage and the next after it; on bats no more
        than there are.
        """
        stop = flow.route[place]
        known = self._day_full.get(stop.number)
        if known is None:
            longest = max((shift.time for worker in self.calendar.workers for shift in worker.by_weekday), default=0)
            most = min((limit for _, limit in stop.limits), default=PLENTY)
            if stop.bat == "on" and flow.bat is not None and self.bats is not None:
                most = min(most, self.bats.get(flow.bat, 0))
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

    @property
    def all_are_best(self) -> bool:
        """Whether no kiln holds more of any form than another in the same firing."""
        return all(self.fired_best(place) == firing.share.keys() for place, firing in enumerate(self.firings))

    def window(self, stop: Stop, done: int) -> tuple[int, int | None]:
        """First and last day (None: no last) of the stage after ``stop``, which was done on ``done``."""
        known = self._windows.get((stop.number, done))
        if known is None:
            known = self._windows[stop.number, done] = window(stop.wait, done, self.factors)
        return known

    def last_day(self, flow: Flow) -> int | None:
        """The last day on which pieces in progress may go on; None if there is no limit, or none that can be kept as
        it is over before anybody works, or too short for them all.
        """
        if flow.latest is None or flow.standing in self.short:
            return None
        first = self.calendar.next_work(self.calendar.start)
        return None if first is None or flow.latest < first else flow.latest
