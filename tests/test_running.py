"""Running totals within groups whose rows stand together."""

from __future__ import annotations

import polars as pl
from hypothesis import given
from hypothesis import strategies as st

from pipeline.running import first_of, increase, running

GROUPS = st.lists(st.tuples(st.sampled_from(["A", "B", None]), st.sampled_from(["cup", "plate"]), st.integers(-9, 9)))


def test_a_total_begins_anew_with_each_group() -> None:
    # A: 3, then 3 + 4 = 7; then those without a name: 5; B: 2, then 2 + 1 = 3.
    rows = pl.DataFrame({"order": ["A", "A", None, "B", "B"], "pieces": [3, 4, 5, 2, 1]})
    found = rows.select(upto=running("pieces", first_of(["order"])))
    assert found["upto"].to_list() == [3, 7, 5, 2, 3]


def test_the_first_group_may_have_no_name() -> None:
    # 5, then 5 + 1 = 6; A: 2.
    rows = pl.DataFrame({"order": [None, None, "A"], "pieces": [5, 1, 2]})
    assert rows.select(upto=running("pieces", first_of(["order"])))["upto"].to_list() == [5, 6, 2]


def test_an_increase_begins_at_nought_with_each_group() -> None:
    # A: 3 more than nought, 7 - 3 = 4 more than before; B: 2, then 1, which is one less.
    rows = pl.DataFrame({"order": ["A", "A", "B", "B"], "pieces": [3, 7, 2, 1]})
    assert rows.select(more=increase("pieces", first_of(["order"])))["more"].to_list() == [3, 4, 2, -1]


@given(GROUPS)
def test_they_are_what_windows_of_polars_give(rows: list[tuple[str | None, str, int]]) -> None:
    names = ["order", "form"]
    schema = {"order": pl.String, "form": pl.String, "pieces": pl.Int64}
    frame = pl.DataFrame(rows, schema=schema, orient="row").sort(names, maintain_order=True)
    first = first_of(names)
    found = frame.select(upto=running("pieces", first), more=increase("pieces", first))
    pieces = pl.col("pieces")
    expected = frame.select(upto=pieces.cum_sum().over(names), more=pieces - pieces.shift(1, fill_value=0).over(names))
    assert found.equals(expected)
