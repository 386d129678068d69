"""Schedules of shops at random: each can be worked, holds every piece, and is the same again."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from random import Random

import polars as pl
import pytest
from hypothesis import given, settings

from pipeline.checking.schedule_rules import broken_rules
from pipeline.job import Job
from pipeline.plan import work_out
from schemas.problem import problems_sheet
from tests.shops import fit_counts, make_job, shop, shops
from tests.steps.planned import Planned, planned, scheduled

ORDER_SAYS_NOTHING = (
    "forms", "stages", "form_minutes", "drying_months", "kilns", "kiln_fit", "bats_and_boards",
    "closed_days",
)  # fmt: skip
"""Sheets of which the order of the rows says nothing.

That of ``orders`` is the last resort in who goes first, that of ``labour_hours`` and ``firings`` in whose hands and
which kiln are taken, and ``in_progress`` gives the batches P1, P2 … their numbers.
"""


def assert_every_piece_is_somewhere(plan: Planned) -> None:
    """What enters a stage is there by the schedule or done before it; what leaves it enters the next or is lost."""
    at: Counter[tuple[object, ...]] = Counter()
    for *key, pieces in (
        plan.schedule.filter(pl.col("task") != "unload").select("order", "form", "glaze", "stage", "pieces").iter_rows()
    ):
        at[tuple(key)] += pieces
    wanted = {
        (order, form, glaze): quantity
        for order, form, glaze, quantity in plan.job.orders.select("order", "form", "glaze", "quantity").iter_rows()
    }
    ways: dict[tuple[object, ...], list[dict[str, object]]] = {line: [] for line in wanted}
    for row in plan.results["pieces"].sort("step").iter_rows(named=True):
        line = (row["order"], row["form"], row["glaze"])
        assert at[(*line, row["stage"])] + row["already_done"] == row["pieces_in"]
        ways[line].append(row)
    for line, stages in ways.items():
        for before, after in pairwise(stages):
            assert before["pieces_out"] == after["pieces_in"]
        assert all(row["pieces_out"] <= row["pieces_in"] for row in stages)
        # By chance, one piece may be enough for one wanted though less than one is to be expected of it.
        assert stages[-1]["pieces_out"] >= wanted[line] or plan.job.settings.loss_cover is not None


@settings(max_examples=12)
@given(shops())
def test_any_shop_is_planned_by_the_rules(job: Job) -> None:
    assert_every_piece_is_somewhere(scheduled(job))


def with_much_to_do(job: Job) -> Job:
    """The shop with 200 pieces more of its first order, which have had the first stage of their route with a window the
    day before the plan, if there is one.
    """
    order, form, glaze = job.orders.select("order", "form", "glaze").row(0)
    stages = job.forms.filter(form=form).join(job.stages, on="method").sort("step")
    windows = stages.filter(pl.col("wait_days_max").is_not_null())["stage"]
    if windows.is_empty():
        return job
    more = {"order": order, "form": form, "glaze": glaze, "stage_done": windows[0], "pieces": 200}
    standing = make_job(orders=[{"form": form}], in_progress=[more], settings={"start": job.settings.start}).in_progress
    quantity = pl.when(pl.int_range(pl.len()) == 0).then(200).otherwise("quantity").cast(pl.Int64)
    return replace(
        job,
        in_progress=pl.concat([job.in_progress, standing.with_columns(row=pl.lit(99, dtype=pl.Int64))]),
        orders=job.orders.with_columns(quantity.alias("quantity")),
    )


@pytest.mark.parametrize("seed", range(300, 308))
def test_more_than_there_is_time_for_is_in_the_plan_or_a_problem(seed: int) -> None:
    """Every piece is in a stage or a loss, or a problem that stops the plan says of which row it is."""
    job = with_much_to_do(shop(seed))
    outcome = work_out(("schedule", "kiln_loads"), job, problems_sheet(()))
    if outcome.stopped:
        assert outcome.problems["row"].null_count() == 0
    else:
        sheets = (outcome.results[name] for name in ("pieces", "schedule", "kiln_loads"))
        assert broken_rules(job, *sheets, fit_counts(job)) == []
        assert_every_piece_is_somewhere(Planned(job, outcome.results))


@pytest.mark.parametrize("seed", [0, 2, 20, 41, 47])
def test_the_same_sheets_give_the_same_plan(seed: int) -> None:
    first, again = planned(shop(seed)), planned(shop(seed))
    assert first.results.keys() == again.results.keys()
    assert all(first.results[name].equals(again.results[name]) for name in first.results)


@pytest.mark.parametrize("seed", range(100, 107))
def test_the_order_of_rows_that_says_nothing_changes_nothing(seed: int) -> None:
    job = shop(seed)
    mixed = {}
    for name in ORDER_SAYS_NOTHING:
        sheet = getattr(job, name)
        rows = list(range(sheet.height))
        Random(seed).shuffle(rows)
        mixed[name] = sheet[rows]
    one, other = scheduled(job), scheduled(replace(job, **mixed))
    assert one.schedule.equals(other.schedule)
    assert one.loads.equals(other.loads)
