"""Rule 5e: what goes into the kilns, and when."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from pipeline.checking.facts import BrokenRule, LoadRow, Row, Shop

SHARE_TOLERANCE_PCT = 0.1
"""How far a share may be from the exact one, for its rounding."""


def rules_of_kiln_loads(
    shop: Shop, rows: Sequence[Row], loads: Sequence[LoadRow], counts: Mapping[tuple[str, str, str], int]
) -> Iterator[BrokenRule]:
    """Every part of rule 5e."""
    yield from loads_are_one_firing(loads)
    yield from firings_in_their_kilns(shop, rows, loads)
    yield from loads_fit(loads, counts)
    yield from shares_as_counted(loads, counts)
    yield from kilns_hold_one_load(shop, loads)
    yield from loaded_and_unloaded_on_days_with_work(shop, loads)
    yield from loads_as_scheduled([row for row in rows if row.load not in loaded_before(rows)], loads)


def loaded_before(rows: Sequence[Row]) -> set[str | None]:
    """The loads that are only unloaded: they were in a kiln when the plan began."""
    loads = {row.load for row in rows if row.task == "load"}
    return {row.load for row in rows if row.task == "unload"} - loads


def from_before_the_plan(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """What is only unloaded stands in ``in_progress`` as in that kiln, as many pieces, and comes out no sooner."""
    out: Counter[tuple[str, str, str | None]] = Counter()
    inside: Counter[tuple[str, str, str | None]] = Counter()
    soonest: dict[tuple[str, str, str | None], dt.date] = {}
    for standing in shop.job.in_progress.rows(named=True):
        key = (standing["form"], standing["stage_done"], shop.in_a_kiln(standing))
        inside[key] += standing["pieces"]
        soonest[key] = min(shop.done_on(standing), soonest.get(key, dt.date.max))
    for row in rows:
        key = (row.form, row.stage, row.kiln)
        out[key] += row.pieces
        if row.batch[:1] != "P" or row.date < soonest.get(key, dt.date.max) or not shop.days.has_work(row.date):
            yield BrokenRule("5e", row.where, f"Load {row.load} was never loaded, or is not out by then.")
        if out[key] > inside[key]:
            what = f"{out[key]} pieces come out of kiln `{row.kiln}`, and {inside[key]} were in it."
            yield BrokenRule("5e", row.where, what)


def loads_are_one_firing(loads: Sequence[LoadRow]) -> Iterator[BrokenRule]:
    """All rows of a load have one firing, one kiln, one day of loading and one of unloading."""
    seen: dict[str, set[tuple[str, str, dt.date, dt.date]]] = defaultdict(set)
    for row in loads:
        seen[row.load].add((row.firing, row.kiln, row.load_on, row.unload_on))
    for load, kinds in seen.items():
        if len(kinds) > 1:
            yield BrokenRule("5e", f"load {load}", "Its rows differ in firing, kiln or date.")


def firings_in_their_kilns(shop: Shop, rows: Sequence[Row], loads: Sequence[LoadRow]) -> Iterator[BrokenRule]:
    """A load's firing is one of its kiln, and is the firing of each stage that is loaded."""
    known = set(shop.job.firings.select("firing", "kiln").iter_rows())
    for load, firing, kiln in dict.fromkeys((row.load, row.firing, row.kiln) for row in loads):
        if (firing, kiln) not in known:
            yield BrokenRule("5e", f"load {load}", f"Kiln `{kiln}` has no firing `{firing}`.")
    firing_of = {row.load: row.firing for row in loads}
    for row in rows:
        stage = shop.stages.get((row.form, row.stage))
        if row.load in firing_of and stage is not None and stage.firing not in (None, firing_of[row.load]):
            what = f"Stage `{row.stage}` is firing `{stage.firing}`, and load {row.load} is `{firing_of[row.load]}`."
            yield BrokenRule("5e", row.where, what)


def loads_fit(loads: Sequence[LoadRow], counts: Mapping[tuple[str, str, str], int]) -> Iterator[BrokenRule]:
    """The pieces of a load, each 1 / the count that fills the kiln alone, fill it at most once; exact fractions."""
    filled: dict[str, Fraction] = defaultdict(Fraction)
    for row in loads:
        count = counts.get((row.firing, row.kiln, row.form), 0)
        if count < 1:
            what = f"`{row.form}` does not go into kiln `{row.kiln}` for firing `{row.firing}`."
            yield BrokenRule("5e", f"load {row.load}", what)
        else:
            filled[row.load] += Fraction(row.pieces, count)
    for load, share in filled.items():
        if share > 1:
            yield BrokenRule("5e", f"load {load}", f"It is {float(share * 100):.2f} % of what the kiln holds.")


