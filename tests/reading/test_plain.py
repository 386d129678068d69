"""What is called plain is read as it would be by the rooms that know every spelling."""

from __future__ import annotations

import polars as pl
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pipeline.reading.as_written import as_written
from pipeline.reading.cells import NUMBERS, value_of
from pipeline.reading.meant import Source, Ways
from pipeline.reading.plain import is_plain, plain_columns, plain_value
from pipeline.reading.set_aside import without_errors, without_example
from schemas import SHEETS_IN
from schemas.sheet import Column, columns

NUMBERS_AND_DATES = [
    (sheet, column)
    for sheet, model in SHEETS_IN.items()
    for column in columns(model)
    if column.kind in (*NUMBERS, "day") or (sheet, column.name) == ("labour_hours", "day")
]
EVERY = [(sheet, column) for sheet, model in SHEETS_IN.items() for column in columns(model)]

WRITTEN = st.one_of(
    st.none(),
    st.text("0123456789+-._eE, '%£=#", min_size=1, max_size=9),
    st.integers(-2_000_000_000, 2_000_000_000).map(str),
    st.decimals(-9999, 9999, places=3).map(str),
    st.dates().map(str),
    st.sampled_from(["Mon", "Mon-Fri", "mon", "Monday", "yes", "Total", "#N/A", "Err:502", "'=1", "example: mug", "٣"]),
)


def sheet_of(column: Column, cells: list[str | None]) -> pl.DataFrame:
    """A sheet with the one column, its text stripped as every cell is."""
    stripped = [None if cell is None else cell.strip() or None for cell in cells]
    return pl.DataFrame({column.name: pl.Series(stripped, dtype=pl.String), "row": range(2, 2 + len(cells))})


@given(st.sampled_from(EVERY), st.lists(WRITTEN, max_size=3))
@example(EVERY[0], ["example: mug"])
def test_the_quick_values_are_the_same(place: tuple[str, Column], cells: list[str | None]) -> None:
    sheet, column = place
    text = sheet_of(column, cells)
    if column.name not in plain_columns(sheet, [column], text):
        return
    quick = text.select(plain_value(sheet, column)).to_series()
    assert quick.dtype == column.type
    assert quick.to_list() == text.select(value_of(sheet, column)).to_series().to_list()
    assert without_errors(sheet, text, [column.name])[1] == []
    assert without_example(sheet, SHEETS_IN[sheet], text)[0].height == len(cells)


@given(
    st.sampled_from(NUMBERS_AND_DATES),
    st.lists(WRITTEN, max_size=3),
    st.sampled_from([None, ".", ","]),
    st.sampled_from([None, "day", "month", "year"]),
    st.booleans(),
    st.booleans(),
)
def test_no_other_spelling_is_seen_in_it(
    place: tuple[str, Column],
    cells: list[str | None],
    mark: str | None,
    order: str | None,
    semicolons: bool,
    typed: bool,
) -> None:
    """Whatever the settings and the file say: what is plain may only be meant as it stands."""
    sheet, column = place
    text = sheet_of(column, cells)
    if column.name not in plain_columns(sheet, [column], text):
        return
    source = Source(semicolons=semicolons, typed=typed)
    written = as_written(sheet, [column], [column.name], text, source, Ways(mark, order))
    assert (written.problems, written.readings) == ([], [])
    values = [frame.select(value_of(sheet, column)).to_series().to_list() for frame in (text, written.text)]
    assert values[0] == values[1]


@pytest.mark.parametrize(
    ("kind", "cell", "plain"),
    [
        ("number", "380", True),
        ("number", "-0.5", True),
        ("number", "0.125", True),  # nobody writes a nought before thousands
        ("number", "1.234", False),  # 1,234 where the point stands between thousands
        ("number", "1.2340", True),
        ("number", "1234.567", True),  # thousands would have another mark before the 234
        ("number", "1,5", False),
        ("number", "1e3", False),
        ("number", "1234567890", False),  # too large to be meant
        ("price", "13.80", True),
        ("price", "0.1234567", False),  # more decimals than money keeps
        ("day", "2027-03-05", True),
        ("day", "2027-3-5", False),
        ("day", "1827-03-05", False),
    ],
)
def test_what_is_plain(kind: str, cell: str, plain: bool) -> None:
    assert is_plain(kind, cell) == plain  # type: ignore[arg-type]  # a kind, in a table of the test
