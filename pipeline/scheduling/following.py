"""Works through the days by the last plan: what it has for a day is done on it; what it lacks is fitted in."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.scheduling.chain import Lot
from pipeline.scheduling.dispatch import Dispatch
from pipeline.scheduling.last_plan import Where
from pipeline.scheduling.policy import Policy
from pipeline.scheduling.shop import PLENTY, Shop
from pipeline.scheduling.waiting import Queue


class Following(Dispatch):
    """A run in which each stage of a line is worked on the days of the last plan, as far as there are pieces for it.

    Pieces beyond those that the last plan still has for later days - of new lines, or behind the plan - are begun as in
    any other run, with what time and room is left.
    """

    def __init__(self, shop: Shop, policy: Policy) -> None:
        super().__init__(shop, policy)
        self.kept = shop.last.days()
        self.chain.kept = self.kept
        self.until = shop.last.last
        # Pieces that the last plan has for days after today, and pieces still to be placed, by line and stage.
        self.later = {where: sum(days.values()) for where, days in self.kept.items()}
        self.rest: dict[Where, int] = {}
        for flow in shop.flows:
            for place in range(flow.first, len(flow.route)):
                where = (flow.line, place)
                self.rest[where] = self.rest.get(where, 0) + flow.totals[place]
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
            self.rest[settled.flow.line, settled.place] -= settled.pieces
        return begun

    def _days_to_settle(self, lot: Lot, end: int) -> Iterator[tuple[int, int]]:
        kept = self.kept.get((lot.flow.line, lot.place), {})
        yield from ((day, pieces) for day, pieces in kept.items() if lot.ready <= day < end)
        yield from super()._days_to_settle(lot, end)

    def _settle_standing(self) -> None:
        self.as_kept = True
        super()._settle_standing()
        self.as_kept = False

    def _work_day(self, day: int, *, stalled: bool) -> None:
        last = self.shop.last
        self.work_today = dict(last.work.get(day, {}))
        self.loads_today = [(firing, kiln, dict(inside)) for firing, kiln, inside in last.loads.get(day, {}).values()]
        for pieces in (self.work_today, *(inside for _, _, inside in self.loads_today)):
            for where, number in pieces.items():
                self.later[where] -= number
        super()._work_day(day, stalled=stalled)

    def _round(self, day: int, *, stalled: bool) -> bool:
        self.waiting.arrive(day)
        self.as_kept = True
        moved = self._keep_loads(day)
        self.waiting.arrive(day)
        moved = self._keep_work(day) or moved
        self.as_kept = False
        # What was just worked may have its kiln waiting: only when nothing more is kept to is the rest fitted in.
        return moved or super()._round(day, stalled=stalled)

    def _keep_work(self, day: int) -> bool:
        moved = False
        for queue in self.waiting.work.values():
            looked_at = list(queue)
            for _, _, lot in looked_at:
                where = (lot.flow.line, lot.place)
                most = self.work_today.get(where, 0)
                if most and self._may_begin(lot, day):
                    begun = max(0, self._begin(lot, day, 1, most))
                    self.work_today[where] = most - begun
                    moved = moved or begun > 0
            self.waiting.tidy(looked_at)
        return moved

    def _keep_loads(self, day: int) -> bool:
        moved = False
        for firing_name, kiln, inside in self.loads_today:
            lots = [
                entry
                for entry in self.waiting.fire.get(firing_name, [])
                if inside.get((entry[2].flow.line, entry[2].place)) and self._may_begin(entry[2], day)
            ]
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
            where = (lot.flow.line, lot.place)
            most = min(inside[where], self.kilns.fits(load, lot.flow, lot.flow.route[lot.place]))
            begun = self._into(load, lot, day, most)
            inside[where] -= begun
            moved = moved or begun > 0
        if not moved:
            self.ledger.undo(mark)
        return moved
