"""Rule 5b: what lies between a batch's stages."""

from __future__ import annotations

import datetime as dt
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from pipeline.checking.facts import Batch, BrokenRule, Lot, Shop, Stage

ROUNDING = 1e-9
"""Hours and minutes are binary fractions."""


@dataclass(frozen=True)
class Source:
    """Pieces that may go on from ``first`` to ``last`` (None = for ever)."""

    first: dt.date
    last: dt.date | None
    pieces: int

    def open_on(self, day: dt.date) -> bool:
        """Whether they may go on on that date."""
        return self.first <= day and (self.last is None or day <= self.last)


def waits_between_stages(shop: Shop, batches: Iterable[Batch]) -> Iterator[BrokenRule]:
    """Each piece that enters a stage has had the one before, no less than the least and no more than the most wait ago.

    Pieces of a batch are alike, so the rule is that some way exists to give each piece that enters one that had the
    stage before at a fitting date; those that are never given are the pieces lost.
    """
    for batch in batches:
        begun_at = batch.first_place if batch.from_studio else 0
        for before, stage in pairwise(batch.route[begun_at:]):
            sources = [Source(*shop.window(before, lot.date), lot.pieces) for lot in batch.done.get(before.place, [])]
            entries = batch.entered.get(stage.place, [])
            in_order = sorted(range(len(sources)), key=lambda i: sources[i].last or dt.date.max)
            allowed = [[i for i in in_order if sources[i].open_on(lot.date)] for lot in entries]
            for lot, short in zip(entries, unmet(entries, sources, allowed), strict=True):
                if short:
                    yield _wrong_wait(batch, stage, before, lot, short, sources)


def studio_pieces_used_once(shop: Shop, batches: Iterable[Batch]) -> Iterator[BrokenRule]:
    """Each piece of a batch from the studio is a piece of ``in_progress`` that stands before that stage, used once.

    A window that closed before the plan's first day of work can no longer be kept, and is not asked for; nor is one in
    which there is time for some of the row's pieces, but not for all, were nothing else done.
    """
    from_studio = [batch for batch in batches if batch.from_studio]
    first_work = shop.days.first_with_work(shop.job.settings.start)
    stock = []
    for row in shop.job.in_progress.rows(named=True):
        done = shop.stages.get((row["form"], row["stage_done"]))
        if done is not None:
            first, last = shop.window(done, shop.done_on(row))
            overdue = last is not None and first_work is not None and last < first_work
            if last is not None and not overdue:
                to_come = [batch for batch in from_studio if _stands_before(row, done, batch)]
                entering = sum(lot.pieces for batch in to_come for lot in batch.entered[batch.first_place])
                room = _room(shop, row["form"], done.place + 1, first, last)
                overdue = 0 < room < min(row["pieces"], entering)
            stock.append((row, done, Source(first, None if overdue else last, row["pieces"])))
    # Rows that name an order or a glaze are of use to fewer batches, so they go first.
    stock.sort(key=lambda one: (one[0]["order"] is None, one[0]["glaze"] is None, one[2].last or dt.date.max))
    sources = [source for _, _, source in stock]

    wants = [(batch, lot) for batch in from_studio for lot in batch.entered[batch.first_place]]
    fitting = [[i for i, (row, done, _) in enumerate(stock) if _stands_before(row, done, batch)] for batch, _ in wants]
    allowed = [[i for i in fits if sources[i].open_on(lot.date)] for (_, lot), fits in zip(wants, fitting, strict=True)]
    shorts = unmet([lot for _, lot in wants], sources, allowed)
    for (batch, lot), fits, short in zip(wants, fitting, shorts, strict=True):
        if short:
            stage = batch.route[batch.first_place]
            before = batch.route[batch.first_place - 1] if batch.first_place else None
            yield _wrong_wait(batch, stage, before, lot, short, [sources[i] for i in fits])


