"""Kilns: one load at a time, no fuller than full, with hands to load and unload it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from math import lcm

from ortools.sat.python import cp_model

from pipeline.exact.flow import Flow, Sum
from pipeline.exact.hands import Hands
from pipeline.exact.studio import UNITS, Kiln


@dataclass(frozen=True)
class Loads:
    """For each firing, kiln and day whether a load is put in; and each worker's part in loading and unloading it."""

    fired: dict[tuple[str, str, int], cp_model.IntVar] = field(default_factory=dict)
    loading: dict[tuple[str, str, int], dict[str, Sum]] = field(default_factory=dict)
    unloading: dict[tuple[str, str, int], dict[str, Sum]] = field(default_factory=dict)


def add_kilns(flow: Flow, hands: Hands) -> Loads:
    """Rule 5e. Whoever does the stage of some pieces of a load, or the firing by its name, may have a hand in it.

    A load that a firing's least fill would let wait is no broken rule, so that fill is not asked for.
    """
    loads = Loads()
    stays: dict[str, list[tuple[int, int, cp_model.IntVar]]] = defaultdict(list)
    for kiln in flow.studio.kilns:
        channels = [channel for found in flow.channels.values() for channel in found if channel.kiln is kiln]
        for day in sorted({day for channel in channels for day in channel.done}):
            out = flow.studio.unload_day(kiln, day)
            assert out is not None, "a channel has only days from which it can be unloaded"
            key = (kiln.firing, kiln.name, day)
            fired = loads.fired[key] = flow.model.new_bool_var(f"fire {key}")
            inside = [(channel, kiln.counts[channel.line.name[1]]) for channel in channels if day in channel.done]
            whole = lcm(*(count for _, count in inside))
            flow.model.add(sum(channel.on(day) * (whole // count) for channel, count in inside) <= whole * fired)
            stays[kiln.name].append((day, out, fired))
            pieces: dict[str, Sum] = defaultdict(int)
            for channel, _ in inside:
                pieces[channel.line.route[channel.place].name] += channel.on(day)
            flow.model.add(sum(pieces.values()) >= fired)
            _book(flow, hands, loads, kiln, key, out, pieces)
    for found in stays.values():
        for day in sorted({day for day, _, _ in found}):
            flow.model.add_at_most_one(fired for first, out, fired in found if first <= day < out)
    return loads


def _book(
    flow: Flow, hands: Hands, loads: Loads, kiln: Kiln, key: tuple[str, str, int], out: int, pieces: dict[str, Sum]
) -> None:
    """The hands that load and unload; ``pieces`` are those of the load, by stage."""
    model, fired = flow.model, loads.fired[key]
    for booked, what, day, minutes in (
        (loads.loading, "load", key[2], kiln.load_minutes),
        (loads.unloading, "unload", out, kiln.unload_minutes),
    ):
        if not minutes:
            continue
        units = round(minutes * UNITS)
        parts = booked[key] = hands.share(
            model, f"{what} {key}", day, flow.studio.workers(day, {kiln.firing, *pieces}), units, fired
        )
        for worker, part in parts.items():
            own = [some for name, some in pieces.items() if flow.studio.does(worker, day, {name, kiln.firing})]
            if len(own) < len(pieces):
                model.add(part <= units * sum(own))
