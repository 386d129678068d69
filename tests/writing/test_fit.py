"""How wide and how high the cells of a table are: in long tables as in short ones, and quickly as by the library."""

from __future__ import annotations

import textwrap

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.writing.book.fit import lines_of
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import Head, add_table
from tests.writing import example


@given(st.text(alphabet="ab -\n\t\N{NO-BREAK SPACE}é", min_size=1, max_size=60), st.integers(1, 12))
def test_lines_are_counted_as_the_library_breaks_them(text: str, letters: int) -> None:
    assert lines_of(text, letters) == len(textwrap.wrap(text, letters, break_on_hyphens="-" in text))


def test_words_fill_a_line_to_its_last_letter() -> None:
    """Ten letters a line: `three jugs` and `and a bowl` have ten each; `and two bowls` has thirteen."""
    assert lines_of("three jugs and a bowl", 10) == 2
    assert lines_of("three jugs and two bowls", 10) == 3


@pytest.mark.parametrize("many", [2, 100])
def test_the_widest_cell_decides_in_long_tables_too(monkeypatch: pytest.MonkeyPatch, many: int) -> None:
    """A letter takes 1.05, and a cell 1 more: twelve letters 13.6. Of a text in two lines the longer line counts, so
    thirteen letters in one are wider than ten and nine: 14.65. A column of blanks is as wide as its heading: 4 letters,
    and 3 for the mark of the filter."""
    monkeypatch.setattr("pipeline.writing.book.fit.MANY", many)
    columns = {
        "one line": ["oat", "twelve signs", None],
        "two lines": ["ten or so.\nnine more", "thirteen more", "oat"],
        "blank": [None, None, None],
    }
    grid = Grid("x")
    heads = [Head(name, "head", "text", "") for name in columns]
    add_table(grid, heads, pl.DataFrame(columns, dict.fromkeys(columns, pl.String)), example.job().settings)
    assert grid.widths == pytest.approx([13.6, 14.65, 7.0])
