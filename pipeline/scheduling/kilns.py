"""The kiln loads: what goes in together, when, and who loads and unloads."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from pipeline.scheduling.ledger import Ledger, Share
from pipeline.scheduling.shop import Firing, Flow, Shop


@dataclass(frozen=True, slots=True)
class Placement:
    """Pieces ``first`` up to ``last`` (counted among those that enter the stage) worked, or loaded, on a day.

    ``born`` is the day on which the pieces were begun, which makes them one batch; None for pieces in progress.
    """

    flow: Flow
    place: int
    day: int
    first: int
    last: int
    born: int | None
    shares: tuple[Share, ...]
    load: Load | None = None

    @property
    def pieces(self) -> int:
        """How many pieces."""
        return self.last - self.first


@dataclass(eq=False, slots=True)
class Load:
    """One filled kiln. ``loading`` and ``unloading`` are (worker, time) of the load as a whole."""

    firing: Firing
    load_on: int
    unload_on: int
    loading: list[tuple[int, int]]
    unloading: list[tuple[int, int]]
    room: Fraction = Fraction(1)


@dataclass
class Kilns:
    """The loads of all kilns, booked with hands in the ledger."""

    shop: Shop
    ledger: Ledger
    loads: list[Load] = field(default_factory=list)

    def unload_day(self, firing: Firing, day: int) -> int | None:
        """The day of unloading what is loaded on ``day``: the first with work when the firing is over."""
        return self.shop.calendar.next_work(day + firing.days)

    def is_free(self, kiln: str, day: int, until: int) -> bool:
        """Whether the kiln holds nothing from ``day`` up to the day before ``until``."""
        return all(load.unload_on <= day or until <= load.load_on for load in self.loads if load.firing.kiln == kiln)

    def open(self, firing: Firing, flow: Flow, place: int, day: int) -> Load | None:
        """A new load, with the hands to load and unload it; None if kiln or hands are not free."""
        until = self.unload_day(firing, day)
        if until is None or not self.shop.calendar.works(day) or not self.is_free(firing.kiln, day, until):
            return None
        mark = self.ledger.mark()
        stop = flow.route[place]
        loading = self.ledger.book_time(stop, day, firing.load_time)
        unloading = None if loading is None else self.ledger.book_time(stop, until, firing.unload_time)
        if loading is None or unloading is None:
            self.ledger.undo(mark)
            return None
        load = Load(firing, day, until, loading, unloading)
        self.loads.append(load)
        self.ledger.on_undo(lambda: self.loads.remove(load))
        return load

    def fits(self, load: Load, flow: Flow, place: int) -> int:
        """The most pieces of the flow that still go into the load."""
        stop = flow.route[place]
        for day, booked in ((load.load_on, load.loading), (load.unload_on, load.unloading)):
            shifts = self.shop.calendar.shifts(day)
            if not all(shifts[worker].covers(stop.stage, stop.firing) for worker, _ in booked):
                return 0
        count = load.firing.counts[flow.form]
        return min(int(load.room * count), self.ledger.room(stop, load.load_on))

    def put(self, load: Load, flow: Flow, place: int, pieces: int) -> tuple[Share, ...] | None:
        """Puts pieces into the load; None, and nothing changed, if hands or room are wanting."""
        taken = Fraction(pieces, load.firing.counts[flow.form])
        if taken > load.room:
            return None
        shares = self.ledger.book(flow.route[place], load.load_on, pieces)
        if shares is None:
            return None
        load.room -= taken
        self.ledger.on_undo(lambda: setattr(load, "room", load.room + taken))
        return tuple(shares)

    def of(self, name: str) -> list[Firing]:
        """The kilns in which a firing can be done."""
        return [firing for firing in self.shop.firings if firing.firing == name]

    def choice(self, flow: Flow, place: int, day: int) -> tuple[Firing | Load | None, int]:
        """The load of the day with most room for the flow, or else a kiln to fire for it, and for how many pieces."""
        name = flow.route[place].firing
        best: Firing | Load | None = None
        most = 0
        for load in self.loads:
            if load.load_on == day and load.firing.firing == name:
                room = self.fits(load, flow, place)
                if room > most:
                    best, most = load, room
        if best is not None:
            return best, most
        for firing in self.of(name or ""):
            mark = self.ledger.mark()
            fresh = self.open(firing, flow, place, day)
            if fresh is not None:
                room = self.fits(fresh, flow, place)
                if room > most:
                    best, most = firing, room
            self.ledger.undo(mark)
        return best, most
