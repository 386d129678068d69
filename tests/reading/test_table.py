"""The quick way to a sheet's cells against the thorough one."""

from __future__ import annotations

import csv

from hypothesis import example, given
from hypothesis import strategies as st

from pipeline.reading.table import Table, cells, table_of

CSVS = st.lists(
    st.lists(st.text("ab1.;\t ü\u2028\x0c\r\n\"'", max_size=4), max_size=4).map(",".join), min_size=1, max_size=6
).map("\n".join)


def whole(table: Table) -> list[list[str]]:
    """Every row without the blank cells at its end."""
    return [",".join(row).rstrip(",").split(",") for row in table.first(len(table))]


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
    for place in range(3):
        column, expected = found.column(place, 1), reference.column(place, 1)
        assert column.fill_null("").to_list() == expected.to_list()
    assert list(found.filled_outside([0, 2], 1)) == list(reference.filled_outside([0, 2], 1))
