"""The lateness that what still waits is sure to have, kept as sums while lots come and go."""

from __future__ import annotations

from heapq import heappop, heappush

from pipeline.scheduling.chain import Lot
from pipeline.scheduling.shop import NO_DUE

Late = tuple[int, int, int]
"""A late lot: the pieces of it that reach the last stage at least, and the days that they are late: so many, and as
many more a day (1, or 0 for a lot that is not ready yet)."""


class Overdue:
    """The lots that are late by their own days alone, and how much that makes together.

    Of each weight there is a sum of pieces x days in whole numbers, so that nothing is added up anew every day.
    """

    def __init__(self) -> None:
        # By the first day after which a lot is late; and late lots by the day on which they are ready.
        self._in_time: list[tuple[int, int, Lot]] = []
        self._not_ready: list[tuple[int, int, Lot]] = []
        self._late: dict[int, Late] = {}
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
        if id(lot) in self._late:
            _, days, growing = self._late[id(lot)]
            self._put(lot, days, growing)

    def lateness(self, day: int) -> float:
        """The least lateness of what waits, if it goes on after the day and meets no other wait than its own.

        Days have to be asked about in their order.
        """
        while self._in_time and self._in_time[0][0] <= day:
            _, count, lot = heappop(self._in_time)
            if lot.first < lot.last:
                heappush(self._not_ready, (lot.ready, count, lot))
                self._put(lot, lot.ready + lot.flow.route[lot.place].tail - lot.flow.due, 0)
        while self._not_ready and self._not_ready[0][0] <= day + 1:
            lot = heappop(self._not_ready)[2]
            if lot.first < lot.last:
                self._put(lot, lot.flow.route[lot.place].tail - lot.flow.due, 1)
        return sum(weight * (days + growing * (day + 1)) for weight, (days, growing) in self._sums.items())

    def _put(self, lot: Lot, days: int, growing: int) -> None:
        """Puts what is left of a lot into the sums, in the place of what was of it before."""
        flow, place = lot.flow, lot.place
        sums = self._sums.setdefault(flow.weight, [0, 0])
        before, days_before, growing_before = self._late.pop(id(lot), (0, 0, 0))
        pieces = 0
        if lot.first < lot.last:
            # Of the pieces that enter the stage so many reach the last at least, each stage rounding once.
            rounded = len(flow.route) - 1 - place
            pieces = max(0, (lot.last - lot.first) * flow.totals[-1] // flow.totals[place] - rounded)
            self._late[id(lot)] = pieces, days, growing
        sums[0] += pieces * days - before * days_before
        sums[1] += pieces * growing - before * growing_before
