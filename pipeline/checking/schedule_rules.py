"""The rules that make a schedule valid, each a function that its name sums up."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import pairwise

import polars as pl

from pipeline.checking.bats import bats_within_count
from pipeline.checking.facts import BrokenRule, Line, LoadRow, Row, Shop, batches_of, shop_of
from pipeline.checking.hours import hours_within_workers, minutes_add_up, workers_at_their_stages
from pipeline.checking.kiln_loads import from_before_the_plan, loaded_before, rules_of_kiln_loads
from pipeline.checking.supplies import materials_have_come
from pipeline.checking.waits import studio_pieces_used_once, waits_between_stages
from pipeline.checking.working_days import WEEKDAYS
from pipeline.job import Job


def broken_rules(
    job: Job,
    pieces: pl.DataFrame,
    schedule: pl.DataFrame,
    kiln_loads: pl.DataFrame,
    counts: Mapping[tuple[str, str, str], int],
) -> list[BrokenRule]:
    """Every rule that a schedule breaks; none if it can be worked as it stands.

    ``pieces``, ``schedule`` and ``kiln_loads`` are result sheets of those names; ``counts`` has, by firing, kiln and
    form, the pieces that fill the kiln alone, and no entry (or 0) for a form that does not go in. Whether the schedule
    is a good one is not asked.
    """
    shop = shop_of(job)
    rows = [Row(*values) for values in schedule.select(Row._fields).iter_rows()]
    loads = [LoadRow(*values) for values in kiln_loads.select(LoadRow._fields).iter_rows()]
    # A row at a stage that its form does not have is told once, by `pieces_as_planned`.
    known = [row for row in rows if (row.form, row.stage) in shop.stages]
    batches = batches_of(shop, known, loads)
    before = loaded_before(rows)
    return [
        *pieces_as_planned(pieces, rows),
        *unloaded_as_loaded(rows, before),
        *from_before_the_plan(shop, [row for row in rows if row.load in before]),
        *waits_between_stages(shop, batches),
        *studio_pieces_used_once(shop, batches),
        *hours_within_workers(shop, known),
        *workers_at_their_stages(shop, known),
        *bats_within_count(shop, batches),
        *rules_of_kiln_loads(shop, known, loads, counts),
        *no_work_before_the_start(shop, rows),
        *no_work_on_closed_days(shop, rows),
        *most_per_day_holds(shop, known),
        *materials_have_come(shop, known, batches),
        *tasks_fit_their_stages(shop, known),
        *batches_are_one_line_begun_on_one_day(shop, known),
        *minutes_add_up(shop, known, loads),
        *dates_in_order_with_their_weekdays(rows),
    ]


def pieces_as_planned(pieces: pl.DataFrame, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """5a: the pieces scheduled of a line at a stage are those of ``pieces``, less those already done."""
    planned: dict[tuple[Line, str], int] = {
        ((row["order"], row["form"], row["glaze"]), row["stage"]): row["pieces_in"] - row["already_done"]
        for row in pieces.rows(named=True)
    }
    scheduled: Counter[tuple[Line, str]] = Counter()
    for row in rows:
        scheduled[row.line, row.stage] += row.pieces if row.counts else 0
    for key in dict.fromkeys([*planned, *scheduled]):
        where = ", ".join(word for word in (*key[0], key[1]) if word is not None)
        if key not in planned:
            yield BrokenRule("5a", where, "It is scheduled, and `pieces` does not have it.")
        elif scheduled[key] != planned[key]:
            yield BrokenRule("5a", where, f"{scheduled[key]} pieces are scheduled, and {planned[key]} are to be done.")


def unloaded_as_loaded(rows: Sequence[Row], before: Collection[str | None]) -> Iterator[BrokenRule]:
    """5a: as many pieces of a batch come out of a load as went in; those of a load from ``before`` went in earlier."""
    loaded: Counter[tuple[str | None, str, Line]] = Counter()
    unloaded: Counter[tuple[str | None, str, Line]] = Counter()
    for row in rows:
        if row.task != "work" and row.load not in before:
            (loaded if row.counts else unloaded)[row.load, row.batch, row.line] += row.pieces
    for key in dict.fromkeys([*loaded, *unloaded]):
        if loaded[key] != unloaded[key]:
            what = f"{loaded[key]} pieces are loaded and {unloaded[key]} unloaded."
            yield BrokenRule("5a", f"load {key[0]}, batch {key[1]}", what)


def no_work_before_the_start(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """5f: nothing is scheduled before the first day of the plan."""
    start = shop.job.settings.start
    for row in rows:
        if row.date < start:
            yield BrokenRule("5f", row.where, f"The plan begins on {start}.")


def no_work_on_closed_days(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """5f: all work is on days with work; loading and unloading are rule 5e's."""
    for row in rows:
        if row.task == "work" and not shop.days.has_work(row.date):
            yield BrokenRule("5f", row.where, "It is a day without work.")


