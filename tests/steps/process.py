"""A process with its costs, as the steps of the books are fed with it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from decimal import Decimal
from typing import Any, NamedTuple

import polars as pl

from pipeline.job import Job
from pipeline.plan import work_out
from schemas.problem import problems_sheet
from tests.random_sheets import Cells
from tests.shops import START, frame, make_job

LINE: Cells = {"order": "A", "form": "unit", "glaze": None}


class Process(NamedTuple):
    """What comes of a process: what is part-made and lost, and the row of the finished goods."""

    part_made: pl.DataFrame
    made: dict[str, Any]
    seconds: list[dict[str, Any]]

    def units(self, at: str) -> tuple[float, float]:
        """Equivalent units, materials and conversion."""
        rows = self.part_made.filter(pl.col("at") == at)
        return rows["materials_units"].sum(), rows["conversion_units"].sum()

    def worth(self, at: str) -> tuple[Decimal, Decimal]:
        """What is in them, materials and conversion."""
        rows = self.part_made.filter(pl.col("at") == at)
        return Decimal(rows["materials"].sum()), Decimal(rows["conversion"].sum())


def process(
    degrees: Mapping[str, tuple[int, int]],
    worked: Mapping[str, int],
    put_in: tuple[str, str],
    *,
    opening: tuple[str, int, str, str] | None = None,
    wanted: int,
    settings: Cells | None = None,
    **sheets: Any,
) -> Process:
    """The books of one line of ``wanted`` units at the close.

    ``degrees`` has for each stage how complete a unit is after it, in per cent of its materials and of its conversion;
    ``worked`` how many units go through each before the books close; ``put_in`` the cost of materials and conversion.
    ``opening``: the last stage of the units that are there before, how many, and the money in them. The plan finishes
    them all, on the day after the books close. Only the schedule, the costs put in and what each stage adds to a unit
    are given to the steps; pieces, sales and the rest they work out themselves.
    """
    before: dict[str, Any] = {}
    if opening:
        stage, units, materials, conversion = opening
        value = Decimal(materials) + Decimal(conversion)
        before["in_progress"] = [LINE | {"stage_done": stage, "pieces": units}]
        before["opening_balances"] = [
            {"what": "part-made goods", "item": "unit", "order": "A", "stage": stage, "quantity": float(units),
             "materials": Decimal(materials), "value": value}
        ]  # fmt: skip
    stages = [{"stage": stage} for stage in degrees] if "stages" not in sheets else sheets.pop("stages")
    job = make_job(
        orders=[LINE | {"quantity": wanted}],
        stages=stages,
        settings={"books_to": START} | (settings or {}),
        **before,
        **sheets,
    )
    flow = work_out(("pieces",), job, problems_sheet(())).results["pieces"]
    dated = []
    for stage, to_do in flow.select("stage", pl.col("pieces_in") - pl.col("already_done")).iter_rows():
        done = worked.get(stage, 0)
        for day, units in ((START, done), (START + timedelta(days=1), to_do - done)):
            if units:
                dated.append(LINE | {"date": day, "stage": stage, "task": "work", "batch": "B1", "pieces": units})
    given = {
        "schedule": frame("schedule", dated),
        "piece_costs": _added(degrees, job),
        "costs_put_in": frame(
            "costs_put_in",
            [
                LINE | {"what": what, "cost": Decimal(cost)}
                for what, cost in zip(("materials", "paid labour"), put_in, strict=True)
            ],
        ),
    }
    results = work_out(("part_made", "finished_goods"), job, problems_sheet(()), given).results
    goods = results["finished_goods"].rows(named=True)
    return Process(results["part_made"], goods[0], goods[1:])


def _added(degrees: Mapping[str, tuple[int, int]], job: Job) -> pl.DataFrame:
    """What each stage adds to a unit of 100 of materials and 100 of work."""
    losses = dict(job.stages.select("stage", "loss_pct").iter_rows())
    rows, had = [], (0, 0)
    for step, (stage, degree) in enumerate(degrees.items(), 1):
        added = {
            name: Decimal(now - then) for name, now, then in zip(("materials", "paid_labour"), degree, had, strict=True)
        }
        rows.append({"form": "unit", "step": step, "stage": stage, "pieces": 1, "loss_pct": losses[stage]} | added)
        had = degree
    return frame("piece_costs", rows)
