"""The quick way to a sheet's cells against the thorough one."""

from __future__ import annotations

import csv
from collections.abc import Iterator

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pipeline.reading import table
from pipeline.reading.table import Table, cells, first_cells, table_of

CSVS = st.lists(
    st.lists(st.text("ab1.;\t ü\u2028\x0c\x1e\r\n\"'", max_size=4), max_size=4).map(",".join), min_size=1, max_size=6
).map("\n".join)


def whole(sheet: Table) -> list[list[str]]:
    """Every row without the blank cells at its end."""
    return [",".join(row).rstrip(",").split(",") for row in sheet.first(len(sheet))]


@pytest.fixture(scope="module", autouse=True)
def every_sheet_is_long() -> Iterator[None]:
    """So that all are read the quick way, if they can be."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(table, "SHORT", 0)
        yield


@given(CSVS, st.just(","))
@example("a,b\n\n1,2\n", ",")
@example("\na,b\n1,2", ",")
@example("a,b\r\n1\r\n", ",")
@example("a\n1,2\n", ",")
@example("a,b\n1,2\n\n\n", ",")
@example(" a, b\n1 ,\n,\n", ",")
@example("a,b\n" + "x" * 140_000 + ",1\n", ",")
def test_the_csv_module_is_the_reference(text: str, delimiter: str) -> None:
    """Source: Python's own csv module, told to be strict."""
    try:
        reference = Table(list(cells(text, delimiter)))
    except csv.Error:
        reference = None
    try:
        found = table_of(text, delimiter)
    except csv.Error:
        found = None
    assert (found is None) == (reference is None)
    if found is None or reference is None:
        return
    assert len(found) == len(reference)
    assert whole(found) == whole(reference)
    assert found.columns([0, 2, 7], 1).rows() == reference.columns([0, 2, 7], 1).rows()
    assert list(found.filled_outside([0, 2], 1)) == list(reference.filled_outside([0, 2], 1))


def test_a_long_sheet_is_read_the_quick_way() -> None:
    found = table_of("form,quantity\n" + "mug,24\n" * 3, ",")
    assert found.frame is not None
    assert found.columns([1], 1).rows() == [("24",)] * 3


@pytest.mark.parametrize(
    "text",
    [
        'form,note\nmug,"tall, blue"\n',
        "form,quantity\n" + "mug,24\n" * 20 + "mug,24,9\n",  # a row longer than the first ones
        "form,quantity\r\nmug,24\nbowl,6\r\n\rjug,1",
        "\n\n\n",
    ],
)
def test_what_needs_thought_is_not(text: str) -> None:
    assert table_of(text, ",").frame is None


@given(CSVS)
@example("a\rb\r\n\nc")
def test_the_first_rows_are_those_of_the_whole(text: str) -> None:
    def rows(found: Iterator[list[str]]) -> list[list[str]] | None:
        try:
            return list(found)
        except csv.Error:
            return None

    assert rows(first_cells(text, ",")) == rows(cells(text, ","))
