"""Rule 5d: what stands on bats overnight."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from pipeline.checking.facts import Batch, BrokenRule, Lot, Shop, Stage


def bats_within_count(shop: Shop, batches: Iterable[Batch]) -> Iterator[BrokenRule]:
    """On no night are more bats of a size in use than are owned.

    A piece is on a bat from the date of its `on` stage up to, not including, the date of its `off` stage; one that
    stood on a bat when the plan began, from the plan's start; and one of those that no batch goes on with, for good, as
    nobody takes it off. Where those alone are more than the bats owned, the
    sheets are at fault and not the schedule, so a night counts only if something newly thrown is on a bat too.
    """
    owned = {row["item"]: row["count"] for row in shop.job.bats_and_boards.rows(named=True) if row["kind"] == "bat"}
    if not owned:  # without a row for bats nothing is known of them, and they are no limit
        return
    size_of = dict(shop.job.forms.select("form", "bat").iter_rows())
    # By size: how the bats in use change on a date, all of them and those of newly thrown pieces alone.
    changes: dict[str, dict[dt.date, list[int]]] = defaultdict(lambda: defaultdict(lambda: [0, 0]))
    going_on: dict[str, int] = defaultdict(int)
    for batch in batches:
        size = size_of[batch.line[1]]
        if size is None:
            continue
        for on, off in _stretches_on_bats(batch.route):
            was_on = batch.from_studio and on < batch.first_place
            if was_on and (off is None or off < batch.first_place):
                continue
            if was_on:
                going_on[size] += sum(lot.pieces for lot in batch.entered[batch.first_place])
            before = 0
            for date, standing in _bats_in_use(shop, batch, on, off, was_on):
                night = changes[size][date]
                night[0] += standing - before
                night[1] += 0 if was_on else standing - before
                before = standing
    for size, pieces in _standing_on_bats(shop).items():
        # Those of the batches have been counted: what is more than they are stays.
        changes[size][shop.job.settings.start][0] += max(0, pieces - going_on[size])
    for size in sorted(changes):
        in_use = new = 0
        for date, (change, new_change) in sorted(changes[size].items()):
            in_use += change
            new += new_change
            if in_use > owned.get(size, 0) and new:
                what = f"{in_use} `{size}` bats are in use on this night, and {owned.get(size, 0)} are owned."
                yield BrokenRule("5d", str(date), what)


def _standing_on_bats(shop: Shop) -> dict[str, int]:
    """By size of bat the pieces in progress that stand on one when the plan begins."""
    size_of = dict(shop.job.forms.select("form", "bat").iter_rows())
    found: dict[str, int] = defaultdict(int)
    for form, done, pieces in shop.job.in_progress.select("form", "stage_done", "pieces").iter_rows():
        place = shop.stages[form, done].place
        on = any(on <= place and (off is None or place < off) for on, off in _stretches_on_bats(shop.routes[form]))
        if on and size_of[form] is not None:
            found[size_of[form]] += pieces
    return found


def _stretches_on_bats(route: Sequence[Stage]) -> list[tuple[int, int | None]]:
    """The places of each `on` stage and of the first `off` stage after it; None if the bat is never left."""
    off_places = [stage.place for stage in route if stage.bat == "off"]
    return [
        (stage.place, next((place for place in off_places if place > stage.place), None))
        for stage in route
        if stage.bat == "on"
    ]


def _bats_in_use(shop: Shop, batch: Batch, on: int, off: int | None, was_on: bool) -> Iterator[tuple[dt.date, int]]:
    """The dates on which a batch's number of bats may change, and how many it has on the night of each.

    The pieces lost between the two stages leave their bats with the first that come off; if none comes off, all are
    lost, and leave theirs the day after.
    """
    if was_on:
        ons = [Lot(shop.job.settings.start, sum(lot.pieces for lot in batch.entered[batch.first_place]))]
    else:
        ons = batch.entered.get(on, [])
    offs = [] if off is None else list(batch.entered.get(off, []))
    if off is not None and ons:
        lost = sum(lot.pieces for lot in ons) - sum(lot.pieces for lot in offs)
        lost_on = offs[0].date if offs else ons[-1].date + dt.timedelta(days=1)
        offs.append(Lot(lost_on, lost))
    for date in sorted({lot.date for lot in [*ons, *offs]}):
        put_on = sum(lot.pieces for lot in ons if lot.date <= date)
        taken_off = sum(lot.pieces for lot in offs if lot.date <= date)
        yield date, max(0, put_on - taken_off)
