"""The example row of a blank sheet: no fact until it is changed, and told if it is changed by half."""

from __future__ import annotations

from pathlib import Path

from pipeline.reading.set_aside import example_row
from schemas import SHEETS_IN
from tests.reading.folders import SOUND, job_of, read, told

HEADINGS = "order,customer,form,glaze,quantity,due,unit_price,deposit,priority,note\n"
EXAMPLE = "example: Harbour 3,Harbour Kitchen,beaker,oat,60,2027-04-30,14.00,100.00,1,stamp on the foot\n"


def test_the_example_is_the_schemas() -> None:
    assert (
        "\n".join([",".join(example_row(SHEETS_IN["orders"])), ",".join(example_row(SHEETS_IN["orders"]).values()), ""])
        == HEADINGS + EXAMPLE
    )


def test_an_untouched_example_is_no_row(tmp_path: Path) -> None:
    """Above or below what was typed; the rows keep their numbers."""
    job = job_of(tmp_path, orders=HEADINGS + EXAMPLE + "A1,,mug,,24,,,,,\n" + EXAMPLE)
    assert job.orders.select("order", "row").rows() == [("A1", 3)]


def test_nor_is_it_with_columns_deleted_or_moved(tmp_path: Path) -> None:
    job = job_of(tmp_path, orders="quantity,form,order\n60,beaker,example: Harbour 3\n24,mug,A1\n")
    assert job.orders["order"].to_list() == ["A1"]


def test_a_sheet_with_nothing_but_its_example_is_empty(tmp_path: Path) -> None:
    assert told(read(tmp_path, orders=HEADINGS + EXAMPLE)) == [("orders", None, None, "empty sheet")]
    example = example_row(SHEETS_IN["closed_days"])
    rows = f"{','.join(example)}\n{','.join(example.values())}\n"
    assert job_of(tmp_path, closed_days=rows).closed_days.is_empty()


def test_an_example_changed_by_half_is_told_and_not_planned(tmp_path: Path) -> None:
    reading = read(tmp_path, orders=SOUND["orders"].replace("due", "note") + "example: Harbour 3,mug,12,mine\n")
    assert told(reading) == [("orders", 3, "order", "half-changed example")]


def test_with_its_first_cell_changed_it_is_a_row_like_any_other(tmp_path: Path) -> None:
    row = EXAMPLE.replace("example: Harbour 3", "B7").replace("beaker", "mug")
    assert job_of(tmp_path, orders=HEADINGS + row).orders["order"].to_list() == ["B7"]


def test_an_error_is_told_once_and_not_as_blank_too(tmp_path: Path) -> None:
    """`form` must be filled in, and `#REF!` is no form: one problem, not three."""
    reading = read(tmp_path, orders="order,form,quantity,note\nA1,#REF!,24,\nA2,mug,#DIV/0!,\nA3,mug,5,Err:502\n")
    assert told(reading) == [
        ("orders", 2, "form", "error in a cell"),
        ("orders", 3, "quantity", "error in a cell"),
        ("orders", 4, "note", "error in a cell"),
    ]


def test_words_that_only_look_like_an_error_are_words(tmp_path: Path) -> None:
    job = job_of(tmp_path, orders="order,form,quantity,note\n#7,mug,24,#urgent!\n")
    assert job.orders.select("order", "note").rows() == [("#7", "#urgent!")]
