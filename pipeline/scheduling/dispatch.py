"""Works through the days in order: kilns are loaded and lots begun, the most urgent first."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from pipeline.scheduling.chain import Chain, Lot
from pipeline.scheduling.kilns import Kilns, Load
from pipeline.scheduling.ledger import Ledger
from pipeline.scheduling.overdue import Overdue
from pipeline.scheduling.policy import Decision, Grounds, Place, Policy
from pipeline.scheduling.shop import NO_DUE, PLENTY, Firing, Flow, Shop
from pipeline.scheduling.timetable import Timetable, Worth, late_by
from pipeline.scheduling.waiting import Queue, Waiting

PATIENCE = 3
"""Days with work on which nothing could be begun and nothing is awaited: then the shop stops being choosy."""

HOPELESS = 400
"""As many such days, and what is left cannot be made at all."""

WORTHWHILE = 5
"""A lot is begun for a fifth of it at least, or of what a whole day would hold if that is less."""

LONGEST_PLAN = 3653
"""Days, ten years, after which nobody plans: what is left then is told, not placed."""


@dataclass
class Dispatch:
    """One run through the days under one policy; ``best`` is the worth of the best plan so far, if there is one."""

    shop: Shop
    policy: Policy
    best: Worth | None = None
    to_fire: dict[str, dict[str, int]] = field(default_factory=dict)
    late: float = 0.0
    until: int = 0

    def __post_init__(self) -> None:
        self.ledger = Ledger(self.shop, self.policy.longest)
        self.kilns = Kilns(self.shop, self.ledger)
        self.chain = Chain(self.shop, self.ledger, self.kilns, self.policy.strict)
        self.waiting = Waiting(self.policy.work_order, self.policy.kiln_order)
        # What waits is sure to have its lateness only where no month dries faster, and counts only for a whole plan.
        bounded = self.best is not None and not self.best[0]
        bounded = bounded and not any(factor < 1 for factor in self.shop.factors.values())
        self.overdue = Overdue() if bounded else None
        # Of each decision whether the kiln was to be fired; all grounds that there were for that; and the firings that
        # wait for another of their kiln.
        self.decisions: dict[Decision, bool] = {}
        self.grounds: set[Grounds] = set()
        self.holding: set[int] = set()
        # What may still be begun where the policy holds pieces back; and where that has been felt.
        self.at_most = dict(self.policy.at_most)
        self.felt: set[Place] = set()
        # The stages for which no room is left today; and of those that have a little, the lots too large for it.
        self.full: set[int] = set()
        self.too_large: dict[int, int] = {}

    def run(self) -> Timetable | None:
        """Places everything, or leaves over what cannot be placed; None once it is sure to be worse than the best, or
        if nobody may work long enough to unload what was in a kiln before.
        """
        for flow in self.shop.flows:
            for place in range(flow.first, len(flow.route)):
                firing = flow.route[place].firing
                if firing is not None:
                    pieces = self.to_fire.setdefault(firing, {})
                    pieces[flow.form] = pieces.get(flow.form, 0) + flow.totals[place]
        if not self.kilns.unload_burning():
            return None
        self._settle_standing()
        day, idle = self.shop.calendar.start, 0
        end = day + LONGEST_PLAN
        left = self.waiting.left()
        while left and idle < HOPELESS:
            open_day = self.shop.calendar.next_work(day)
            if open_day is None or open_day > end:
                break
            before = len(self.chain.placed)
            self._work_day(open_day, stalled=idle >= PATIENCE)
            if len(self.chain.placed) > before or self.waiting.any_coming or self.until > open_day:
                idle = 0
            else:
                idle += 1
                # What may not be begun after the day has no need of more of them.
                left = [lot for lot in self.waiting.left() if lot.latest is None or lot.latest > open_day]
            if self.best is not None and self._worse(open_day, self.best):
                return None
            day = open_day + 1
        return Timetable(self.shop, self.chain.placed, self.kilns.loads, self.waiting.left(), self.kilns.burning)

    def _worse(self, day: int, best: Worth) -> bool:
        """Whether the plan is sure to be worse than the best, whatever comes after the day."""
        if (0, round(self.late, 6), len(self.kilns.loads)) > best[:3]:
            return True
        if self.overdue is None:
            return False
        return round(self.late + self.overdue.lateness(day), 6) > best[1]

    def _settle_standing(self) -> None:
        """Pieces in progress whose window closes, or that tie up bats, come before anything else is begun."""
        lots = [lot for flow in self.shop.flows for lot in _to_begin(flow, self.shop.last_day(flow))]
        self._settle([lot for lot in lots if lot.flow.standing is not None and self._pressing(lot)])
        for lot in lots:
            if lot.first < lot.last:
                self._wait(lot)

    def _settle(self, urgent: list[Lot]) -> None:
        """Begins such pieces on the first days on which they may go on, those whose window closes first in front."""
        urgent.sort(key=lambda lot: (lot.flow.latest is None, lot.flow.latest or 0, lot.flow.turn))
        for lot in urgent:
            end = lot.ready + HOPELESS if lot.latest is None else lot.latest + 1
            for day in range(lot.ready, end):
                if lot.first < lot.last and self._may_begin(lot, day):
                    self._begin(lot, day, 1)

    def _wait(self, lot: Lot) -> None:
        for part in lot.as_supplied():
            self.waiting.add(part)
            if self.overdue is not None:
                self.overdue.add(part)

    def _pressing(self, lot: Lot) -> bool:
        """Whether pieces in progress have a window or a bat to be settled now."""
        if lot.flow.on_bats_after(lot.place - 1):
            return True
        if lot.flow.latest is None:
            return False
        return lot.latest is None or self.policy.strict or not lot.flow.may_wait_for_kiln(lot.latest)

    def _free(self, lot: Lot, day: int) -> int:
        """How many pieces of a lot may be begun on a day."""
        if not self.at_most:
            return PLENTY
        place = (day, lot.flow.line, lot.place)
        most = self.at_most.get(place, PLENTY)
        if most < lot.last - lot.first:
            self.felt.add(place)
        return most

    def _may_begin(self, lot: Lot, day: int) -> bool:
        return (lot.latest is None or day <= lot.latest) and self._free(lot, day) > 0

    def _work_day(self, day: int, *, stalled: bool) -> None:
        """Everything that is begun on one day; what is finished on the day may go on at once."""
        self.full.clear()
        self.too_large.clear()
        moved = True
        while moved:
            moved = self._round(day, stalled=stalled)

    def _round(self, day: int, *, stalled: bool) -> bool:
        self.waiting.arrive(day)
        if self.policy.work_first != (day in self.policy.swapped):
            moved = self._begin_lots(day, stalled=stalled)
            self.waiting.arrive(day)
            return moved or self._load_kilns(day, stalled=stalled)
        moved = self._load_kilns(day, stalled=stalled)
        self.waiting.arrive(day)
        return self._begin_lots(day, stalled=stalled) or moved

    def as_felt(self) -> Policy:
        """The policy without what made no difference in this run."""
        if not (self.at_most or self.policy.turned or self.policy.held):
            return self.policy
        return replace(
            self.policy,
            turned=frozenset(self.policy.turned & self.decisions.keys()),
            held=frozenset(self.policy.held & self.decisions.keys()),
            at_most=frozenset(entry for entry in self.policy.at_most if entry[0] in self.felt),
        )

    def _begin_lots(self, day: int, *, stalled: bool) -> bool:
        touched: Queue = []
        for entry in self.waiting.by_turn(self.full, self.too_large):
            lot = entry[2]
            if not self._may_begin(lot, day):
                continue
            first = lot.first
            number = lot.flow.route[lot.place].number
            least = 1 if stalled else self._least(lot)
            # As long as some of it can be begun, and settled with its later stages, nothing less urgent comes between.
            while (begun := self._begin(lot, day, least)) > 0:
                if lot.first == lot.last or not self._free(lot, day):
                    break
                least = 1 if stalled else self._least(lot)
            if lot.first > first:
                touched.append(entry)
            # What a lot that waits for materials lacks says nothing of the room that there is for others.
            if begun < 0 and not lot.flow.lacks_supplies(day):
                # A fifth of so many is more than that room.
                self.too_large[number] = (1 - begun) * WORTHWHILE
            elif begun == 0 and not lot.flow.lacks_supplies(day):
                self.full.add(number)
        self.waiting.tidy(touched)
        return bool(touched)

    def _least(self, lot: Lot) -> int:
        """The fewest pieces worth beginning: a fifth of what is left, or of what a whole day would hold."""
        return max(1, min(lot.last - lot.first, self.shop.day_full(lot.flow, lot.place)) // WORTHWHILE)

    def _begin(self, lot: Lot, day: int, least: int, most: int = PLENTY) -> int:
        """Begins as much of the lot as the day allows; the rest of it stays, what was begun goes on.

        Gives how many pieces were begun; if there is room, but for fewer than ``least``, that room below nought.
        """
        last = min(lot.last, lot.first + most, lot.first + self._free(lot, day))
        placed = len(self.chain.placed)
        begun, onward = self.chain.begin(lot, day, last, min(least, last - lot.first))
        if begun <= 0:
            return begun
        place = (day, lot.flow.line, lot.place)
        if place in self.at_most:
            self.at_most[place] -= begun
        for settled in self.chain.placed[placed:]:
            finished = settled.finished
            if settled.load is not None:
                self.to_fire[settled.load.firing.firing][settled.flow.form] -= settled.pieces
            if settled.place + 1 == len(settled.flow.route):
                self.late += late_by(settled.flow, settled.pieces, finished)
            if finished > self.until:
                self.until = finished
        lot.first += begun
        if self.overdue is not None:
            self.overdue.lessen(lot)
        if onward is not None:
            self._wait(onward)
        return begun

    def _load_kilns(self, day: int, *, stalled: bool) -> bool:
        """Tops up the loads of the day, then fills every kiln that is free and has reason to be fired."""
        moved = False
        if not any(self.waiting.fire.values()):
            return moved
        for name, queue in self.waiting.fire.items():
            for begun in self.kilns.by_day.get((name, day), ()) if queue else ():
                moved = self._fill(begun, queue, day) or moved
        opened = True
        while opened:
            opened = False
            asked = []
            # What goes into kilns that are alike, and whether there is reason to fire them, is the same.
            known: dict[int, tuple[Queue, bool]] = {}
            for place, firing in enumerate(self.shop.firings):
                if not self.waiting.fire.get(firing.firing) or place in self.policy.shut:
                    continue
                if (firing.kiln, day) in self.kilns.taken:
                    continue
                alike = self.shop.alike[place]
                if alike not in known:
                    found = self._for_kiln(place, day)
                    known[alike] = found, bool(found) and self._reason(firing, found, day, stalled=stalled)
                lots, reason = known[alike]
                if lots and self._decided((day, place), reason, stalled=stalled):
                    asked.append((lots[0][0], place, lots))
            for _, place, lots in sorted(asked, key=lambda entry: entry[:2]):
                mark = self.ledger.mark()
                firing, first = self.shop.firings[place], lots[0][2]
                load = self.kilns.open(firing, first.flow.route[first.place], day)
                if load is not None and self._fill(load, lots, day):
                    moved = opened = True
                    self.holding -= {other for other in self.holding if self.shop.firings[other].kiln == firing.kiln}
                    break
                self.ledger.undo(mark)
        return moved

    def _for_kiln(self, place: int, day: int) -> Queue:
        """The lots that may go into a kiln for a firing today."""
        firing = self.shop.firings[place]
        forms = self.shop.fired_best(place) if self.policy.best_kiln else firing.share.keys()
        queue = self.waiting.fire[firing.firing]
        return [entry for entry in queue if entry[2].flow.form in forms and self._may_begin(entry[2], day)]

    def _decided(self, decision: Decision, reason: bool, *, stalled: bool) -> bool:
        """Whether the kiln is fired: as there is reason to, unless the policy has it otherwise."""
        place = decision[1]
        self.decisions.setdefault(decision, reason)
        if stalled:
            self.holding.clear()
        elif decision in self.policy.held:
            self.holding.add(place)
        return place not in self.holding and reason != (decision in self.policy.turned)

    def _reason(self, firing: Firing, lots: Queue, day: int, *, stalled: bool) -> bool:
        """Whether there is reason to fire: full enough, nothing more to come, or a due date that cannot wait."""
        share = firing.share
        fill = 0
        go_on_by = NO_DUE
        smallest = firing.parts
        for _, _, lot in lots:
            part = share[lot.flow.form]
            go_on_by = min(go_on_by, lot.go_on_by)
            fill += part * (lot.last - lot.first)
            smallest = min(smallest, part)
            if fill >= firing.parts:
                break
        if stalled or fill + smallest > firing.parts:
            return True
        rest = sum(share.get(form, 0) * pieces for form, pieces in self.to_fire[firing.firing].items()) - fill
        days = go_on_by - (self.shop.calendar.next_work(day + 1) or day + 1)
        grounds = Grounds(fill, rest, days, firing.parts, firing.least_fill)
        self.grounds.add(grounds)
        return self.policy.fires(grounds)

    def _into(self, load: Load, lot: Lot, day: int, most: int) -> int:
        """Puts so many pieces of a lot into a load at most; gives how many."""
        self.kilns.filling = load
        begun = self._begin(lot, day, 1, most) if most else 0
        self.kilns.filling = None
        return max(0, begun)

    def _fill(self, load: Load, queue: Queue, day: int) -> bool:
        """Puts the lots into the load in their order, as much of each as still fits."""
        filled = []
        least = min(load.firing.share.values())
        shut: set[int] = set()
        for entry in queue:
            if load.room < least:
                break
            lot = entry[2]
            stop = lot.flow.route[lot.place]
            if stop.number in shut or not self._may_begin(lot, day):
                continue
            some = self.kilns.fits(load, lot.flow, stop)
            begun = self._into(load, lot, day, some)
            if begun > 0:
                filled.append(entry)
            elif not lot.flow.lacks_supplies(day):
                shut.add(stop.number)
        self.waiting.tidy(filled)
        return bool(filled)


def _to_begin(flow: Flow, latest: int | None) -> list[Lot]:
    """All pieces of a flow: those that there is clay for at once, and the rest when it is delivered."""
    total = flow.totals[flow.first]
    if flow.standing is not None or flow.clay_day <= flow.ready or flow.at_once >= total:
        return [Lot(flow, flow.first, 0, total, flow.ready, latest, None)]
    now = Lot(flow, 0, 0, flow.at_once, flow.ready, None, None)
    later = Lot(flow, 0, flow.at_once, total, flow.clay_day, None, None)
    return [now, later] if flow.at_once else [later]
