"""What the last books closed with against what the sheets now have, on paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import polars as pl

from pipeline.job import Job
from pipeline.plan import whole_plan
from pipeline.reading.read import read_job
from schemas import REQUIRED
from schemas.problem import problems_sheet
from tests.random_sheets import Cells
from tests.shops import frame, make_job
from tests.steps.worked import Results, worked

NAMES = ("what", "item", "order", "stage", "carried", "now", "carried_value", "value", "difference")

BUFF: Cells = {"clay": "buff", "bag_kg": 10.0, "bags": 4, "bag_price": Decimal("11.04")}


def job_of(*carried: Cells, **sheets: Any) -> Job:
    """An order of two cups of which one is thrown; 40 kg of buff at 1.104 are there, 44.16."""
    return make_job(
        **{
            "orders": [{"order": "A", "form": "cup", "quantity": 2}],
            "clay_stock": [BUFF],
            "stages": [{"stage": "throw"}, {"stage": "turn"}],
            "in_progress": [{"form": "cup", "stage_done": "throw", "pieces": 1}],
            "opening_balances": list(carried),
        }
        | sheets
    )


def differences(job: Job) -> list[tuple[Any, ...]]:
    return worked(job)["stock_differences"].select(NAMES).rows()


def money(*amounts: str) -> tuple[Decimal, ...]:
    return tuple(Decimal(amount) for amount in amounts)


CLAY: Cells = {"what": "raw materials", "item": "buff", "quantity": 40.0, "value": Decimal("44.16")}
THROWN: Cells = {
    "what": "part-made goods", "item": "cup", "stage": "throw", "quantity": 1.0, "materials": Decimal("0.44"),
    "value": Decimal("1.20"),
}  # fmt: skip


def test_without_last_books_there_is_nothing_to_differ_from() -> None:
    assert differences(job_of()) == []


def test_what_is_as_it_was_is_not_told() -> None:
    # A lot that was `to buy` has a name now: clay is held against clay, whatever the lots are called.
    halves = [CLAY | {"lot": lot, "quantity": 20.0, "value": Decimal("22.08")} for lot in ("L1", "to buy")]
    assert differences(job_of(*halves, THROWN)) == []


def test_less_clay_and_more_cups_than_were_carried_over() -> None:
    # 42.5 kg were worth 46.92: 2.76 less. A cup that cost 1.20 has become three: 2.40 more.
    job = job_of(
        CLAY | {"quantity": 42.5, "value": Decimal("46.92")},
        THROWN,
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 3}],
    )
    assert differences(job) == [
        ("raw materials", "buff", None, None, 42.5, 40.0, *money("46.92", "44.16", "-2.76")),
        ("part-made goods", "cup", None, "throw", 1.0, 3.0, *money("1.20", "3.60", "2.40")),
    ]


def test_finished_pieces_that_are_gone_and_those_that_no_order_has() -> None:
    # Three finished cups for the order are not in in_progress any more; two of another order stay as they are.
    for_it: Cells = {"what": "finished goods", "item": "cup", "order": "A", "quantity": 3.0, "value": Decimal(9)}
    other: Cells = for_it | {"order": "Z", "quantity": 2.0, "value": Decimal(5)}
    job = job_of(CLAY, THROWN, for_it, other)
    assert differences(job) == [("finished goods", "cup", None, None, 5.0, 2.0, *money("14", "5", "-9"))]
    left = worked(job)["finished_goods"].filter(order="Z").row(0, named=True)
    assert (left["opening"], left["closing"], left["closing_value"]) == (2, 2, Decimal(5))


def test_a_deposit_that_is_gone_is_told_and_a_new_one_is_none() -> None:
    held: Cells = {"what": "deposits held", "order": "A", "value": Decimal(50)}
    lines = [{"order": "A", "form": "cup", "quantity": 2, "deposit": Decimal(paid)} for paid in (20, 80)]
    less, more = (job_of(CLAY, THROWN, held, orders=[line]) for line in lines)
    assert differences(less) == [("deposits held", None, "A", None, 0, 0, *money("50", "20", "-30"))]
    assert differences(more) == []


def test_the_books_open_with_what_the_last_ones_closed_with() -> None:
    """The studio's books close on 25 March; the next plan begins from what they leave, counted just so."""
    folder = Path(__file__).resolve().parents[2] / "sample_data" / "studio"
    first = read_job(folder, today=date(2027, 3, 1), needed=REQUIRED).job
    assert first is not None
    closing = date(2027, 3, 25)
    before = worked(replace(first, settings=replace(first.settings, books_to=closing)))
    after = worked(_next(first, before, closing + timedelta(days=1)))
    # By form and stage: a line that needs fewer pieces than it had leaves some for no order.
    closed, opened = (
        sheet.filter(at=at)
        .group_by("form", "stage")
        .agg(pl.col("pieces", "materials", "value").sum())
        .sort("form", "stage")
        for sheet, at in ((before["part_made"], "closing"), (after["part_made"], "opening"))
    )
    assert closed.height > 4
    assert opened.equals(closed)
    told = after["stock_differences"].filter(pl.col("what").is_in(["part-made goods", "finished goods"]))
    assert told.is_empty()


def _next(job: Job, before: Results, start: date) -> Job:
    """The job of the next period: what is part-made is in progress, and the balances are carried over."""
    standing = before["part_made"].filter(at="closing").select("order", "form", "glaze", "stage", "pieces").rows()
    keys = ("order", "form", "glaze", "stage_done", "pieces")
    rows = [dict(zip(keys, row, strict=True)) | {"date": start - timedelta(days=1)} for row in standing]
    for row in rows:
        row["pieces"] = int(row["pieces"])
    balances = [dict(row) for row in before["closing_balances"].iter_rows(named=True)]
    frames = {
        name: frame(name, cells).with_columns(row=pl.int_range(2, pl.len() + 2, dtype=pl.Int64))
        for name, cells in (("in_progress", rows), ("opening_balances", balances))
    }
    return replace(job, settings=replace(job.settings, start=start), **frames)


def test_a_difference_is_a_doubt_and_pennies_are_not() -> None:
    # A penny on 44.16 is no more than rounding, and is booked; half a kilogram is told.
    def kinds(*carried: Cells) -> list[str]:
        told = whole_plan(job_of(*carried), problems_sheet(())).problems["kind"].to_list()
        return [kind for kind in told if kind in ("not what was carried over", "deposit gone")]

    assert kinds(CLAY | {"value": Decimal("44.17")}, THROWN) == []
    assert kinds(CLAY | {"quantity": 40.5}, THROWN) == ["not what was carried over"]
    deposit: Cells = {"what": "deposits held", "order": "A", "value": Decimal(50)}
    assert kinds(CLAY, THROWN, deposit) == ["deposit gone"]
