"""Whole units of a decimal place as numbers: as Python's own division gives them, each next to its decimal."""

from __future__ import annotations

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.in_places import in_places
from tests.steps.planned import march, scheduled, thrown


@pytest.mark.parametrize("places", [2, 4, 6, 8])
@given(units=st.lists(st.integers(0, 10**12)))
def test_as_python_divides(places: int, units: list[int]) -> None:
    found = pl.DataFrame({"units": units}, {"units": pl.Int64}).select(in_places(pl.col("units"), places))
    assert found["units"].to_list() == [number / 10**places for number in units]


def test_the_minutes_of_a_schedule_are_such_numbers() -> None:
    """35 pieces of 0.01 minutes each are 0.35; 35 x 0.01 in binary numbers would be 0.35000000000000003."""
    job = thrown(
        orders=[{"order": name, "form": "cup", "quantity": 35, "due": march(5)} for name in "AB"],
        stages=[{"stage": "throw", "minutes_each": 0.01}],
    )
    assert scheduled(job).schedule["minutes"].to_list() == [0.35, 0.35]
