"""A known plan told to the solver to begin from: it proves no less by it, and finds a first plan sooner."""

from __future__ import annotations

from collections import Counter

import polars as pl

from pipeline.exact.model import Exact


def hint(exact: Exact, schedule: pl.DataFrame) -> None:
    """Tells the model what a `schedule` does: pieces by day, kilns fired, forms set up."""
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
