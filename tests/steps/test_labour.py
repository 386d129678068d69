"""Who works for what, and what it costs."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

import polars as pl

from tests.random_sheets import Cells
from tests.shops import START, frame, make_job
from tests.steps.worked import inputs, step

D = Decimal

ADA: Cells = {"worker": "Ada", "hourly_rate": D("16.00"), "own_time": True}
TAM: Cells = {"worker": "Tam", "hourly_rate": D("14.50")}


def work(minutes: float, **more: Any) -> Cells:
    row = {"date": START, "stage": "throw", "task": "work", "batch": "B1", "order": "A", "form": "cup", "pieces": 10}
    return row | {"worker": "Ada", "minutes": minutes} | more


def labour(schedule: list[Cells], hours: list[Cells], **settings: Any) -> pl.DataFrame:
    job = make_job(orders=[{"order": "A", "form": "cup", "quantity": 10}], labour_hours=hours, settings=settings)
    return step("labour")(**inputs("labour", job, {"schedule": frame("schedule", schedule)}))


def test_time_is_added_up_and_costed_once() -> None:
    # Ada 10 minutes on two days: 20 / 60 x 16.00 = 5.33 (twice 2.67 would be 5.34). Tam 45 minutes: 10.88 (10.875).
    schedule = [work(10.0), work(10.0, date=START + dt.timedelta(days=1)), work(45.0, worker="Tam")]
    found = labour(schedule, [ADA, TAM])
    assert found.select("worker", "own_time", "minutes", "paid_labour", "own_labour").rows() == [
        ("Ada", True, 20.0, D(0), D("5.33")),
        ("Tam", False, 45.0, D("10.88"), D(0)),
    ]


def test_stages_lines_loads_and_rates_are_told_apart() -> None:
    second = START + dt.timedelta(days=1)
    dearer = ADA | {"day": second.isoformat(), "hourly_rate": D("20.00")}
    schedule = [
        work(60.0),
        work(60.0, date=second),
        work(60.0, glaze="oat"),
        work(60.0, stage="fire", task="load", load="L1"),
        work(30.0, stage="fire", task="unload", load="L1"),
        work(30.0, stage="fire", task="load", load="L2"),
    ]
    found = labour(schedule, [ADA, dearer])
    assert found.select("glaze", "stage", "load", "minutes", "own_labour").rows() == [
        (None, "throw", None, 60.0, D("16.00")),
        (None, "throw", None, 60.0, D("20.00")),
        ("oat", "throw", None, 60.0, D("16.00")),
        (None, "fire", "L1", 90.0, D("24.00")),
        (None, "fire", "L2", 30.0, D("8.00")),
    ]


def test_without_a_rate_the_time_is_told_and_its_cost_is_blank() -> None:
    found = labour([work(60.0), work(30.0, worker="Tam")], [ADA | {"hourly_rate": None}, TAM])
    assert found.select("minutes", "hourly_rate", "paid_labour", "own_labour").rows() == [
        (60.0, None, D(0), None),
        (30.0, D("14.50"), D("7.25"), D(0)),
    ]


def test_work_that_takes_no_time_is_nobodys() -> None:
    assert labour([work(0.0), work(0.0, worker=None)], [ADA]).is_empty()
