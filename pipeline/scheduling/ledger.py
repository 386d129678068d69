"""What is still free on each day: working time, daily limits, bats."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from pipeline.scheduling.shop import PLENTY, Shop, Stop


class Share(NamedTuple):
    """What one worker does of a stage on a day (worker None: it takes no time). ``setup``: the set-up is in it."""

    worker: int | None
    pieces: int
    time: int
    setup: bool


@dataclass(slots=True)
class Day:
    """The books of one day.

    ``left``: each worker's free time; ``used``: pieces by limit; ``worked``: pieces by stop, for the set-up and for
    rounding the day's time once; ``hands``: who may do a stop, as far as the shop has been asked.
    """

    left: list[int]
    hands: dict[int, tuple[int, ...]]
    used: dict[str, int] = field(default_factory=dict)
    worked: dict[int, int] = field(default_factory=dict)


@dataclass
class Ledger:
    """The books of the shop's days. Every booking can be taken back: see ``mark`` and ``undo``.

    Nobody works for more than ``longest`` on a day. ``bats``: bats in use by size and night.
    """

    shop: Shop
    longest: int = PLENTY
    days: dict[int, Day] = field(default_factory=dict)
    bats: dict[str, dict[int, int]] = field(default_factory=dict)
    _undo: list[tuple[Any, Any, Any] | Callable[[], Any]] = field(default_factory=list)

    def mark(self) -> int:
        """The present state, for ``undo``."""
        return len(self._undo)

    def undo(self, mark: int) -> None:
        """Takes back everything booked since the mark."""
        log = self._undo
        while len(log) > mark:
            entry = log.pop()
            if isinstance(entry, tuple):
                book, key, before = entry
                book[key] = before
            else:
                entry()

    def on_undo(self, take_back: Callable[[], Any]) -> None:
        """Something else to be taken back with the bookings since."""
        self._undo.append(take_back)

    def day(self, day: int) -> Day:
        """The books of a day."""
        books = self.days.get(day)
        if books is None:
            left = [shift.time for shift in self.shop.calendar.shifts(day)]
            if self.longest < PLENTY:
                left = [min(time, self.longest) for time in left]
            books = self.days[day] = Day(left, self.shop.hands_on(day))
        return books

    def room(self, stop: Stop, day: int, most: int = PLENTY) -> int:
        """How many pieces, up to ``most``, the stage has hands and daily limits for on the day."""
        books = self.days.get(day) or self.day(day)
        for name, limit in stop.limits:
            most = min(most, limit - books.used.get(name, 0))
        each = stop.each
        done = books.worked.get(stop.number, 0)
        setup = 0 if done else stop.setup
        if most <= 0 or (not each and not setup):
            return most
        free = books.left
        pieces = 0
        for place in books.hands.get(stop.number) or self.shop.hands(stop, day):
            time = free[place] - setup
            if time > 0 or (time == 0 and not each):
                setup = 0
                # Most hands are full most of the time: not one piece fits then, however the day's time is rounded.
                if time + 2 > each:
                    pieces += stop.fitting(time, done + pieces, most - pieces)
                    if pieces >= most:
                        return most
        return pieces

    def book(self, stop: Stop, day: int, pieces: int) -> tuple[Share, ...] | None:
        """Books hands and limits for so many pieces; None, and nothing booked, if there is no room for them."""
        books = self.days.get(day) or self.day(day)
        for name, limit in stop.limits:
            if books.used.get(name, 0) + pieces > limit:
                return None
        each = stop.each
        done = books.worked.get(stop.number, 0)
        setup = 0 if done else stop.setup
        if not each and not setup:
            shares = [Share(None, pieces, 0, False)]
        else:
            mark, shares, rest = len(self._undo), [], pieces
            free = books.left
            for place in books.hands.get(stop.number) or self.shop.hands(stop, day):
                time = free[place] - setup
                if time < 0 or time + 2 <= each:
                    continue
                some = stop.fitting(time, done, rest)
                if not some:
                    continue
                time = stop.time(done + some) - stop.time(done) + setup
                self._take(free, place, time)
                shares.append(Share(place, some, time, setup > 0))
                rest -= some
                done += some
                setup = 0
                if not rest:
                    break
            if rest:
                self.undo(mark)
                return None
            self._add(books.worked, stop.number, pieces)
        for name, _ in stop.limits:
            self._add(books.used, name, pieces)
        return tuple(shares)

    def book_time(self, stop: Stop, day: int, time: int) -> list[tuple[int, int]] | None:
        """Books time of the stage that goes by no piece, with one worker if one has it; None if there is not enough."""
        if not time:
            return []
        free = self.day(day).left
        hands = self.shop.hands(stop, day)
        alone = next((place for place in hands if free[place] >= time), None)
        if alone is not None:
            self._take(free, alone, time)
            return [(alone, time)]
        if sum(free[place] for place in hands) < time:
            return None
        parts = []
        for place in hands:
            some = min(free[place], time)
            if some:
                self._take(free, place, some)
                parts.append((place, some))
                time -= some
        return parts

    def bats_free(self, size: str | None, first: int, last: int) -> int:
        """Bats of the size free on every night from ``first`` up to the night before ``last``."""
        if size is None or self.shop.bats is None:
            return PLENTY
        nights = self.bats.get(size)
        owned = self.shop.bats.get(size, 0)
        if nights is None:
            return owned if first < last else PLENTY
        if last <= first:
            return PLENTY
        return owned - max([nights.get(night, 0) for night in range(first, last)])

    def book_bats(self, size: str | None, first: int, last: int, pieces: int) -> bool:
        """Books a bat a piece for those nights; False, and nothing booked, if there are not as many."""
        if size is None or self.shop.bats is None:
            return True
        if self.bats_free(size, first, last) < pieces:
            return False
        self.hold_bats(size, first, last, pieces)
        return True

    def hold_bats(self, size: str, first: int, last: int, pieces: int) -> None:
        """Books bats that pieces stand on already, whether or not there are as many."""
        nights = self.bats.setdefault(size, {})
        for night in range(first, last):
            self._add(nights, night, pieces)

    def _take(self, free: list[int], place: int, time: int) -> None:
        """Takes from a worker's free time."""
        self._undo.append((free, place, free[place]))
        free[place] -= time

    def _add(self, book: dict[Any, int], key: Any, number: int) -> None:
        """Adds to an entry of a book, in which what is missing is nought."""
        before = book.get(key, 0)
        book[key] = before + number
        self._undo.append((book, key, before))
