"""The lots that wait: those that are still to come, and those that stand ready, in their turn."""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterator
from heapq import heapify, heappop, heappush

from pipeline.scheduling.chain import Lot
from pipeline.scheduling.shop import NO_DUE

Key = tuple[int, int, int, int]
"""What puts a lot before another: the least first."""

Queue = list[tuple[Key, int, Lot]]
"""Lots in their turn; the number between breaks a tie, the first to come first."""


class Waiting:
    """Lots by what they wait for: a stage of a form (its number), or a firing (its name).

    ``by_slack``: before ordinary stages, the lot with the fewest days in hand goes first; else the earliest due.
    Before a kiln it is always the fewest days in hand.
    """

    def __init__(self, *, by_slack: bool) -> None:
        self.by_slack = by_slack
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
            stop = lot.flow.route[lot.place]
            in_hand = NO_DUE if lot.flow.due == NO_DUE else lot.flow.due - stop.tail
            if stop.firing is None:
                key = (in_hand if self.by_slack else lot.flow.due, lot.flow.turn, -lot.place, lot.first)
                insort(self.work.setdefault(stop.number, []), (key, count, lot))
            else:
                insort(
                    self.fire.setdefault(stop.firing, []), ((in_hand, -lot.place, lot.flow.turn, lot.first), count, lot)
                )

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

    def left(self) -> list[Lot]:
        """All that still waits."""
        queues = [*self.work.values(), *self.fire.values()]
        lots = [lot for queue in queues for _, _, lot in queue] + [lot for _, _, lot in self._coming]
        return [lot for lot in lots if lot.first < lot.last]
