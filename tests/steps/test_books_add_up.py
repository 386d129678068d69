"""Nothing gets lost in the books: double entry, for shops at random and any day on which they close."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from random import Random
from typing import Any

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.job import Job
from schemas.settings import AVERAGE, IN, OLDEST_FIRST, OUT
from tests.shops import frame, random_shop
from tests.steps.worked import Results, worked

NOTHING = Decimal(0)


def total(frame: pl.DataFrame, *columns: str) -> Decimal:
    return sum((Decimal(frame[name].sum() or 0) for name in columns), NOTHING)


def priced(random: Random) -> Job:
    """A shop at random with prices, rates and seconds, a work log, books of the last period and a day on which its own
    close."""
    job = random_shop(random)

    def cents(most: int) -> pl.Expr:
        return pl.lit(Decimal(random.randrange(most)) / 100, pl.Decimal(38, 6))

    choices: dict[str, Any] = {
        "stock_value": random.choice([OLDEST_FIRST, AVERAGE]),
        "stock_overhead": random.choice([IN, OUT]),
        "overhead_per_hour": Decimal(random.randrange(900)) / 100,
        "energy_price": Decimal(random.randrange(60)) / 100,
        "currency": random.choice(["EUR", "EUR", "JPY"]),
        "books_to": random.choice([None, job.settings.start + timedelta(days=random.randrange(60))]),
    }
    log = [
        {"form": form, "stage": stage, "pieces_in": 20, "pieces_out": random.randrange(21),
         "date": job.settings.start + timedelta(days=random.randrange(40))}
        for form, stage in job.forms.join(job.stages, on="method").select("form", "stage").rows()
        if random.random() < 0.1
    ]  # fmt: skip
    opening = [
        {"what": "part-made goods", "item": form, "stage": stage, "quantity": float(pieces + random.choice([0, 0, 3])),
         "materials": Decimal("3.10"), "value": Decimal(random.randrange(310, 9000)) / 100}
        for form, stage, pieces in job.in_progress.unique(["form", "stage_done"], maintain_order=True)
        .select("form", "stage_done", "pieces").rows()
        if random.random() < 0.5
    ]  # fmt: skip
    return replace(
        job,
        settings=replace(job.settings, **choices),
        clay_stock=job.clay_stock.with_columns(bag_price=cents(2000)),
        labour_hours=job.labour_hours.with_columns(hourly_rate=cents(2500), own_time=pl.lit(random.random() < 0.3)),
        firings=job.firings.with_columns(other_cost=cents(700)),
        forms=job.forms.with_columns(seconds_pct=pl.lit(40.0), second_price=cents(300), other_cost=cents(90)),
        work_log=frame("work_log", log).with_columns(row=pl.lit(2, pl.Int64)),
        opening_balances=frame("opening_balances", opening).with_columns(row=pl.lit(2, pl.Int64)),
    )


def amounts(results: Results) -> dict[str, Decimal]:
    """The last line of the statement of each name."""
    return dict(results["cost_of_goods"].select("what", "amount").iter_rows())


@given(st.randoms(use_true_random=False))
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_all_that_is_put_in_is_somewhere(random: Random) -> None:
    job = priced(random)
    results = worked(job)
    stood, goods, put_in = (results[name] for name in ("part_made", "finished_goods", "costs_put_in"))
    ledger = results["materials_ledger"]

    # Part-made before and after, and what is put in, are the same on every sheet.
    for at in ("opening", "closing"):
        assert total(stood.filter(at=at), "value") == total(goods, f"{at}_part_made")
    assert total(put_in, "cost") == total(goods, "materials", "paid_labour", "firing", "overhead")
    assert total(put_in.filter(what="materials"), "cost") == total(ledger, "used_value")
    # Books of the whole plan have the costs that the plan has.
    if job.settings.books_to is None:
        costs = results["job_costs"]
        assert total(goods, "materials", "paid_labour", "firing") == total(costs, "materials", "paid_labour", "firing")
        assert total(goods, "overhead") in (0, total(costs, "overhead"))
    # What was there and came in is there, sold, or an expense.
    there = total(goods, "opening_part_made", "opening_value") + total(put_in, "cost")
    assert there == total(goods, "closing_part_made", "closing_value", "sold_value", "abnormal_loss")
    # In the statement, too.
    found = amounts(results)
    assert found["cost of goods sold"] == total(goods, "sold_value")
    assert found["cost of goods made"] == total(goods, "made_value")
    # Opening + bought - used = closing; opening + made - sold = closing; no piece is left below nought.
    for row in ledger.iter_rows(named=True):
        assert row["closing_kg"] == pytest.approx(
            row["opening_kg"] + row["bought_kg"] + row["reclaimed_kg"] - row["used_kg"], abs=1e-6
        )
        assert row["closing_value"] == row["opening_value"] + row["bought_value"] - row["used_value"]
        assert row["closing_kg"] > -0.001
    for row in goods.iter_rows(named=True):
        assert row["closing"] == pytest.approx(row["opening"] + row["made"] - row["sold"])
        assert row["closing"] >= 0
    # What is carried over is what is there.
    carried = results["closing_balances"].filter(pl.col("what") != "deposits held")
    assert total(carried, "value") == total(ledger, "closing_value") + total(
        goods, "closing_part_made", "closing_value"
    )
    if job.opening_balances.height:
        before = total(job.opening_balances, "value")
        now = total(ledger, "opening_value") + total(goods, "opening_part_made", "opening_value")
        assert total(results["stock_differences"], "difference") == now - before
