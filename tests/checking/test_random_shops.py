"""The rules on schedules of random shops: none is broken, until a row is taken away or changed."""

from __future__ import annotations

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.checking.schedule_rules import broken_rules
from tests.checking.one_at_a_time import planned
from tests.shops import fit_counts, shop


@pytest.mark.parametrize("seed", range(30))
def test_a_shop_planned_a_few_pieces_at_a_time_breaks_no_rule(seed: int) -> None:
    job = shop(seed)
    assert broken_rules(job, *planned(job), fit_counts(job)) == []


@settings(max_examples=60)
@given(st.integers(0, 10**9), st.sampled_from(["gone", "more", "before", "nobody"]))
def test_any_row_that_is_spoilt_is_told(pick: int, how: str) -> None:
    job = shop(7)
    pieces, schedule, loads = planned(job)
    at = pick % schedule.height
    here = pl.int_range(pl.len()) == at
    match how:
        case "gone":
            spoilt = schedule.filter(~here)
        case "more":
            spoilt = schedule.with_columns(pl.when(here).then(pl.col("pieces") + 1).otherwise("pieces").alias("pieces"))
        case "before":
            earlier = pl.lit(job.settings.start).dt.offset_by("-7d")
            spoilt = schedule.with_columns(pl.when(here).then(earlier).otherwise("date").alias("date"))
        case _:
            spoilt = schedule.with_columns(pl.when(here).then(pl.lit("nobody")).otherwise("worker").alias("worker"))
    assert broken_rules(job, pieces, spoilt, loads, fit_counts(job))
