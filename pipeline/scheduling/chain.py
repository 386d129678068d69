"""Stages that have to be settled together: a window closes after them, or a bat is tied up until the next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from pipeline.scheduling.kilns import Kilns, Load, Placement
from pipeline.scheduling.ledger import Ledger
from pipeline.scheduling.shop import NO_DUE, Flow, Shop

LONGEST_ON_BATS = 30
"""Days that a piece may wait on its bat where its stage gives no limit."""

Path = list[tuple[int, int]]
"""(place on the route, day) of each stage of a chain."""


@dataclass(slots=True)
class Lot:
    """Pieces ``first`` up to ``last`` of a flow, counted at the stage that comes next, and when that may be done: from
    ``ready`` on, up to ``latest`` (None: no limit).
    """

    flow: Flow
    place: int
    first: int
    last: int
    ready: int
    latest: int | None
    born: int | None

    def as_supplied(self) -> list[Lot]:
        """The lot, or in two: those that there is enough for of what the stage takes, and those that wait for it."""
        enough, comes = self.flow.supplied.get(self.place, (self.last, self.ready))
        if comes <= self.ready or enough >= self.last:
            return [self]
        later = replace(self, first=max(self.first, enough), ready=comes)
        return [later] if enough <= self.first else [replace(self, last=enough), later]

    @property
    def go_on_by(self) -> int:
        """The last day on which it can go on to be in time, if it meets no other wait, and in its window."""
        in_time = NO_DUE if self.flow.due == NO_DUE else self.flow.due - self.flow.route[self.place].tail
        return in_time if self.latest is None else min(in_time, self.latest)


@dataclass
class Chain:
    """Finds days for a chain of stages, and books them; ``tries`` counts the lots it was asked for.

    Unless ``strict``, pieces that may wait long for a kiln are not settled with it. Days ``kept`` (by line and place of
    the stage, with the pieces that each is kept for) are tried before others; if ``as_kept``, they have no more pieces
    than that, the first that has room is taken, and others only if none has.
    """

    shop: Shop
    ledger: Ledger
    kilns: Kilns
    strict: bool
    placed: list[Placement] = field(default_factory=list)
    tries: int = 0
    kept: Mapping[tuple[int, int], Mapping[int, int]] = field(default_factory=dict)
    as_kept: bool = False
    _reached: dict[tuple[int, int, int, int], tuple[int, Path] | None] = field(default_factory=dict)

    def begin(self, lot: Lot, day: int, last: int, least: int) -> tuple[int, Lot | None]:
        """Works the lot from ``day`` on, pieces up to ``last``, as many as there is room for, if at least ``least``.

        Gives how many were begun, and what goes on after the chain's last stage. If there was room for fewer than
        ``least``, none is begun, and the number is that room, below nought.
        """
        self.tries += 1
        self._reached.clear()
        mark = self._mark()
        found = self._search(lot.flow, lot.place, day, lot.first, last)
        if found is None:
            return 0, None
        reached, path = found
        if reached - lot.first < least:
            return lot.first - reached, None
        onward = self._book(lot, path, reached)
        if onward is None:
            # Stages of the chain that fall on one day share its hands, which the search counts one by one.
            reached = self._most(lot, path, lot.first, reached - 1)
            onward = self._book(lot, path, reached) if reached > lot.first else None
        if onward is None or reached - lot.first < least:
            self._undo(mark)
            return lot.first - reached, None
        return reached - lot.first, onward[0] if onward else None

    def _most(self, lot: Lot, path: Path, low: int, high: int) -> int:
        """The most pieces that the path can be booked for, between ``low`` (surely) and ``high``."""
        while low < high:
            middle = (low + high + 1) // 2
            mark = self._mark()
            booked = self._book(lot, path, middle) is not None
            self._undo(mark)
            low, high = (middle, high) if booked else (low, middle - 1)
        return low

    def _reach(self, flow: Flow, place: int, day: int, first: int, last: int) -> tuple[int, Path] | None:
        """The most pieces that can be begun on ``day`` with all linked stages after it, and on which days.

        Many days of one stage lead to the same days of the next, and all is tried before anything is booked: so what
        was found once is kept, or a few wide windows in a row would take for ever.
        """
        key = (place, day, first, last)
        if key in self._reached:
            return self._reached[key]
        found = self._reached[key] = self._search(flow, place, day, first, last)
        return found

    def _search(self, flow: Flow, place: int, day: int, first: int, last: int) -> tuple[int, Path] | None:
        if not self.shop.calendar.works(day):
            return None
        stop = flow.route[place]
        done = day
        if flow.supplied:
            last = min(last, flow.supplied_on(place, day))
            if last <= first:
                return None
        if stop.firing is None:
            last = first + self.ledger.room(stop, day, last - first)
        else:
            kiln, most = self.kilns.choice(flow, stop, day)
            if kiln is None:
                return None
            done = kiln.unload_on if isinstance(kiln, Load) else self.kilns.unload_day(kiln, day) or day
            last = min(last, first + most)
        if last <= first:
            return None
        if not (flow.linked if self.strict else flow.tied)[place]:
            return last, [(place, day)]
        best: tuple[int, Path] | None = None
        opens, closes = self.shop.window(stop, done)
        low, high = flow.onward(place, first), flow.onward(place, last)
        if low == high:
            return last, [(place, day)]
        days: Iterable[int] = range(opens, (opens + LONGEST_ON_BATS if closes is None else closes) + 1)
        kept = self.kept.get((flow.line, place + 1), {})
        if kept:
            days = sorted(days, key=lambda later: later not in kept)
        for later in days:
            if best and self.as_kept and kept:
                break
            # A later day takes the bats for longer, so it cannot do better than the bats free until then.
            if best and stop.bat == "on" and first + self.ledger.bats_free(flow.bat, day, later) <= best[0]:
                break
            most = min(high, low + kept[later]) if self.as_kept and later in kept else high
            found = self._reach(flow, place + 1, later, low, most)
            if found is None:
                continue
            reached = min(last, flow.back(place, found[0]))
            path = [(place, day), *found[1]]
            if stop.bat == "on":
                reached = min(reached, first + self.ledger.bats_free(flow.bat, day, _off_day(flow, path)))
            if reached > first and (best is None or reached > best[0]):
                best = (reached, path)
                if reached == last or reached >= self._most_on_a_path(flow, place, first, last):
                    break
        return best

    def _most_on_a_path(self, flow: Flow, place: int, first: int, last: int) -> int:
        """As many of the pieces from ``first`` up to ``last`` as the most pieces a day of this stage and of all linked
        after it allow, each on one day: where they are reached no other days need be tried for more.
        """
        most = min([last, *(first + limit for _, limit in flow.route[place].limits)])
        if not (flow.linked if self.strict else flow.tied)[place]:
            return most
        after = self._most_on_a_path(flow, place + 1, flow.onward(place, first), flow.onward(place, most))
        return min(most, flow.back(place, after))

    def _book(self, lot: Lot, path: Path, last: int) -> list[Lot] | None:
        """Books the path for pieces up to ``last``; gives what goes on after it, if anything does; None if it fails."""
        flow, first, born = lot.flow, lot.first, lot.born
        if born is None and flow.standing is None:
            born = path[0][1]
        mark = self._mark()
        for place, day in path:
            if first == last:
                return []
            stop = flow.route[place]
            load: Load | None = None
            done = day
            if stop.firing is None:
                shares = self.ledger.book(stop, day, last - first)
            else:
                kiln, _ = self.kilns.choice(flow, stop, day)
                load = kiln if isinstance(kiln, Load) or kiln is None else self.kilns.open(kiln, stop, day)
                shares = None if load is None else self.kilns.put(load, flow, stop, last - first)
                done = day if load is None else load.unload_on
            if shares is None or not (stop.bat is None or self._bats(flow, place, path, last - first)):
                self._undo(mark)
                return None
            self.placed.append(Placement(flow, place, day, first, last, born, shares, load))
            after = place + 1
            if after == len(flow.route):
                return []
            first, last = flow.onward(place, first), flow.onward(place, last)
        if first == last:
            return []
        opens, closes = self.shop.window(stop, done)
        return [Lot(flow, after, first, last, opens, closes, born)]

    def _mark(self) -> tuple[int, int]:
        """The present state of the books and of what is placed, for ``_undo``."""
        return self.ledger.mark(), len(self.placed)

    def _undo(self, mark: tuple[int, int]) -> None:
        """Takes back everything booked and placed since the mark."""
        booked, placed = mark
        self.ledger.undo(booked)
        del self.placed[placed:]

    def _bats(self, flow: Flow, place: int, path: Path, pieces: int) -> bool:
        """Books the bats of an `on` stage until its `off` stage. Pieces in progress that stand on bats when the plan
        begins hold theirs from its first day until they come off."""
        if flow.bat is None:
            return True
        mark = flow.route[place].bat
        if mark == "on":
            return self.ledger.book_bats(flow.bat, path[place - path[0][0]][1], _off_day(flow, path), pieces)
        if mark == "off" and path[0][0] == flow.first and flow.comes_off_first(place):
            self.ledger.hold_bats(flow.bat, self.shop.calendar.start, path[place - path[0][0]][1], pieces)
        return True


def _off_day(flow: Flow, path: Path) -> int:
    """The day on which a path takes its pieces off their bats."""
    for place, day in path:
        if flow.route[place].bat == "off":
            return day
    return path[-1][1]
