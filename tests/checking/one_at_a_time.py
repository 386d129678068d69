"""A slow way to plan any shop: a few pieces at a time, each lot begun when the one before is finished.

It shows that a random shop can be planned at all, and gives the rules schedules with several workers, kilns, methods,
months and lots from the studio to judge. It has no aim but to be valid, and ignores losses: each line's pieces are as
many as are ordered, at every stage.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator

import polars as pl

from pipeline.checking.facts import Line, Stage, shop_of
from pipeline.checking.working_days import ONE_DAY, WEEKDAYS
from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import fit_counts, frame

FAR = dt.timedelta(days=400)
LOT = 3
"""Pieces in a lot: no more than there may be bats, and fewer than any other limit of a random shop."""


class OneAtATime:
    """The plan so far, by date; a step that leads nowhere is undone."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.shop = shop_of(job)
        self.counts = fit_counts(job)
        self.by_day: dict[dt.date, list[Cells]] = defaultdict(list)
        self.loads: list[Cells] = []

    def goes_on(self, lot: Cells, place: int, first: dt.date, last: dt.date | None) -> bool:
        """Plan the rest of a lot's route, stage ``place`` from ``first`` to ``last``; False if there is no way."""
        route = self.shop.routes[lot["form"]]
        if place == len(route):
            return True
        first = max(first, self.job.settings.start)
        latest = first + FAR if last is None else last
        for day in (first + i * ONE_DAY for i in range((latest - first).days + 1)):
            if not self.shop.days.has_work(day):
                continue
            for done in self._done(lot, route[place], day):
                if self.goes_on(lot, place + 1, *self.shop.window(route[place], done)):
                    return True
        return False

    def _done(self, lot: Cells, stage: Stage, day: dt.date) -> Iterator[dt.date]:
        """The dates on which the lot may be done with a stage begun on ``day``, each planned while it is looked at."""
        seen = any(
            (r["stage"], r["form"]) == (stage.name, lot["form"]) for r in self.by_day[day] if r["task"] != "unload"
        )
        minutes = lot["pieces"] * stage.minutes_each + (0 if seen else stage.setup_minutes)
        if stage.firing is None:
            if self._add(lot, stage, day, "work", minutes):
                yield day
                self.by_day[day].pop()
            return
        for firing in self.job.firings.filter(pl.col("firing") == stage.firing).rows(named=True):
            unload_on = self.shop.days.first_with_work(day + firing["days"] * ONE_DAY)
            taken = any(
                load["kiln"] == firing["kiln"] and load["load_on"] < unload_on and day < load["unload_on"]
                for load in self.loads
            )
            if unload_on is None or taken:
                continue
            kiln = {"kiln": firing["kiln"], "load": f"L{len(self.loads) + 1}"}
            if not self._add(lot | kiln, stage, day, "load", minutes + firing["load_minutes"]):
                continue
            if self._add(lot | kiln, stage, unload_on, "unload", firing["unload_minutes"]):
                share = 100 * lot["pieces"] / self.counts[stage.firing, firing["kiln"], lot["form"]]
                dates = {"load_on": day, "unload_on": unload_on}
                self.loads.append(lot | kiln | dates | {"firing": stage.firing, "share_pct": share})
                yield unload_on
                self.loads.pop()
                self.by_day[unload_on].pop()
            self.by_day[day].pop()

    def _add(self, lot: Cells, stage: Stage, day: dt.date, task: str, minutes: float) -> bool:
        """Put a row on a date if somebody has the time for it."""
        minutes = round(minutes, 2)
        head = {"date": day, "weekday": WEEKDAYS[day.weekday()], "stage": stage.name, "task": task, "minutes": minutes}
        for worker in self.job.labour_hours["worker"].unique(maintain_order=True) if minutes else [None]:
            if worker is not None:
                shift = self.shop.days.shift(worker, day)
                used = sum(row["minutes"] for row in self.by_day[day] if row["worker"] == worker)
                able = shift.stages is None or {stage.name, stage.firing} & shift.stages
                if not able or used + minutes > shift.hours * 60:
                    continue
            self.by_day[day].append(lot | head | {"worker": worker})
            return True
        return False


def planned(job: Job) -> tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]:
    """Pieces, schedule and kiln loads of a job, lots from the studio first. AssertionError if there is no way."""
    plan = OneAtATime(job)
    start = job.settings.start
    missing: dict[Line, int] = {(o, f, g): n for o, f, g, n in job.orders["order", "form", "glaze", "quantity"].rows()}
    done = {(line, stage.name): 0 for line in missing for stage in plan.shop.routes[line[1]]}
    first_work = plan.shop.days.first_with_work(start)
    studio = []
    for row in job.in_progress.rows(named=True):
        stage = plan.shop.stages[row["form"], row["stage_done"]]
        first, last = plan.shop.window(stage, row["date"])
        overdue = last is not None and first_work is not None and last < first_work
        studio.append((row, stage, first, None if overdue else last))
    studio.sort(key=lambda one: one[3] or dt.date.max)  # what may not wait goes first
    number = 0
    for row, stage, first, last in studio:
        left = row["pieces"]
        for line in missing:
            if line[1] != row["form"] or row["order"] not in (None, line[0]) or row["glaze"] not in (None, line[2]):
                continue
            while pieces := min(left, missing[line], LOT):
                number += 1
                lot = _lot(line, f"P{number}", pieces)
                assert plan.goes_on(lot, stage.place + 1, first, last), lot
                left -= pieces
                missing[line] -= pieces
                for before in plan.shop.routes[line[1]][: stage.place + 1]:
                    done[line, before.name] += pieces
    number = 0
    for line, left in missing.items():
        for begun in range(0, left, LOT):
            number += 1
            lot = _lot(line, f"B{number}", min(LOT, left - begun))
            assert plan.goes_on(lot, 0, max(plan.by_day, default=start), None), lot
    pieces_sheet = [
        {
            "order": order,
            "form": form,
            "glaze": glaze,
            "step": stage.place + 1,
            "stage": stage.name,
            "pieces_in": quantity,
        }
        | {"already_done": done[(order, form, glaze), stage.name]}
        for order, form, glaze, quantity in job.orders["order", "form", "glaze", "quantity"].rows()
        for stage in plan.shop.routes[form]
    ]
    rows = [row for day in sorted(plan.by_day) for row in plan.by_day[day]]
    return frame("pieces", pieces_sheet), frame("schedule", rows), frame("kiln_loads", plan.loads)


def _lot(line: Line, batch: str, pieces: int) -> Cells:
    order, form, glaze = line
    return {"order": order, "form": form, "glaze": glaze, "batch": batch, "pieces": pieces}
