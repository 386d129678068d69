"""Works through the days by the last plan: what it has for a day is done on it; what it lacks is fitted in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Set

from pipeline.scheduling.chain import Lot
from pipeline.scheduling.dispatch import Dispatch
from pipeline.scheduling.kilns import Placement
from pipeline.scheduling.last_plan import Where
from pipeline.scheduling.policy import Policy
from pipeline.scheduling.shop import PLENTY, Shop
from pipeline.scheduling.waiting import Entry, Queue


class Following(Dispatch):
    """A run in which each stage of a line is worked on the days of the last plan, as far as there are pieces for it.

    Pieces beyond those that the last plan still has for later days - of new lines, or behind the plan - are begun as in
    any other run, with what time and room is left.
    """

    def __init__(self, shop: Shop, policy: Policy) -> None:
        super().__init__(shop, policy)
        # Pieces that the last plan has for each day and that are not yet placed on it, by line and stage; and of these
        # what goes into each load.
        self.kept = shop.last.days()
        self.loads = {
            day: [(firing, kiln, dict(inside)) for firing, kiln, inside in loads.values()]
            for day, loads in shop.last.loads.items()
        }
        self.chain.kept = self.kept
        self.until = shop.last.last
        # Those for days after today, and pieces still to be placed, by line and stage.
        self.later = {where: sum(days.values()) for where, days in self.kept.items()}
        self.rest: dict[Where, int] = {}
        for flow in shop.flows:
            for place in range(flow.first, len(flow.route)):
                where = (flow.line, place)
                self.rest[where] = self.rest.get(where, 0) + flow.totals[place]
        self.days = sorted({*shop.last.work, *shop.last.loads}, reverse=True)
        self.today = 0
        self.on_today: Set[Where] = frozenset()
        self.as_kept = False

    def _free(self, lot: Lot, day: int) -> int:
        if self.as_kept:
            return PLENTY
        where = (lot.flow.line, lot.place)
        return max(0, self.rest[where] - self.later.get(where, 0))

    def _begin(self, lot: Lot, day: int, least: int, most: int = PLENTY) -> int:
        placed = len(self.chain.placed)
        begun = super()._begin(lot, day, least, most)
        for settled in self.chain.placed[placed:] if begun > 0 else ():
            self._off_the_plan(settled)
        return begun

    def _off_the_plan(self, settled: Placement) -> None:
        """Takes what was placed off what is still to be placed, and off what the last plan has for its day."""
        where = (settled.flow.line, settled.place)
        self.rest[where] -= settled.pieces
        days = self.kept.get(where, {})
        some = min(settled.pieces, days.get(settled.day, 0))
        if not some:
            return
        days[settled.day] -= some
        if not days[settled.day]:
            del days[settled.day]
        if settled.day > self.today:
            self.later[where] -= some
        if settled.load is not None:
            at = (settled.load.firing.firing, settled.load.firing.kiln)
            for *load, inside in self.loads.get(settled.day, ()):
                if tuple(load) == at:
                    inside[where] = max(0, inside.get(where, 0) - some)

    def _settle(self, urgent: list[Lot]) -> None:
        """First on the days of the last plan: of a line, what has gone furthest goes on first, as it did then."""
        self.as_kept = self.chain.as_kept = True
        for lot in sorted(urgent, key=lambda lot: (-lot.place, *_by_window(lot))):
            for day in [day for day in self.kept.get((lot.flow.line, lot.place), {}) if day >= lot.ready]:
                begun = 1
                while begun > 0 and lot.first < lot.last and self._kept_on(day, lot) and self._may_begin(lot, day):
                    begun = self._begin(lot, day, 1, self._kept_on(day, lot))
        self.chain.as_kept = False
        super()._settle(urgent)
        self.as_kept = False

    def _work_day(self, day: int, *, stalled: bool) -> None:
        self.today = day
        # What the last plan has for a day that has come is no longer for later: if nobody works on that day any more,
        # it is fitted in like what is behind the plan.
        while self.days and self.days[-1] <= day:
            come = self.days.pop()
            for where in self.shop.last.on(come):
                self.later[where] -= self.kept[where].get(come, 0)
        self.on_today = self.shop.last.on(day)
        super()._work_day(day, stalled=stalled)

    def _round(self, day: int, *, stalled: bool) -> bool:
        self.waiting.arrive(day)
        self.as_kept = self.chain.as_kept = True
        moved = self._keep_loads(day)
        self.waiting.arrive(day)
        moved = self._keep_work(day) or moved
        self.as_kept = self.chain.as_kept = False
        # What was just worked may have its kiln waiting: only when nothing more is kept to is the rest fitted in.
        return moved or super()._round(day, stalled=stalled)

    def _kept_on(self, day: int, lot: Lot) -> int:
        """How many pieces at a lot's next stage the last plan still has for a day."""
        return self.kept.get((lot.flow.line, lot.place), {}).get(day, 0)

    def _keep_work(self, day: int) -> bool:
        moved = False
        looked_at = [
            entry
            for queue in self.waiting.work.values()
            for entry in queue
            if (entry[2].flow.line, entry[2].place) in self.on_today
        ]
        # In the same order as in any other run, so that the same hands have time for it.
        looked_at = _in_turn(looked_at, {where: self.kept[where].get(day, 0) for where in self.on_today})
        for _, _, lot in looked_at:
            most = self._kept_on(day, lot)
            if most and self._may_begin(lot, day):
                moved = self._begin(lot, day, 1, most) > 0 or moved
        self.waiting.tidy(looked_at)
        return moved

    def _keep_loads(self, day: int) -> bool:
        moved = False
        for firing_name, kiln, inside in self.loads.get(day, ()):
            lots = [
                entry
                for entry in self.waiting.fire.get(firing_name, [])
                if inside.get((entry[2].flow.line, entry[2].place)) and self._may_begin(entry[2], day)
            ]
            lots = _in_turn(lots, inside)
            if lots:
                moved = self._keep_load(firing_name, kiln, inside, lots, day) or moved
                self.waiting.tidy(lots)
        return moved

    def _keep_load(self, name: str, kiln: str, inside: dict[Where, int], lots: Queue, day: int) -> bool:
        firing = next((one for one in self.shop.firings if (one.firing, one.kiln) == (name, kiln)), None)
        if firing is None:
            return False
        mark = self.ledger.mark()
        # Whoever loads has to be one who may load all of it.
        stops = [lot.flow.route[lot.place] for _, _, lot in lots]
        fewest = min(stops, key=lambda stop: len(self.shop.hands(stop, day)))
        load = next((one for one in self.kilns.by_day.get((name, day), ()) if one.firing is firing), None)
        load = load or self.kilns.open(firing, fewest, day)
        if load is None:
            return False
        moved = False
        for _, _, lot in lots:
            kept = min(inside[lot.flow.line, lot.place], self._kept_on(day, lot))
            most = min(kept, self.kilns.fits(load, lot.flow, lot.flow.route[lot.place]))
            moved = self._into(load, lot, day, most) > 0 or moved
        if not moved:
            self.ledger.undo(mark)
        return moved


def _by_window(lot: Lot) -> tuple[bool, int, int]:
    """What puts a lot before others of its line at a stage: its window closes first, or it has waited for longest."""
    return lot.latest is None, lot.latest or 0, lot.ready


def _in_turn(entries: Queue, kept: Mapping[Where, int]) -> Queue:
    """Lots in their turn; those of a line of which more wait than are ``kept`` to as ``_by_window`` has it."""
    waiting: Counter[Where] = Counter()
    for _, _, lot in entries:
        waiting[lot.flow.line, lot.place] += lot.last - lot.first

    def turn(entry: Entry) -> tuple[tuple[int, ...], tuple[int, ...], int]:
        key, count, lot = entry
        where = lot.flow.line, lot.place
        return key[:3], _by_window(lot) if waiting[where] > kept[where] else key[3:], count

    return sorted(entries, key=turn)
