"""Rules of a sheet's own rows, each by one row that keeps it and one that breaks it."""

from __future__ import annotations

from pathlib import Path

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pandera.errors import SchemaErrors

from pipeline.reading.read import read_job
from pipeline.reading.rules import rules_broken
from schemas import SHEETS_IN
from schemas.sheet import columns, types
from tests.reading.folders import NEEDED, TODAY, job_of, read, told

STAGES = "method,step,stage,wait_days,wait_days_max\nthrown,1,throw,{}\nthrown,2,turn,,\n"


def test_a_cell_that_is_not_understood_is_not_also_missing(tmp_path: Path) -> None:
    assert told(read(tmp_path, orders="order,form,quantity\nA1,mug,two dozen\n")) == [
        ("orders", 2, "quantity", "not a whole number")
    ]


def test_a_row_with_one_fault_is_still_checked_for_others(tmp_path: Path) -> None:
    """Not understood, out of range and unknown in one row: three cells, three problems."""
    orders = "order,form,quantity,priority\nA1,mugg,two dozen,0\n"
    assert told(read(tmp_path, orders=orders)) == [
        ("orders", 2, "form", "unknown name"),
        ("orders", 2, "quantity", "not a whole number"),
        ("orders", 2, "priority", "out of range"),
    ]


def test_blank_glazes_count_as_equal_in_a_key(tmp_path: Path) -> None:
    orders = "order,form,glaze,quantity\nA1,mug,,24\nA1,mug,oat,24\nA1,mug,,6\n"
    reading = read(tmp_path, orders=orders)
    assert told(reading) == [("orders", 4, "order", "row twice")]
    assert reading.problems["problem"].to_list() == ["`A1, mug` is already in row 2"]


def test_rows_whose_key_is_blank_where_it_must_not_be_are_blank_not_twice(tmp_path: Path) -> None:
    assert told(read(tmp_path, orders="order,form,quantity\n,mug,24\n,mug,6\n")) == [
        ("orders", 2, "order", "blank cell"),
        ("orders", 3, "order", "blank cell"),
    ]


def test_a_third_row_of_one_key_names_the_first(tmp_path: Path) -> None:
    reading = read(tmp_path, forms="form,clay,ball_g\nmug,buff,380\nmug,buff,400\nMUG,buff,420\n")
    assert told(reading) == [("forms", 3, "form", "row twice"), ("forms", 4, "form", "row twice")]
    assert reading.problems["problem"].to_list() == ["`mug` is already in row 2"] * 2


def test_a_ball_may_be_trimmed_to_nothing_and_no_further(tmp_path: Path) -> None:
    forms = "form,clay,ball_g,trimmings_g\nmug,buff,380,{}\n"
    assert job_of(tmp_path, forms=forms.format(380)).forms.height == 1
    assert told(read(tmp_path, forms=forms.format(380.5))) == [("forms", 2, "trimmings_g", "more trimmed than thrown")]


def test_most_days_may_be_the_least_and_no_fewer(tmp_path: Path) -> None:
    assert job_of(tmp_path, stages=STAGES.format("2,2")).stages.height == 2
    assert job_of(tmp_path, stages=STAGES.format(",0")).stages.height == 2
    assert told(read(tmp_path, stages=STAGES.format("2,1"))) == [("stages", 2, "wait_days_max", "waits crossed")]
    minutes = "form,stage,wait_days,wait_days_max\nmug,throw,3,2\n"
    assert told(read(tmp_path, form_minutes=minutes)) == [("form_minutes", 2, "wait_days_max", "waits crossed")]


def test_a_closed_day_may_end_on_the_day_it_begins(tmp_path: Path) -> None:
    assert job_of(tmp_path, closed_days="from,to\n2027-05-03,2027-05-03\n").closed_days.height == 1
    assert told(read(tmp_path, closed_days="from,to\n2027-05-03,2027-05-02\n")) == [
        ("closed_days", 2, "to", "dates crossed")
    ]


@pytest.mark.parametrize(
    ("column", "value", "bound"),
    [
        ("hours", "24.5", "at most 24"),
        ("hours", "-1", "at least 0"),
        ("hourly_rate", "-0.01", "at least 0"),
    ],
)
def test_a_bound_is_told_in_words(tmp_path: Path, column: str, value: str, bound: str) -> None:
    row = {"worker": "Ada", "day": "Mon", "hours": "5", "hourly_rate": "16"} | {column: value}
    reading = read(tmp_path, labour_hours=f"{','.join(row)}\n{','.join(row.values())}\n")
    assert told(reading) == [("labour_hours", 2, column, "out of range")]
    assert reading.problems["problem"].to_list() == [f"`{value}` cannot be: it must be {bound}"]


def test_problems_of_all_sheets_come_in_the_order_of_sheets_rows_and_columns(tmp_path: Path) -> None:
    for name, text in {
        "orders": "order,form,quantity,due\nA1,mug,0,soon\nA2,mug,-1,\n",
        "forms": "form,clay,ball_g\nmug,buff,0\n",
        "clay_stock": "clay,bag_kg,bags,bag_price\nbuff,0,4,\n",
        "potions": "a,b\n",
    }.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    assert told(read_job(tmp_path, today=TODAY, needed=NEEDED)) == [
        ("orders", 2, "quantity", "out of range"),
        ("orders", 2, "due", "not a date"),
        ("orders", 3, "quantity", "out of range"),
        ("forms", 2, "ball_g", "out of range"),
        ("clay_stock", 2, "bag_kg", "out of range"),
        ("clay_stock", 2, "bag_price", "blank cell"),
        ("potions.csv", None, None, "unknown sheet"),
    ]


NUMBERS = {
    sheet: [column for column in columns(model) if column.kind in ("whole", "number")]
    for sheet, model in SHEETS_IN.items()
}


@given(st.data())
def test_the_first_look_sees_whatever_pandera_sees(data: st.DataObject) -> None:
    """pandera by itself, given every column, is the reference for blanks and bounds."""
    sheet = data.draw(st.sampled_from([name for name, numbers in NUMBERS.items() if numbers]))
    edge = st.sampled_from([None, -1, 0, 1, 23, 24, 25, 99, 100, 101])
    height = data.draw(st.integers(1, 3))
    cells = {column.name: data.draw(st.lists(edge, min_size=height, max_size=height)) for column in NUMBERS[sheet]}
    whole = {column.name: cells.get(column.name, [None] * height) for column in columns(SHEETS_IN[sheet])}
    frame = pl.DataFrame(whole, schema=types(SHEETS_IN[sheet]))
    text = pl.DataFrame(cells).cast(pl.String).with_columns(row=pl.int_range(2, 2 + height))
    schema = SHEETS_IN[sheet].to_schema()
    expected = set()
    try:
        schema.validate(frame, lazy=True)
    except SchemaErrors as errors:
        cases = errors.failure_cases.filter(pl.col("check") != "multiple_fields_uniqueness")
        expected = {(row + 2, column) for row, column in cases.select("index", "column").iter_rows()}
    numbered = frame.with_columns(text["row"])
    found = rules_broken(sheet, SHEETS_IN[sheet], numbered, text)
    single = {"blank cell", "out of range"}
    assert {(problem.row, problem.column) for problem in found if problem.kind in single} == expected
