"""A known plan told to the solver to begin from: it proves no less by it, and finds a first plan sooner."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping

import polars as pl
from ortools.sat.python import cp_model

from pipeline.exact.flow import Sum
from pipeline.exact.hands import Task
from pipeline.exact.model import Exact
from pipeline.exact.studio import UNITS


def hint(exact: Exact, schedule: pl.DataFrame) -> None:
    """Tells the model what a `schedule` does: pieces by day, kilns fired, forms set up, and in whose hands."""
    studio, model = exact.studio, exact.model
    pieces: Counter[tuple[object, ...]] = Counter()
    fired: set[tuple[str, str, int]] = set()
    busy: set[tuple[str, str, int]] = set()
    columns = ("order", "form", "glaze", "stage", "kiln", "date", "pieces")
    for *line, stage, kiln, date, some in schedule.filter(pl.col("task") != "unload").select(columns).iter_rows():
        day = studio.day(date)
        pieces[(*line, stage, kiln, day)] += some
        busy.add((line[1], stage, day))
        if kiln is not None:
            fired.add((str(studio.shop.stages[line[1], stage].firing), kiln, day))
    for channels in exact.flow.channels.values():
        for channel in channels:
            stage = channel.line.route[channel.place].name
            entered = 0
            for day, variable in channel.entered.items():
                entered += pieces[(*channel.line.name, stage, channel.kiln.name if channel.kiln else None, day)]
                model.add_hint(variable, entered)
    for key, load in exact.loads.fired.items():
        model.add_hint(load, key in fired)
    for (form, place, day), set_up in exact.hands.busy.items():
        model.add_hint(set_up, (form, studio.shop.routes[form][place].name, day) in busy)
    _hint_hands(exact, schedule)


def _hint_hands(exact: Exact, schedule: pl.DataFrame) -> None:
    """Whose hands do which pieces, set-ups and loads, where there is a choice.

    The sheet has the minutes of a row, of which those beyond its pieces' own are for a set-up or the load.
    """
    studio, hands, loads = exact.studio, exact.hands, exact.loads
    pieces: dict[Task, Counter[str]] = defaultdict(Counter)
    beyond: dict[Task, Counter[str]] = defaultdict(Counter)
    of_load: dict[tuple[str, tuple[str, str, int]], Counter[str]] = defaultdict(Counter)
    loaded_on: dict[str, int] = {}
    columns = ("form", "stage", "task", "date", "kiln", "load", "worker", "pieces", "minutes")
    for form, name, task, date, kiln, load, worker, some, minutes in schedule.select(columns).iter_rows():
        stage, day = studio.shop.stages[form, name], studio.day(date)
        if task == "load":
            loaded_on[load] = day
        if worker is None:
            continue
        more = round((minutes - (0 if task == "unload" else some * stage.minutes_each)) * UNITS)
        if task != "unload":
            pieces[form, stage.place, day][worker] += some
            beyond[form, stage.place, day][worker] += more
        if load is not None:
            of_load[task, (str(stage.firing), kiln, loaded_on[load])][worker] += more
    for at, shares in hands.pieces.items():
        _hint(exact, shares, pieces[at])
    for at, setups in hands.setups.items():
        _hint(exact, setups, dict.fromkeys([worker for worker, _ in beyond[at].most_common(1)], 1))
    for task, booked in (("load", loads.loading), ("unload", loads.unloading)):
        for key, parts in booked.items():
            _hint(exact, parts, of_load[task, key])


def _hint(exact: Exact, shares: Mapping[str, Sum], known: Mapping[str, int]) -> None:
    """Each worker's share; one who is alone has all of it, which follows from the rest."""
    for worker, share in shares.items():
        if len(shares) > 1 and isinstance(share, cp_model.IntVar):
            exact.model.add_hint(share, known.get(worker, 0))
