"""What is written as CSV reads back as it was."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from polars.testing import assert_frame_equal

from pipeline.reading.read import read_sheet
from pipeline.writing.csvs import csv_bytes, csv_text
from schemas import SHEETS_IN, SHEETS_OUT
from schemas.sheet import blank
from tests.shops import frame

FORMULAS = ["=1+1", "+SUM(A1:A10)", "-2*3", "@x", "\t=1", " =1", "=cmd|' /C calc'!A0", "-3", "007", "3/4"]
"""Source of the first six: OWASP, "CSV Injection"."""

QUOTED = ["b \r\nbb", 'b"bb', "a,b", "a;b", '"', "'", '6" rim']
"""Source of the first two: RFC 4180, section 2."""


def round_trip(sheet: str, rows: pl.DataFrame) -> pl.DataFrame:
    model = (SHEETS_IN | SHEETS_OUT)[sheet]
    for data in (csv_bytes(model, rows, 2), csv_text(model, rows, 2).encode()):
        found, problems = read_sheet(sheet, data, "standard input")
        assert problems.is_empty(), problems.rows()
        assert found is not None
    return found


def line(note: str) -> pl.DataFrame:
    return frame("orders", [{"order": "A1", "form": "mug", "quantity": 6, "note": note}])


@pytest.mark.parametrize("text", [*FORMULAS, *QUOTED])
def test_text_reads_back_as_it_was(text: str) -> None:
    assert round_trip("orders", line(text))["note"].item() == text


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12))
def test_any_text_that_was_read_reads_back_as_it_was(typed: str) -> None:
    """Whatever a cell held, what was made of it is kept from then on."""
    first = round_trip_once(typed)
    assert round_trip_once(first) == first


def round_trip_once(text: str) -> str:
    return round_trip("orders", line(text))["note"].item() or ""


@given(
    st.decimals(-9_999_999, 9_999_999, places=6),
    st.dates(date(1900, 1, 1), date(2999, 12, 31)),
    st.integers(1, 999_999_999),
)
def test_prices_dates_and_counts_read_back_as_they_were(price: Decimal, due: date, quantity: int) -> None:
    rows = frame("orders", [{"order": "A1", "form": "mug", "quantity": quantity, "due": due, "unit_price": abs(price)}])
    assert_frame_equal(round_trip("orders", rows), rows)


@pytest.mark.parametrize("sheet", [name for name in SHEETS_IN | SHEETS_OUT if name != "problems"])
def test_a_sheet_without_rows_reads_back_without_rows(sheet: str) -> None:
    model = (SHEETS_IN | SHEETS_OUT)[sheet]
    assert_frame_equal(round_trip(sheet, blank(model)), blank(model))
