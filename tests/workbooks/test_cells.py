"""What the cells of a workbook become: the text that a person would have typed, or an error that is told."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

import openpyxl
import pytest

from pipeline.reading.cell_text import is_percent, number_text, percent_text
from pipeline.reading.read import read_job
from pipeline.reading.table import Rows
from pipeline.reading.workbooks import sheets_of
from schemas import REQUIRED
from tests.workbooks.books import saved, studio_book, xlsx


def rows_of(data: bytes) -> Rows:
    """The rows of the only sheet of a workbook."""
    found = sheets_of("orders.xlsx", "orders", data, {"orders"})
    assert not found.problems
    return found.sheets[0][2]


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (12.0, "12"),
        (12, "12"),
        (0.1 + 0.2, "0.3"),  # binary noise in the seventeenth digit
        (1234.5, "1234.5"),
        (13.80, "13.8"),
        (1e-7, "0.0000001"),
        (1e15, "1000000000000000"),
        (123456789.123, "123456789.123"),
        (-0.0, "0"),
        (-3.5, "-3.5"),
    ],
)
def test_numbers_are_written_out(value: float, text: str) -> None:
    assert number_text(value) == text


@pytest.mark.parametrize(
    ("value", "text"), [(0.12, "12%"), (0.07, "7%"), (1.0, "100%"), (0.125, "12.5%"), (0.29, "29%")]
)
def test_per_cents_are_what_the_spreadsheet_shows(value: float, text: str) -> None:
    """0.07 x 100 and 0.29 x 100 are 7.000000000000001 and 28.999999999999996 in binary."""
    assert percent_text(value) == text


@pytest.mark.parametrize(
    ("number_format", "percent"),
    [("0%", True), ("0.00%", True), ("0.0 %", True), ("[Red]0%", True), ("General", False), ('0" %"', False),
     (r"0\%", False)],
)  # fmt: skip
def test_per_cents_are_told_by_the_format(number_format: str, percent: bool) -> None:
    """ISO/IEC 29500-1 18.8.31: a per cent sign multiplies by 100, in quotes or after a backslash it is only shown."""
    assert is_percent(number_format) == percent


def formatted(value: object, number_format: str) -> bytes:
    book = openpyxl.Workbook()
    tab = book.active
    tab["A1"] = value
    tab["A1"].number_format = number_format
    memory = io.BytesIO()
    book.save(memory)
    return memory.getvalue()


CELLS: list[tuple[object, str, str]] = [
    ("mug", "General", "mug"),
    (12, "General", "12"),
    (12.5, "0.00", "12.5"),
    (0.1 + 0.2, "General", "0.3"),
    (0.12, "0%", "12%"),
    (0.07, "0.0%", "7%"),
    (13.8, "[$£-809]#,##0.00", "13.8"),
    (date(2027, 3, 4), "yyyy-mm-dd", "2027-03-04"),
    (date(2027, 3, 4), "d-mmm", "2027-03-04"),  # what a spreadsheet makes of 3/4
    (datetime(2027, 3, 4, 13, 30), "yyyy-mm-dd hh:mm", "2027-03-04T13:30:00"),
    (True, "General", "yes"),
    (False, "General", "no"),
    ("#N/A", "General", "#N/A"),
    ("#DIV/0!", "General", "#DIV/0!"),
    ("007", "@", "007"),
    ("3/4", "@", "3/4"),
    ("two\nlines", "General", "two\nlines"),
    ("two  spaces", "General", "two  spaces"),
    ("a\ttab", "General", "a\ttab"),
    ("<&>", "General", "<&>"),
]
"""What stands in a cell, how it is shown, and the text that it becomes."""


def book_of_cells() -> bytes:
    """The cells below one another; rows and columns left blank; and cells merged into one."""
    book = openpyxl.Workbook()
    cells, gaps, merged = book.active, book.create_sheet("forms"), book.create_sheet("kilns")
    cells.title = "orders"
    for row, (value, number_format, _) in enumerate(CELLS, start=1):
        cells.cell(row, 1, value).number_format = number_format
    gaps["B2"], gaps["C5"] = "order", "A1"
    gaps["F9"].number_format = "0.00"
    merged["A1"], merged["A2"], merged["C3"] = "order", "B-12", "end"
    merged.merge_cells("A2:B3")
    memory = io.BytesIO()
    book.save(memory)
    return memory.getvalue()


@pytest.fixture(scope="module", params=["xlsx", "ods"])
def tabs(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Rows]:
    """The rows of its tabs, as it was made or as LibreOffice saved it as OpenDocument."""
    data = book_of_cells()
    if request.param == "ods":
        room = tmp_path_factory.mktemp("cells")
        (room / "shop.xlsx").write_bytes(data)
        data = (saved(room / "shop.xlsx", "ods", room / "room") / "shop.ods").read_bytes()
    found = sheets_of("shop", "shop", data, {"orders", "forms", "kilns"})
    return {sheet: rows for sheet, _, rows in found.sheets}


def test_every_kind_of_cell(tabs: dict[str, Rows]) -> None:
    assert tabs["orders"] == [[text] for _, _, text in CELLS]


def test_blank_rows_keep_the_numbers_of_those_below(tabs: dict[str, Rows]) -> None:
    """Row 5 of the spreadsheet is the fifth, column C the third; what only has a format at the end is no row."""
    assert tabs["forms"] == [[], ["", "order"], [], [], ["", "", "A1"]]


def test_a_merged_cell_holds_its_value_once(tabs: dict[str, Rows]) -> None:
    assert tabs["kilns"] == [["order"], ["B-12"], ["", "", "end"]]


def test_a_per_cent_cell_is_the_per_cents_that_it_shows(tmp_path: Path) -> None:
    """5 % typed into a spreadsheet is kept as 0.05: a loss of 5 in 100 pieces, and not of 5 in 10,000."""
    book = openpyxl.load_workbook(io.BytesIO(studio_book()))
    loss, cover = book["stages"]["G3"], book["settings"]["B4"]
    assert (book["stages"]["G1"].value, book["settings"]["A4"].value) == ("loss_pct", "loss_cover")
    loss.value, loss.number_format = 0.05, "0%"
    cover.value, cover.number_format = 0.95, "0%"
    book.save(tmp_path / "shop.xlsx")
    read = read_job(tmp_path, today=date(2027, 3, 1), needed=REQUIRED).job
    assert read is not None
    assert read.stages.filter(read.stages["row"] == 3)["loss_pct"].to_list() == [5.0]
    assert read.settings.loss_cover == 0.95


@pytest.mark.parametrize(
    ("value", "number_format", "text"),
    [(time(13, 30), "hh:mm", "13:30:00"), (timedelta(hours=5), "[h]:mm:ss", "5:00:00")],
)
def test_times_are_no_numbers(value: time | timedelta, number_format: str, text: str) -> None:
    """Nobody may take half past one for 0.5625."""
    assert rows_of(formatted(value, number_format)) == [[text]]


def test_a_formula_is_its_value_and_one_never_worked_out_is_told(tmp_path: Path) -> None:
    """openpyxl writes formulas and no values; LibreOffice works them out as it saves."""
    data = xlsx({"orders": [["=2*3", "=1/0", '=IF(1=1,"","x")', "plain"]]})
    assert rows_of(data) == [["#NOT WORKED OUT!", "#NOT WORKED OUT!", "#NOT WORKED OUT!", "plain"]]
    (tmp_path / "orders.xlsx").write_bytes(data)
    again = saved(tmp_path / "orders.xlsx", "xlsx", tmp_path / "room") / "orders.xlsx"
    assert rows_of(again.read_bytes()) == [["6", "#DIV/0!", "", "plain"]]


def test_cells_beyond_the_size_that_the_file_states_are_read() -> None:
    """Programs state the size of a tab wrongly."""
    data = rewritten(
        xlsx({"orders": [["order", "form"], ["A1", "mug"]]}), rb'<dimension ref="[^"]*"', b'<dimension ref="A1"'
    )
    assert rows_of(data) == [["order", "form"], ["A1", "mug"]]


def test_more_rows_than_a_tab_can_have_are_damage() -> None:
    """Excel and LibreOffice have 1,048,576; a file that speaks of row 99,999,999 would fill the memory with blanks."""
    data = rewritten(xlsx({"orders": [["order"], ["A1"]]}), rb'(r="A?)2"', rb'\g<1>99999999"')
    found = sheets_of("orders.xlsx", "orders", data, {"orders"})
    assert [problem.kind for problem in found.problems] == ["damaged workbook"]


def rewritten(data: bytes, pattern: bytes, by: bytes) -> bytes:
    """A workbook with something replaced in its first tab's XML."""
    memory = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(memory, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                assert re.search(pattern, part)
                part = re.sub(pattern, by, part)
            new.writestr(name, part)
    return memory.getvalue()


def wrong(folder: Path, added: float | str, overhead: float | str) -> list[tuple[str, str]]:
    """Column and kind of the problems of a workbook with so many grams of added clay and that setting."""
    tabs = {
        "orders": [["order", "form", "quantity"], ["A1", "mug", 24]],
        "forms": [["form", "clay", "ball_g", "added_clay_g"], ["mug", "buff", 380, added]],
        "clay_stock": [["clay", "bag_kg", "bags", "bag_price"], ["buff", 12.5, 4, 13.8]],
        "settings": [["name", "value"], ["overhead_per_hour", overhead]],
    }
    (folder / "job.xlsx").write_bytes(xlsx(tabs))
    told = read_job(folder / "job.xlsx", today=date(2027, 3, 1), needed=("orders", "forms", "clay_stock")).problems
    return list(told.select("column", "kind").iter_rows())


def test_a_number_of_thousandths_is_a_number_and_such_text_may_be_thousands(tmp_path: Path) -> None:
    """1.234 is a little over one gram to who types a point before decimals, and 1,234 g to who types it between
    thousands. A cell that holds a number has decided that; text has not, as in a CSV."""
    assert wrong(tmp_path, 1.234, 4.125) == []
    assert wrong(tmp_path, "1.234", 4.125) == [("added_clay_g", "ambiguous number")]
    assert wrong(tmp_path, 1.234, "4.125") == [("value", "ambiguous number")]
    assert wrong(tmp_path, 0.5, 4.5) == []
