"""The lateness that what still waits is sure to have, kept as sums while lots come and go."""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush

from pipeline.scheduling.chain import Lot
from pipeline.scheduling.shop import NO_DUE


@dataclass(slots=True)
class _Late:
    """Of a late lot the sums of its weight, and what it has in them: the pieces of it that reach the last stage at
    least, and the days that they are late: so many, and, once it is ready, a day more every day.
    """

    sums: list[int]
    pieces: int
    days: int
    growing: int


class Overdue:
    """The lots that are late by their own days alone, and how much that makes together.

    Of each weight there are sums of pieces x days, and of pieces of which that grows, in whole numbers, so that nothing
    is added up anew every day.
    """

    def __init__(self) -> None:
        # By the first day after which a lot is late; and late lots by the day on which they are ready.
        self._in_time: list[tuple[int, int, Lot]] = []
        self._not_ready: list[tuple[int, int, Lot]] = []
        self._late: dict[int, _Late] = {}
        self._sums: dict[float, list[int]] = {}
        self._count = 0

    def add(self, lot: Lot) -> None:
        """A lot that waits from now on."""
        if lot.flow.due != NO_DUE:
            self._count += 1
            by = lot.flow.due - lot.flow.route[lot.place].tail
            heappush(self._in_time, (by if lot.ready <= by else 0, self._count, lot))

    def lessen(self, lot: Lot) -> None:
        """Some of a lot, or all of it, goes on."""
        late = self._late.get(id(lot))
        if late is not None:
            gone = late.pieces - _reaching(lot)
            late.pieces -= gone
            late.sums[0] -= gone * late.days
            late.sums[1] -= gone * late.growing
            if lot.first == lot.last:
                del self._late[id(lot)]

    def lateness(self, day: int) -> float:
        """The least lateness of what waits, if it goes on after the day and meets no other wait than its own.

        Days have to be asked about in their order.
        """
        while self._in_time and self._in_time[0][0] <= day:
            _, count, lot = heappop(self._in_time)
            if lot.first < lot.last:
                late = _Late(self._sums.setdefault(lot.flow.weight, [0, 0]), _reaching(lot), _days(lot, lot.ready), 0)
                late.sums[0] += late.pieces * late.days
                self._late[id(lot)] = late
                heappush(self._not_ready, (lot.ready, count, lot))
        while self._not_ready and self._not_ready[0][0] <= day + 1:
            lot = heappop(self._not_ready)[2]
            if lot.first < lot.last:
                late = self._late[id(lot)]
                late.sums[0] += late.pieces * (_days(lot, 0) - late.days)
                late.sums[1] += late.pieces
                late.days, late.growing = _days(lot, 0), 1
        return sum(weight * (days + growing * (day + 1)) for weight, (days, growing) in self._sums.items())


def _reaching(lot: Lot) -> int:
    """Of the pieces that enter the stage so many reach the last at least, each stage rounding once."""
    flow, place = lot.flow, lot.place
    return max(0, (lot.last - lot.first) * flow.totals[-1] // flow.totals[place] - (len(flow.route) - 1 - place))


def _days(lot: Lot, day: int) -> int:
    """The days that a lot is late that goes on on a day."""
    return day + lot.flow.route[lot.place].tail - lot.flow.due
