"""The lots that wait: those that are still to come, and those that stand ready, in their turn."""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterator, Sequence
from heapq import heapify, heappop, heappush

from pipeline.scheduling.chain import Lot

Key = tuple[int, int, int, int]
"""What puts a lot before another: the least first."""

Queue = list[tuple[Key, int, Lot]]
"""Lots in their turn; the number between breaks a tie, the first to come first."""


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

    def by_turn(self, skipped: set[int]) -> Iterator[Lot]:
        """The lots before ordinary stages, over all stages in their turn; a stage that gets into ``skipped`` meanwhile
        is passed over from then on.
        """
        heads = [(*queue[0], number, 0) for number, queue in self.work.items() if queue and number not in skipped]
        heapify(heads)
        while heads:
            _, _, lot, number, place = heappop(heads)
            yield lot
            queue = self.work[number]
            if number not in skipped and place + 1 < len(queue):
                heappush(heads, (*queue[place + 1], number, place + 1))

    def tidy(self, number_or_firing: int | str) -> None:
        """Takes lots of which nothing is left out of a queue."""
        queues: dict[int, Queue] | dict[str, Queue] = self.work if isinstance(number_or_firing, int) else self.fire
        queue = queues[number_or_firing]  # type: ignore[index]
        queue[:] = [entry for entry in queue if entry[2].first < entry[2].last]

    def lateness(self, day: int) -> float:
        """The least lateness of what still waits, if it goes on after the day and meets no other wait than its own."""
        late = 0.0
        for lot in self.left():
            flow = lot.flow
            days = max(lot.ready, day + 1) + flow.route[lot.place].tail - flow.due
            if days > 0:
                # Of the pieces that enter the stage so many reach the last at least, each stage rounding once.
                rounded = len(flow.route) - 1 - lot.place
                pieces = (lot.last - lot.first) * flow.totals[-1] // flow.totals[lot.place] - rounded
                late += max(0, pieces) * flow.weight * days
        return late

    def left(self) -> list[Lot]:
        """All that still waits."""
        queues = [*self.work.values(), *self.fire.values()]
        lots = [lot for queue in queues for _, _, lot in queue] + [lot for _, _, lot in self._coming]
        return [lot for lot in lots if lot.first < lot.last]