def _room(shop: Shop, form: str, place: int, first: dt.date, last: dt.date) -> int:
    """The most pieces of a form that there are hours, and pieces a day, for at a stage of work from a date to another.

    Whoever's time the set-up costs most pieces bears it.
    """
    stage = shop.routes[form][place] if place < len(shop.routes[form]) else None
    if stage is None or stage.firing is not None:
        return 0
    total = 0
    for passed in range((last - first).days + 1):
        day = first + dt.timedelta(days=passed)
        if day < shop.job.settings.start or not shop.days.has_work(day):
            continue
        limits = [limit for limit in (stage.most_per_day, stage.most_of_form) if limit is not None]
        shifts = [shop.days.shift(worker, day) for worker in shop.days.workers]
        times = [shift.hours * 60 for shift in shifts if shift.stages is None or stage.name in shift.stages]
        if not stage.minutes_each:
            return 0
        most = [int(time / stage.minutes_each + ROUNDING) for time in times if time]
        less = [int((time - stage.setup_minutes) / stage.minutes_each + ROUNDING) for time in times if time]
        hands = sum(most) - max((full - max(0, part) for full, part in zip(most, less, strict=True)), default=0)
        total += min([hands, *limits])
    return total


def _stands_before(row: dict[str, Any], done: Stage, batch: Batch) -> bool:
    """Whether a row of ``in_progress`` may be the batch: its form, the stage before, its order and glaze or blank."""
    order, form, glaze = batch.line
    return (
        row["form"] == form
        and done.place + 1 == batch.first_place
        and row["order"] in (None, order)
        and row["glaze"] in (None, glaze)
    )


def _wrong_wait(
    batch: Batch, stage: Stage, before: Stage | None, lot: Lot, short: int, sources: Sequence[Source]
) -> BrokenRule:
    had = f"`{before.name}`" if before else "any stage"
    later = [source.first for source in sources if source.first > lot.date]
    closed = [source.last for source in sources if source.last is not None and source.last < lot.date]
    if later:
        why = f"are too early: after {had} they may go on from {min(later)}"
    elif closed:
        why = f"are too late: after {had} they had to go on by {max(closed)}"
    else:
        why = f"are more than have had {had}"
    where = f"{lot.date}, batch {batch.name}, {stage.name}"
    return BrokenRule("5b", where, f"{short} of {lot.pieces} pieces {why}.")


def unmet(wants: Sequence[Lot], sources: Sequence[Source], allowed: Sequence[Sequence[int]]) -> list[int]:
    """How many pieces each want lacks when pieces are given out as well as they can be.

    ``allowed[w]`` lists the sources that want ``w`` may take from, best first. Earlier wants are met first. Where a
    source is used up, a want that has taken from it is moved to another if it can be: augmenting paths of a
    maximum flow (Ford and Fulkerson 1956), so a lack is told only if no way of giving out avoids one.
    """
    left = [source.pieces for source in sources]
    taken: list[dict[int, int]] = [{} for _ in wants]
    lacks = []
    for want, lot in enumerate(wants):
        need = lot.pieces
        while need and (path := _way_to_a_source(want, allowed, taken, left)):
            given = [taken[other][source] for (_, source), (other, _) in pairwise(path)]
            moved = min(need, left[path[-1][1]], *given) if given else min(need, left[path[-1][1]])
            for (_, source), (other, _) in pairwise(path):
                taken[other][source] -= moved
            for taker, source in path:
                taken[taker][source] = taken[taker].get(source, 0) + moved
            left[path[-1][1]] -= moved
            need -= moved
        lacks.append(need)
    return lacks


def _way_to_a_source(
    want: int, allowed: Sequence[Sequence[int]], taken: Sequence[dict[int, int]], left: Sequence[int]
) -> list[tuple[int, int]]:
    """The shortest chain of (want, source it takes from) that begins at ``want`` and ends at a source with pieces left.

    Each further want of the chain gives up pieces of the source before it. Empty if there is none.
    """
    chains = deque([[(want, source)] for source in allowed[want]])
    seen = set(allowed[want])
    while chains:
        chain = chains.popleft()
        source = chain[-1][1]
        if left[source]:
            return chain
        for other, pieces in enumerate(taken):
            if pieces.get(source):
                fresh = [further for further in allowed[other] if further not in seen]
                seen.update(fresh)
                chains.extend([*chain, (other, further)] for further in fresh)
    return []
