"""What was placed on which day, and how good that is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from pipeline.scheduling.chain import Lot
from pipeline.scheduling.kilns import Load, Placement
from pipeline.scheduling.shop import Burning, Flow, Shop
from pipeline.waits import NOISE

Worth = tuple[int, float, int, int]
"""What makes a timetable good, the least first: stages that pieces left over miss, lateness, firings, finish."""


@dataclass(frozen=True)
class Timetable:
    """What was placed on which day, in which loads, and what could not be placed; and the loads from before it."""

    shop: Shop
    placements: list[Placement]
    loads: list[Load]
    left: list[Lot]
    burning: Sequence[tuple[Load, Burning]] = ()

    def lateness(self) -> float:
        """Pieces x days after the due date, weighted by priority, over the last stage of every line."""
        return sum(
            late_by(placed.flow, placed.pieces, placed.finished)
            for placed in self.placements
            if placed.place + 1 == len(placed.flow.route)
        )

    def finish(self) -> int:
        """The day on which the last piece is finished; 0 for an empty plan."""
        return max((placed.finished for placed in self.placements), default=0)

    def longest_day(self) -> int:
        """The longest that anybody works on a day, in hundredths of a minute."""
        days: dict[tuple[int, int | None], int] = {}
        for placed in self.placements:
            for share in placed.shares:
                days[placed.day, share.worker] = days.get((placed.day, share.worker), 0) + share.time
        for load in self.loads:
            for day, hands in ((load.load_on, load.loading), (load.unload_on, load.unloading)):
                for worker, time in hands:
                    days[day, worker] = days.get((day, worker), 0) + time
        return max(days.values(), default=0)

    def worth(self) -> Worth:
        """How good it is, the least best."""
        missed = sum((lot.last - lot.first) * (len(lot.flow.route) - lot.place) for lot in self.left)
        return missed, round(self.lateness(), 6), len(self.loads), self.finish()


def late_by(flow: Flow, pieces: int, finished: int) -> float:
    """Pieces x days late x weight of pieces that are finished on a day."""
    return pieces * flow.weight * (finished - flow.due) if finished > flow.due else 0.0


def least_lateness(shop: Shop) -> float:
    """The least lateness of any timetable: as if hands, bats and kilns were free for every line at once."""
    return round(sum(late_by(flow, flow.totals[-1], _soonest(shop, flow)) for flow in shop.flows), 6)


def least_worth(shop: Shop) -> Worth:
    """What no timetable that leaves nothing over is better than: each aim as if it were the only one."""
    finish = max((_soonest(shop, flow) for flow in shop.flows), default=0)
    return 0, least_lateness(shop), _fewest_firings(shop), finish


def _fewest_firings(shop: Shop) -> int:
    """Firings if every piece took the least room that it does in any kiln, and every kiln were full."""
    fullest: dict[str, Fraction] = {}
    for flow in shop.flows:
        for stop in flow.route[flow.first :]:
            kilns = [firing for firing in shop.firings if firing.firing == stop.firing and flow.form in firing.share]
            if kilns:
                room = min(Fraction(firing.share[flow.form], firing.parts) for firing in kilns)
                name = kilns[0].firing
                fullest[name] = fullest.get(name, Fraction(0)) + room * flow.totals[stop.place]
    return sum(ceil(room) for room in fullest.values())


def _soonest(shop: Shop, flow: Flow) -> int:
    """A day before which no piece of the flow is finished, if it is ever."""
    quickest = min([1.0, *shop.factors.values()])
    day = flow.ready
    for stop in flow.route[flow.first :]:
        begun = shop.calendar.next_work(day)
        if begun is None:
            return day
        day = begun
        if stop.firing is not None:
            kilns = [firing for firing in shop.firings if firing.firing == stop.firing and flow.form in firing.share]
            out = shop.calendar.next_work(day + min((firing.days for firing in kilns), default=0))
            day = day if out is None else out
        if stop.place + 1 < len(flow.route):
            day += ceil(stop.wait.least * (quickest if stop.firing is None else 1.0) - NOISE)
    return day
