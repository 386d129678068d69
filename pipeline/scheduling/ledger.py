"""What is still free on each day: working time, daily limits, bats."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from pipeline.scheduling.shop import PLENTY, Shop, Stop


@dataclass(frozen=True, slots=True)
class Share:
    """What one worker does of a stage on a day (worker None: it takes no time). ``setup``: the set-up is in it."""

    worker: int | None
    pieces: int
    time: int
    setup: bool


@dataclass
class Ledger:
    """The books of the shop's days. Every booking can be taken back: see ``mark`` and ``undo``.

    ``left``: free time by day and worker; ``used``: pieces by limit and day; ``bats``: bats in use by size and night;
    ``worked``: pieces by day, stage and form, for the set-up and for rounding the day's time once.
    """

    shop: Shop
    left: dict[int, list[int]] = field(default_factory=dict)
    used: dict[tuple[str, int], int] = field(default_factory=dict)
    bats: dict[tuple[str, int], int] = field(default_factory=dict)
    worked: dict[tuple[int, str, str], int] = field(default_factory=dict)
    _hands: dict[tuple[int, str, str | None], list[int]] = field(default_factory=dict)
    _undo: list[Callable[[], Any]] = field(default_factory=list)

    def mark(self) -> int:
        """The present state, for ``undo``."""
        return len(self._undo)

    def undo(self, mark: int) -> None:
        """Takes back everything booked since the mark."""
        while len(self._undo) > mark:
            self._undo.pop()()

    def on_undo(self, take_back: Callable[[], Any]) -> None:
        """Something else to be taken back with the bookings since."""
        self._undo.append(take_back)

    def time_left(self, day: int) -> list[int]:
        """Each worker's free time on the day."""
        free = self.left.get(day)
        if free is None:
            free = self.left[day] = [shift.time for shift in self.shop.calendar.shifts(day)]
        return free

    def hands(self, stop: Stop, day: int) -> list[int]:
        """The workers who may do the stage on the day, those who can do least else first."""
        known = self._hands.get((day, stop.stage, stop.firing))
        if known is None:
            able = [
                (PLENTY if shift.stages is None else len(shift.stages), place)
                for place, shift in enumerate(self.shop.calendar.shifts(day))
                if shift.covers(stop.stage, stop.firing)
            ]
            known = self._hands[day, stop.stage, stop.firing] = [place for _, place in sorted(able)]
        return known

    def room(self, stop: Stop, day: int) -> int:
        """The most pieces that the stage has hands and daily limits for on the day."""
        most = PLENTY
        for name, limit in stop.limits:
            most = min(most, limit - self.used.get((name, day), 0))
        done = self.worked.get((day, stop.stage, stop.form), 0)
        setup = 0 if done else stop.setup
        if not stop.each and not setup:
            return most
        free = self.time_left(day)
        pieces = 0
        for place in self.hands(stop, day):
            time = free[place] - setup
            if time < 0:
                continue
            setup = 0
            pieces += stop.fitting(time, done + pieces)
        return min(most, pieces)

    def book(self, stop: Stop, day: int, pieces: int) -> list[Share] | None:
        """Books hands and limits for so many pieces; None, and nothing booked, if there is no room for them."""
        mark = self.mark()
        for name, limit in stop.limits:
            if self.used.get((name, day), 0) + pieces > limit:
                self.undo(mark)
                return None
            self._add(self.used, (name, day), pieces)
        done = self.worked.get((day, stop.stage, stop.form), 0)
        setup = 0 if done else stop.setup
        if not stop.each and not setup:
            return [Share(None, pieces, 0, setup=False)]
        free = self.time_left(day)
        shares, rest = [], pieces
        for place in self.hands(stop, day):
            time = free[place] - setup
            if time < 0 or not rest:
                continue
            some = min(rest, stop.fitting(time, done))
            if not some:
                continue
            taken = stop.time(done + some) - stop.time(done) + setup
            shares.append(Share(place, some, taken, setup=setup > 0))
            self.spend(day, place, taken)
            self._add(self.worked, (day, stop.stage, stop.form), some)
            rest -= some
            done += some
            setup = 0
        if rest:
            self.undo(mark)
            return None
        return shares

    def spend(self, day: int, worker: int, time: int) -> None:
        """Books a worker's time."""
        free = self.time_left(day)
        free[worker] -= time
        self._undo.append(lambda: free.__setitem__(worker, free[worker] + time))

    def book_time(self, stop: Stop, day: int, time: int) -> list[tuple[int, int]] | None:
        """Books time of the stage that goes by no piece, with one worker if one has it; None if there is not enough."""
        if not time:
            return []
        free = self.time_left(day)
        hands = self.hands(stop, day)
        alone = next((place for place in hands if free[place] >= time), None)
        if alone is not None:
            self.spend(day, alone, time)
            return [(alone, time)]
        if sum(free[place] for place in hands) < time:
            return None
        parts = []
        for place in hands:
            some = min(free[place], time)
            if some:
                self.spend(day, place, some)
                parts.append((place, some))
                time -= some
        return parts

    def bats_free(self, size: str | None, first: int, last: int) -> int:
        """Bats of the size free on every night from ``first`` up to the night before ``last``."""
        if size is None or self.shop.bats is None:
            return PLENTY
        owned = self.shop.bats.get(size, 0)
        return min((owned - self.bats.get((size, night), 0) for night in range(first, last)), default=PLENTY)

    def book_bats(self, size: str | None, first: int, last: int, pieces: int) -> bool:
        """Books a bat a piece for those nights; False, and nothing booked, if there are not as many."""
        if size is None or self.shop.bats is None:
            return True
        if self.bats_free(size, first, last) < pieces:
            return False
        for night in range(first, last):
            self._add(self.bats, (size, night), pieces)
        return True

    def hold_bats(self, size: str, first: int, last: int, pieces: int) -> None:
        """Books bats that pieces stand on already, whether or not there are as many."""
        for night in range(first, last):
            self._add(self.bats, (size, night), pieces)

    def _add(self, book: dict[Any, int], key: object, number: int) -> None:
        self._put(book, key, book.get(key, 0) + number)

    def _put(self, book: dict[Any, Any], key: object, value: object) -> None:
        missing = key not in book
        before = book.get(key)
        book[key] = value
        self._undo.append((lambda: book.pop(key)) if missing else (lambda: book.__setitem__(key, before)))
