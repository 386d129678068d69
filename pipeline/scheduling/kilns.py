"""The kiln loads: what goes in together, when, and who loads and unloads."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from pipeline.scheduling.ledger import Ledger, Share
from pipeline.scheduling.shop import PLENTY, Burning, Firing, Flow, Shop, Stop


class Placement(NamedTuple):
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

    @property
    def finished(self) -> int:
        """The day on which what was placed is done: that of unloading, for a firing."""
        return self.day if self.load is None else self.load.unload_on


@dataclass(eq=False, slots=True)
class Load:
    """One filled kiln. ``loading`` and ``unloading`` are (worker, time) of the load as a whole; ``room`` is what is
    left of the firing's parts.
    """

    firing: Firing
    load_on: int
    unload_on: int
    loading: list[tuple[int, int]]
    unloading: list[tuple[int, int]]
    room: int


@dataclass
class Kilns:
    """The loads of all kilns, booked with hands in the ledger.

    ``taken``: the load by kiln and day, from loading to the day before unloading; ``by_day``: loads by firing and day;
    ``filling``: the load that is being filled, which pieces for its firing and day go into and no other; ``burning``:
    the loads that were in a kiln before.
    """

    shop: Shop
    ledger: Ledger
    loads: list[Load] = field(default_factory=list)
    taken: set[tuple[str, int]] = field(default_factory=set)
    by_day: dict[tuple[str, int], list[Load]] = field(default_factory=dict)
    filling: Load | None = None
    burning: list[tuple[Load, Burning]] = field(default_factory=list)

    def unload_burning(self) -> bool:
        """Takes over what is in the kilns when the plan begins, with the hands to unload it; False if nobody may work
        long enough for it.

        Whoever unloads has to be one who may unload all of it, if there is one; it comes out in any case.
        """
        start = self.shop.calendar.start
        for burning in self.shop.burning:
            firing, until = burning.firing, burning.until
            self.taken.update((firing.kiln, night) for night in range(start, until))
            if not burning.inside:
                continue
            stop = min(burning.stops, key=lambda stop: len(self.shop.hands(stop, until)))
            hands = self.ledger.book_time(stop, until, firing.unload_time)
            if hands is None and self.ledger.longest < PLENTY:
                return False
            self.burning.append((Load(firing, start - 1, until, [], hands or [], 0), burning))
        return True

    def unload_day(self, firing: Firing, day: int) -> int | None:
        """The day of unloading what is loaded on ``day``: the first with work when the firing is over."""
        return self.shop.calendar.next_work(day + firing.days)

    def is_free(self, kiln: str, day: int, until: int) -> bool:
        """Whether the kiln holds nothing from ``day`` up to the day before ``until``."""
        return self.taken.isdisjoint([(kiln, night) for night in range(day, until)])

    def open(self, firing: Firing, stop: Stop, day: int) -> Load | None:
        """A new load, with the hands to load and unload it; None if kiln or hands are not free."""
        until = self.unload_day(firing, day)
        if until is None or not self.shop.calendar.works(day) or not self.is_free(firing.kiln, day, until):
            return None
        mark = self.ledger.mark()
        loading = self.ledger.book_time(stop, day, firing.load_time)
        unloading = None if loading is None else self.ledger.book_time(stop, until, firing.unload_time)
        if loading is None or unloading is None:
            self.ledger.undo(mark)
            return None
        load = Load(firing, day, until, loading, unloading, firing.parts)
        self.loads.append(load)
        self.by_day.setdefault((firing.firing, day), []).append(load)
        nights = [(firing.kiln, night) for night in range(day, until)]
        self.taken.update(nights)

        def close() -> None:
            # What was booked last is taken back first, so it is the last of each.
            self.loads.pop()
            self.by_day[firing.firing, day].pop()
            self.taken.difference_update(nights)

        self.ledger.on_undo(close)
        return load

    def fits(self, load: Load, flow: Flow, stop: Stop) -> int:
        """The most pieces of the flow that still go into the load."""
        share = load.firing.share.get(flow.form)
        if share is None or load.room < share:
            return 0
        for day, booked in ((load.load_on, load.loading), (load.unload_on, load.unloading)):
            if booked:
                hands = self.shop.hands(stop, day)
                for worker, _ in booked:
                    if worker not in hands:
                        return 0
        return self.ledger.room(stop, load.load_on, load.room // share)

    def put(self, load: Load, flow: Flow, stop: Stop, pieces: int) -> tuple[Share, ...] | None:
        """Puts pieces into the load; None, and nothing changed, if hands or room are wanting."""
        taken = pieces * load.firing.share[flow.form]
        if taken > load.room:
            return None
        shares = self.ledger.book(stop, load.load_on, pieces)
        if shares is None:
            return None
        room = load.room
        load.room = room - taken
        self.ledger.on_undo(lambda: setattr(load, "room", room))
        return shares

    def choice(self, flow: Flow, stop: Stop, day: int) -> tuple[Firing | Load | None, int]:
        """The load of the day with most room for the flow, or else a kiln to fire for it, and for how many pieces.

        Who has one filled has asked before how many pieces go into it.
        """
        only = self.filling
        if only is not None and (only.load_on, only.firing.firing) == (day, stop.firing):
            return only, PLENTY
        best: Firing | Load | None = None
        most = 0
        for load in self.by_day.get((stop.firing or "", day), ()):
            room = self.fits(load, flow, stop)
            if room > most:
                best, most = load, room
        if best is not None:
            return best, most
        for firing in self.shop.firings:
            if firing.firing != stop.firing:
                continue
            mark = self.ledger.mark()
            fresh = self.open(firing, stop, day)
            if fresh is not None:
                room = self.fits(fresh, flow, stop)
                if room > most:
                    best, most = firing, room
            self.ledger.undo(mark)
        return best, most
