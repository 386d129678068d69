"""Pieces in progress of which not all can have their next stage before their window closes, whatever else is done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.scheduling.ledger import Ledger
from pipeline.scheduling.shop import Shop, Stop


@dataclass(frozen=True, slots=True)
class Short:
    """The next stage of a row of ``in_progress``, the last day of its window, its pieces, and how many have time."""

    stop: Stop
    latest: int
    pieces: int
    room: int


def short_of_time(shop: Shop) -> Mapping[int, Short]:
    """The rows, by their place, for which the hours and the most pieces a day of their window are enough for some of
    their pieces but not for all. Where they are enough for none there is no day in the window, which is another matter.
    """
    pieces: dict[int, int] = {}
    flows = {}
    for flow in shop.flows:
        if flow.standing is not None and shop.last_day(flow) is not None and flow.route[flow.first].firing is None:
            flows[flow.standing] = flow
            pieces[flow.standing] = pieces.get(flow.standing, 0) + flow.totals[flow.first]
    found = {}
    for standing, flow in flows.items():
        stop, latest = flow.route[flow.first], flow.latest or 0
        empty = Ledger(shop)
        room = sum(max(0, empty.room(stop, day)) for day in range(flow.ready, latest + 1))
        if 0 < room < pieces[standing]:
            found[standing] = Short(stop, latest, pieces[standing], room)
    return found
