"""Works through the days in order: kilns are loaded and lots begun, the most urgent first."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.scheduling.chain import Chain, Lot
from pipeline.scheduling.kilns import Kilns, Load, Placement
from pipeline.scheduling.ledger import Ledger
from pipeline.scheduling.shop import NO_DUE, PLENTY, Firing, Shop

PATIENCE = 3
"""Days with work on which nothing could be begun and nothing is awaited: then the shop stops being choosy."""

HOPELESS = 400
"""As many such days, and what is left cannot be made at all."""

LONGEST_PLAN = 3653
"""Days, ten years, after which nobody plans: what is left then is told, not placed."""


@dataclass(frozen=True, slots=True)
class Policy:
    """How eager the shop is.

    A kiln is fired when it is filled to ``fill`` (1: full; None: as each firing's least fill says), when nothing more
    is to come, or when waiting would leave a due line no more than ``margin`` days in hand. ``by_slack``: the line with
    the fewest days in hand goes first; else the earliest due.
    """

    fill: float | None
    margin: int
    by_slack: bool


@dataclass(frozen=True)
class Timetable:
    """What was placed on which day, in which loads, and what could not be placed."""

    shop: Shop
    placements: list[Placement]
    loads: list[Load]
    left: list[Lot]

    def lateness(self) -> float:
        """Pieces x days after the due date, weighted by priority, over the last stage of every line."""
        return sum(
            placed.pieces * placed.flow.weight * max(0, self.finished(placed) - placed.flow.due)
            for placed in self.placements
            if placed.place + 1 == len(placed.flow.route)
        )

    def finish(self) -> int:
        """The day on which the last piece is finished; 0 for an empty plan."""
        return max((self.finished(placed) for placed in self.placements), default=0)

    @staticmethod
    def finished(placed: Placement) -> int:
        """The day on which what was placed is done: that of unloading, for a firing."""
        return placed.day if placed.load is None else placed.load.unload_on

    def worth(self) -> tuple[int, float, int, int]:
        """What makes it good, the least first: nothing left over, lateness, firings, finish."""
        return len(self.left), round(self.lateness(), 6), len(self.loads), self.finish()


@dataclass
class Dispatch:
    """One run through the days under one policy."""

    shop: Shop
    policy: Policy
    lots: list[Lot] = field(default_factory=list)
    to_fire: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.ledger = Ledger(self.shop)
        self.kilns = Kilns(self.shop, self.ledger)
        self.chain = Chain(self.shop, self.ledger, self.kilns)

    def run(self) -> Timetable:
        """Places everything, or leaves over what cannot be placed."""
        self.lots = [Lot(flow, flow.first, 0, flow.totals[flow.first], flow.ready, None) for flow in self.shop.flows]
        for flow in self.shop.flows:
            for place in range(flow.first, len(flow.route)):
                firing = flow.route[place].firing
                if firing is not None:
                    self.to_fire[firing] = self.to_fire.get(firing, 0) + flow.totals[place]
        self._settle_standing()
        day, idle = self.shop.calendar.start, 0
        end = day + LONGEST_PLAN
        while self.lots and idle < HOPELESS:
            open_day = self.shop.calendar.next_work(day)
            if open_day is None or open_day > end:
                break
            before = len(self.chain.placed)
            self._work_day(open_day, stalled=idle >= PATIENCE)
            idle = 0 if len(self.chain.placed) > before or self._awaited(open_day) else idle + 1
            day = open_day + 1
        return Timetable(self.shop, self.chain.placed, self.kilns.loads, self.lots)

    def _awaited(self, day: int) -> bool:
        """Whether something is sure to come on a later day: drying, a kiln to unload, clay."""
        return (
            any(lot.ready > day or (lot.place == 0 and lot.flow.clay_day > day) for lot in self.lots)
            or any(load.unload_on > day for load in self.kilns.loads)
            or any(placed.day > day for placed in reversed(self.chain.placed))
        )

    def _settle_standing(self) -> None:
        """Pieces in progress whose window closes, or that tie up bats, come before anything else is begun."""
        urgent = [
            lot
            for lot in self.lots
            if lot.flow.standing is not None and (lot.flow.latest is not None or lot.flow.on_bats_after(lot.place - 1))
        ]
        urgent.sort(key=lambda lot: (lot.flow.latest is None, lot.flow.latest or 0, lot.flow.turn))
        for lot in urgent:
            day, end = lot.ready, lot.ready + HOPELESS
            while lot.first < lot.last and day < end and self._in_window(lot, day):
                self._begin(lot, day, least=1)
                day += 1
        self.lots = [lot for lot in self.lots if lot.first < lot.last]

    def _in_window(self, lot: Lot, day: int) -> bool:
        """Whether pieces in progress may still go on; what is too late before anybody works goes on all the same."""
        latest = self.shop.last_day(lot.flow)
        return lot.place > lot.flow.first or latest is None or day <= latest

    def _work_day(self, day: int, stalled: bool) -> None:
        """Everything that is begun on one day; what is finished on the day may go on at once."""
        moved = True
        while moved:
            moved = self._load_kilns(day, stalled)
            for lot in sorted(self._waiting(day, fired=False), key=lambda lot: self._urgency(lot, day)):
                least = 1 if stalled else self._least(lot)
                moved = self._begin(lot, day, least) or moved
            self.lots = [lot for lot in self.lots if lot.first < lot.last]

    def _waiting(self, day: int, *, fired: bool) -> list[Lot]:
        return [
            lot
            for lot in self.lots
            if lot.ready <= day
            and (lot.flow.route[lot.place].firing is not None) == fired
            and self._in_window(lot, day)
        ]

    def _urgency(self, lot: Lot, day: int) -> tuple[int, int, int, int]:
        first = self._slack(lot, day) if self.policy.by_slack else lot.flow.due
        return first, lot.flow.turn, -lot.place, lot.first

    def _slack(self, lot: Lot, day: int) -> int:
        """Days in hand if the lot went on today and met no other wait."""
        if lot.flow.due == NO_DUE:
            return NO_DUE
        return lot.flow.due - day - lot.flow.route[lot.place].tail

    def _least(self, lot: Lot) -> int:
        """The fewest pieces worth beginning: all that is left, or a fifth of what a whole day would hold."""
        stop = lot.flow.route[lot.place]
        longest = max((shift.time for worker in self.shop.calendar.workers for shift in worker.by_weekday), default=0)
        each = sum(after.each for after in lot.flow.route[lot.place : lot.place + 2])
        day_full = min((limit for _, limit in stop.limits), default=lot.last - lot.first)
        if each:
            day_full = min(day_full, int(longest / each))
        return max(1, min(lot.last - lot.first, day_full // 5))

    def _begin(self, lot: Lot, day: int, least: int, most: int = PLENTY) -> bool:
        """Begins as much of the lot as the day allows; the rest of it stays, what was begun goes on."""
        last = min(lot.last, lot.first + most)
        if lot.place == 0 and day < lot.flow.clay_day:
            last = min(last, lot.flow.at_once)
        if last <= lot.first:
            return False
        placed = len(self.chain.placed)
        reached, onward = self.chain.begin(lot, day, last, min(least, last - lot.first))
        if reached == lot.first:
            return False
        for settled in self.chain.placed[placed:]:
            if settled.load is not None:
                self.to_fire[settled.load.firing.firing] -= settled.pieces
        lot.first = reached
        if onward is not None:
            self.lots.append(onward)
        return True

    def _load_kilns(self, day: int, stalled: bool) -> bool:
        """Tops up the loads of the day, then fills every kiln that is free and has reason to be fired."""
        moved = False
        waiting = sorted(self._waiting(day, fired=True), key=lambda lot: self._load_urgency(lot, day))
        for begun in [load for load in self.kilns.loads if load.load_on == day]:
            moved = self._fill(begun, waiting, day) or moved
        while waiting:
            asked = [
                (self._load_urgency(lots[0], day), place, firing, lots)
                for place, firing in enumerate(self.shop.firings)
                if (lots := self._fitting(firing, waiting)) and self._reason(firing, lots, day, stalled)
            ]
            opened = False
            for _, _, firing, lots in sorted(asked, key=lambda entry: entry[:2]):
                mark = self.ledger.mark()
                load = self.kilns.open(firing, lots[0].flow, lots[0].place, day)
                if load is not None and self._fill(load, lots, day):
                    moved = opened = True
                    break
                self.ledger.undo(mark)
            waiting = [lot for lot in waiting if lot.first < lot.last]
            if not opened:
                break
        self.lots = [lot for lot in self.lots if lot.first < lot.last]
        return moved

    def _load_urgency(self, lot: Lot, day: int) -> tuple[int, int, int, int]:
        return self._slack(lot, day), -lot.place, lot.flow.turn, lot.first

    def _fitting(self, firing: Firing, waiting: list[Lot]) -> list[Lot]:
        return [
            lot
            for lot in waiting
            if lot.first < lot.last
            and lot.flow.route[lot.place].firing == firing.firing
            and firing.counts[lot.flow.form] > 0
        ]

    def _reason(self, firing: Firing, lots: list[Lot], day: int, stalled: bool) -> bool:
        """Whether to fire today: full enough, nothing more to come, or a due date that cannot wait."""
        pieces = sum(lot.last - lot.first for lot in lots)
        fill = sum((lot.last - lot.first) / firing.counts[lot.flow.form] for lot in lots)
        wanted = firing.least_fill if self.policy.fill is None else self.policy.fill
        smallest = min(1 / firing.counts[lot.flow.form] for lot in lots)
        if stalled or fill >= wanted or fill + smallest > 1 or pieces >= self.to_fire[firing.firing]:
            return True
        tomorrow = self.shop.calendar.next_work(day + 1)
        later = 1 if tomorrow is None else tomorrow - day
        return min(self._slack(lot, day) for lot in lots) - later < self.policy.margin

    def _fill(self, load: Load, lots: list[Lot], day: int) -> bool:
        """Puts the lots into the load in their order, as much of each as still fits."""
        filled = False
        for lot in lots:
            if lot.first < lot.last and lot.flow.route[lot.place].firing == load.firing.firing:
                some = self.kilns.fits(load, lot.flow, lot.place)
                filled = self._begin(lot, day, 1, most=some) or filled
        return filled


def run(shop: Shop, policy: Policy) -> Timetable:
    """The timetable of a shop under a policy."""
    return Dispatch(shop, policy).run()
