"""The lots that wait: those that are still to come, and those that stand ready, in their turn."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Iterator, Mapping, Sequence
from heapq import heapify, heappop, heappush

from pipeline.scheduling.chain import Lot
from pipeline.scheduling.shop import PLENTY

Key = tuple[int, int, int, int]
"""What puts a lot before another: the least first."""

Entry = tuple[Key, int, Lot]
"""A lot in its turn; the number between breaks a tie, the first to come first."""

Queue = list[Entry]
"""Lots in their turn."""


class Waiting:
    """Lots by what they wait for: a stage of a form (its number), or a firing (its name).

    ``work_order`` and ``kiln_order`` give of each line its turn, before ordinary stages and before a kiln; None: the
    lots with the fewest days in hand go first.
    """

    def __init__(self, work_order: Sequence[int] | None, kiln_order: Sequence[int] | None) -> None:
        self.work_order = work_order
        self.kiln_order = kiln_order
        self.work: dict[int, Queue] = {}
        self.fire: dict[str, Queue] = {}
        self._coming: list[tuple[int, int, Lot]] = []
        self._count = 0

    def add(self, lot: Lot) -> None:
        """A lot that goes on when it is ready."""
        self._count += 1
        heappush(self._coming, (lot.ready, self._count, lot))

    @property
    def any_coming(self) -> bool:
        """Whether lots are still to come."""
        return bool(self._coming)

    def arrive(self, day: int) -> None:
        """Puts the lots that are ready on the day into their queues."""
        while self._coming and self._coming[0][0] <= day:
            _, count, lot = heappop(self._coming)
            flow = lot.flow
            stop = flow.route[lot.place]
            order = self.work_order if stop.firing is None else self.kiln_order
            first = lot.go_on_by if order is None else order[flow.line]
            if stop.firing is None:
                insort(self.work.setdefault(stop.number, []), ((first, flow.turn, -lot.place, lot.first), count, lot))
            else:
                insort(self.fire.setdefault(stop.firing, []), ((first, -lot.place, flow.turn, lot.first), count, lot))

    def by_turn(self, skipped: set[int], too_large: Mapping[int, int]) -> Iterator[Entry]:
        """The lots before ordinary stages, over all stages in their turn.

        A stage that gets into ``skipped`` meanwhile is passed over from then on, and of one that gets into
        ``too_large`` every lot of so many pieces or more.
        """
        heads: list[tuple[Entry, int, int]] = []
        for number, queue in self.work.items():
            if queue and number not in skipped:
                place = _next(queue, 0, too_large.get(number, PLENTY))
                if place < len(queue):
                    heads.append((queue[place], number, place))
        heapify(heads)
        while heads:
            entry, number, place = heappop(heads)
            yield entry
            if number not in skipped:
                queue = self.work[number]
                place = _next(queue, place + 1, too_large.get(number, PLENTY))
                if place < len(queue):
                    heappush(heads, (queue[place], number, place))

    def tidy(self, looked_at: Iterable[Entry]) -> None:
        """Takes those lots of which nothing is left out of their queues."""
        for entry in looked_at:
            lot = entry[2]
            if lot.first == lot.last:
                stop = lot.flow.route[lot.place]
                queue = self.work[stop.number] if stop.firing is None else self.fire[stop.firing]
                del queue[bisect_left(queue, entry)]

    def left(self) -> list[Lot]:
        """All that still waits."""
        queues = [*self.work.values(), *self.fire.values()]
        lots = [lot for queue in queues for _, _, lot in queue] + [lot for _, _, lot in self._coming]
        return [lot for lot in lots if lot.first < lot.last]


def _next(queue: Queue, place: int, too_large: int) -> int:
    """The place of the first lot from a place on that is not too large; the queue's length if all are."""
    end = len(queue)
    while place < end and queue[place][2].last - queue[place][2].first >= too_large:
        place += 1
    return place
