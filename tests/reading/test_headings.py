"""Headings however they are written, and what stands under none."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from pipeline.reading.headings import letter
from pipeline.reading.read import read_sheet
from pipeline.reading.spelling import tidy
from pipeline.reading.synonyms import SYNONYMS
from schemas import SHEETS_IN
from schemas.sheet import columns
from tests.reading.folders import assumed, job_of, read, told


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
    reading = read(tmp_path, orders="Ordre,forms,quantity,Quantity,colour\nA1,mug,x,y,blue\n")
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


@pytest.mark.parametrize(
    ("heading", "column"),
    [("qty", "quantity"), ("QTY", "quantity"), ("Pcs", "quantity"), ("Deadline", "due"), ("due by", "due")],
)
def test_other_words_for_a_column_are_understood_and_told(tmp_path: Path, heading: str, column: str) -> None:
    cells = {"order": "A1", "form": "mug", "quantity": "24", "due": "2027-04-30"}
    row = {heading if name == column else name: cell for name, cell in cells.items()}
    job = job_of(tmp_path, orders=f"{','.join(row)}\n{','.join(row.values())}\n")
    assert job.orders.select("quantity", "due").row(0) == (24, date(2027, 4, 30))
    assert assumed(job)[f"orders: heading `{heading}`"] == column


def test_every_other_word_means_a_column_and_is_the_name_of_none() -> None:
    for sheet, synonyms in SYNONYMS.items():
        names = {column.name for column in columns(SHEETS_IN[sheet])}
        assert set(synonyms.values()) <= names
        assert not set(synonyms) & names
        assert all(tidy(word) == word for word in synonyms)


def test_a_slip_in_another_word_is_known_by_its_column(tmp_path: Path) -> None:
    reading = read(tmp_path, orders="order,form,quantity,deadlin\nA1,mug,24,2027-04-30\n")
    assert told(reading) == [("orders", 1, None, "unknown column")]
    assert reading.problems["what_to_do"].item().startswith("rename it `due`")


def test_a_column_and_another_word_for_it_are_one_too_many(tmp_path: Path) -> None:
    assert told(read(tmp_path, forms="form,clay,ball_g,Weight (lb)\nmug,buff,380,1\n")) == [
        ("forms", 1, "ball_g", "column twice")
    ]


@pytest.mark.parametrize(
    "top", ["Orders for spring\n", "Orders for spring,,\n\n", "\n,,\nStudio,2027,\nprinted 1 March\n", "Quantity\n"]
)
def test_rows_above_the_headings_are_passed_over_and_told(tmp_path: Path, top: str) -> None:
    job = job_of(tmp_path, orders=f"{top}order,form,quantity\nA1,mug,24\n")
    assert job.orders["row"].to_list() == [top.count("\n") + 2]
    numbers = [number for number, line in enumerate(top.splitlines(), 1) if line.strip(",")]
    rows = f"row {numbers[0]}" if len(numbers) == 1 else f"rows {', '.join(map(str, numbers))}"
    assert assumed(job)[f"orders: {rows}"] == "not read"


def test_headings_further_down_than_ten_rows_are_not_sought(tmp_path: Path) -> None:
    orders = "remark\n" * 10 + "order,form,quantity\nA1,mug,24\n"
    assert {kind for *_, kind in told(read(tmp_path, orders=orders))} >= {"missing column"}


def test_headings_once_more_are_passed_over_and_told(tmp_path: Path) -> None:
    job = job_of(tmp_path, orders="order,Form,quantity\nA1,mug,24\norder, Form ,quantity\nA2,mug,6\n")
    assert job.orders["order"].to_list() == ["A1", "A2"]
    assert assumed(job)["orders: row 3"] == "not read"


def test_a_row_that_only_begins_like_the_headings_is_a_row(tmp_path: Path) -> None:
    assert told(read(tmp_path, orders="order,form,quantity\norder,mug,24\norder,form,7\n")) == [
        ("orders", 3, "form", "unknown name")
    ]


def test_a_result_sheet_has_the_names_of_its_columns_alone() -> None:
    frame, problems = read_sheet("clay_to_wedge", b"date,clay,form,balls,ball_lb,total_kg,minutes\n", "standard input")
    assert frame is None
    assert set(problems["kind"]) == {"unknown column", "missing column"}