def most_per_day_holds(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """5g: no date has more pieces at a stage than the method allows of all forms, or ``form_minutes`` of one."""
    limits: dict[tuple[dt.date, str, str], int | None] = {}
    total: Counter[tuple[dt.date, str, str]] = Counter()
    for row in rows:
        if row.counts:
            stage = shop.stages[row.form, row.stage]
            of_method = (row.date, f"method {stage.method}", row.stage)
            of_form = (row.date, f"form {row.form}", row.stage)
            limits[of_method], limits[of_form] = stage.most_per_day, stage.most_of_form
            total[of_method] += row.pieces
            total[of_form] += row.pieces
    for (date, what, stage_name), limit in limits.items():
        made = total[date, what, stage_name]
        if limit is not None and made > limit:
            yield BrokenRule("5g", f"{date}, {stage_name}, {what}", f"{made} pieces, and {limit} are the most a day.")


def tasks_fit_their_stages(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """A firing is loaded and unloaded, in a kiln and a load; every other stage is worked, without either."""
    for row in rows:
        fired = shop.stages[row.form, row.stage].firing is not None
        if fired == (row.task == "work"):
            yield BrokenRule("row", row.where, f"Task `{row.task}` does not go with this stage.")
        if fired == (row.kiln is None) or fired == (row.load is None):
            yield BrokenRule("row", row.where, "Kiln and load stand at firings, and there alone.")


def batches_are_one_line_begun_on_one_day(shop: Shop, rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """A batch is pieces of one line; named B with a number it is begun on one day, named P it stood in the studio."""
    lines: dict[str, set[Line]] = defaultdict(set)
    begun: dict[str, set[dt.date]] = defaultdict(set)
    for row in rows:
        lines[row.batch].add(row.line)
        if shop.stages[row.form, row.stage].place == 0 and row.counts:
            begun[row.batch].add(row.date)
    for batch, of_lines in lines.items():
        if batch[:1] not in ("B", "P") or not batch[1:].isdigit():
            yield BrokenRule("row", f"batch {batch}", "A batch is named B or P and a number.")
        if len(of_lines) > 1:
            yield BrokenRule("row", f"batch {batch}", f"It has pieces of {len(of_lines)} lines.")
        if len(begun[batch]) > 1:
            yield BrokenRule("row", f"batch {batch}", f"It is begun on {len(begun[batch])} days.")


def dates_in_order_with_their_weekdays(rows: Sequence[Row]) -> Iterator[BrokenRule]:
    """Rows are in the order of their dates, and each has its weekday."""
    for before, row in pairwise(rows):
        if row.date < before.date:
            yield BrokenRule("row", row.where, f"It stands after {before.date}.")
    for row in rows:
        if row.weekday != WEEKDAYS[row.date.weekday()]:
            yield BrokenRule("row", row.where, f"It is a {WEEKDAYS[row.date.weekday()]}, not a {row.weekday}.")
