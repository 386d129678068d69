"""Headings however they are written, and what stands under none."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.reading.headings import letter
from tests.reading.folders import job_of, read, told


@pytest.mark.parametrize("heading", ["ball_g", "Ball g", " BALL_G ", "ball-g", "Ball  G"])
def test_a_heading_in_any_case_with_any_mark_between_its_words(tmp_path: Path, heading: str) -> None:
    forms = f"form,clay,{heading}\nmug,buff,380\n"
    assert job_of(tmp_path, forms=forms).forms["ball_g"].to_list() == [380.0]


def test_columns_stand_in_any_order(tmp_path: Path) -> None:
    orders = "quantity,due,form,order\n24,2027-04-30,mug,A1\n"
    assert job_of(tmp_path, orders=orders).orders.select("order", "form", "quantity").row(0) == ("A1", "mug", 24)


def test_blank_columns_are_passed_over(tmp_path: Path) -> None:
    orders = ",order,,form,quantity,,\n,A1,,mug,24,,\n"
    assert job_of(tmp_path, orders=orders).orders.select("order", "form", "quantity").row(0) == ("A1", "mug", 24)


def test_a_short_row_is_blank_at_its_end(tmp_path: Path) -> None:
    orders = "order,form,quantity,due,note\nA1,mug,24\n"
    assert job_of(tmp_path, orders=orders).orders.select("due", "note").row(0) == (None, None)


def test_all_unknown_missing_and_repeated_headings_come_at_once(tmp_path: Path) -> None:
    reading = read(tmp_path, orders="Order no,forms,quantity,Quantity,colour\nA1,mug,x,y,blue\n")
    assert told(reading) == [
        ("orders", 1, None, "unknown column"),
        ("orders", 1, None, "unknown column"),
        ("orders", 1, None, "unknown column"),
        ("orders", 1, "order", "missing column"),
        ("orders", 1, "form", "missing column"),
        ("orders", 1, "quantity", "column twice"),
    ]
    hints = reading.problems.filter(kind="unknown column")["what_to_do"].to_list()
    assert [hint.split(",")[0] for hint in hints] == [
        "rename it `order` if that is what it is",
        "rename it `form` if that is what it is",
        "leave it if it is a remark of your own",
    ]


def test_an_unknown_column_is_kept_out(tmp_path: Path) -> None:
    reading = read(tmp_path, orders="order,form,quantity,shade\nA1,mug,24,blue\n,,,only a remark\n")
    assert told(reading) == [("orders", 1, None, "unknown column")]
    assert reading.job is not None
    assert "shade" not in reading.job.orders.columns
    assert reading.job.orders.height == 1


def test_a_row_longer_than_the_headings_is_told_once(tmp_path: Path) -> None:
    orders = "order,form,quantity\nA1,mug,24,x,y\nA2,mug,24,,\n"
    assert told(read(tmp_path, orders=orders)) == [("orders", 2, None, "cell without a heading")]


def test_columns_have_the_spreadsheets_letters() -> None:
    """Z is the 26th column, AA the 27th, XFD the 16,384th and last of a common spreadsheet."""
    assert [letter(place) for place in (0, 25, 26, 51, 52, 701, 702, 16383)] == [
        "A", "Z", "AA", "AZ", "BA", "ZZ", "AAA", "XFD",
    ]  # fmt: skip