def shares_as_counted(loads: Sequence[LoadRow], counts: Mapping[tuple[str, str, str], int]) -> Iterator[BrokenRule]:
    """``share_pct`` is the pieces over the count that fills the kiln, and a load's sum to 100 at most."""
    sums: dict[str, float] = defaultdict(float)
    for row in loads:
        sums[row.load] += row.share_pct
        count = counts.get((row.firing, row.kiln, row.form), 0)
        if count and abs(row.share_pct - 100 * row.pieces / count) > SHARE_TOLERANCE_PCT:
            what = f"{row.pieces} of {count} pieces are not {row.share_pct} % of the kiln."
            yield BrokenRule("5e", f"load {row.load}, batch {row.batch}", what)
    for load, total in sums.items():
        if total > 100 + 1e-6:  # the sum of binary fractions may be a hair above
            yield BrokenRule("5e", f"load {load}", f"Its shares add up to {total:.2f} %.")


def kilns_hold_one_load(shop: Shop, loads: Sequence[LoadRow]) -> Iterator[BrokenRule]:
    """A kiln is loaded again on the day when the load before is unloaded, or later; also that from before the plan."""
    of_kiln: dict[str, set[tuple[dt.date, dt.date, str]]] = defaultdict(set)
    for standing in shop.job.in_progress.rows(named=True):
        kiln = shop.in_a_kiln(standing)
        if kiln is not None:
            of_kiln[kiln].add((dt.date.min, shop.done_on(standing), "from before the plan"))
    for row in loads:
        of_kiln[row.kiln].add((row.load_on, row.unload_on, row.load))
    for kiln, stays in of_kiln.items():
        for (_, unload_on, before), (load_on, _, load) in pairwise(sorted(stays)):
            if load_on < unload_on and load != before:
                what = f"Kiln `{kiln}` is loaded on {load_on}, and holds load {before} until {unload_on}."
                yield BrokenRule("5e", f"load {load}", what)


def loaded_and_unloaded_on_days_with_work(shop: Shop, loads: Sequence[LoadRow]) -> Iterator[BrokenRule]:
    """Loading is on a day with work; unloading on the first one at or after the firing's days."""
    days_of = {(firing, kiln): days for firing, kiln, days in shop.job.firings["firing", "kiln", "days"].iter_rows()}
    stays = dict.fromkeys((row.load, row.firing, row.kiln, row.load_on, row.unload_on) for row in loads)
    for load, firing, kiln, load_on, unload_on in stays:
        if not shop.days.has_work(load_on):
            yield BrokenRule("5e", f"load {load}", f"It is loaded on {load_on}, a day without work.")
        if (firing, kiln) not in days_of:
            continue
        expected = shop.days.first_with_work(load_on + dt.timedelta(days=days_of[firing, kiln]))
        if unload_on != expected:
            what = f"Loaded on {load_on} it is unloaded on {expected}, not on {unload_on}."
            yield BrokenRule("5e", f"load {load}", what)


def loads_as_scheduled(rows: Sequence[Row], loads: Sequence[LoadRow]) -> Iterator[BrokenRule]:
    """``kiln_loads`` and the load and unload rows of ``schedule`` tell the same loads, batches, kilns and dates."""
    scheduled: Counter[tuple[object, ...]] = Counter()
    for row in rows:
        if row.task == "load":
            scheduled[row.load, row.batch, row.line, row.kiln, row.date] += row.pieces
    told: Counter[tuple[object, ...]] = Counter()
    for load in loads:
        told[load.load, load.batch, load.line, load.kiln, load.load_on] += load.pieces
    for key in dict.fromkeys([*scheduled, *told]):
        if scheduled[key] != told[key]:
            load_name, batch, _, kiln, date = key
            what = f"{scheduled[key]} pieces are scheduled into kiln `{kiln}`, and kiln_loads has {told[key]}."
            yield BrokenRule("5e", f"{date}, load {load_name}, batch {batch}", what)
    unloads = {(load.load, load.batch, load.line, load.kiln, load.unload_on) for load in loads}
    for row in rows:
        if row.task == "unload" and (row.load, row.batch, row.line, row.kiln, row.date) not in unloads:
            yield BrokenRule("5e", row.where, f"kiln_loads does not have load {row.load} unloaded so.")
