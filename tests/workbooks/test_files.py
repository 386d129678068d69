"""Which workbooks and tabs are sheets, and what is told of those that are not or cannot be read."""

from __future__ import annotations

import io
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from pipeline.reading import workbooks
from pipeline.reading.read import Reading, read_job
from schemas.workbook_kinds import WORKBOOK_KINDS
from tests.reading.folders import NEEDED, TODAY, told
from tests.workbooks.books import Cell, xlsx

ORDERS: list[list[Cell]] = [["order", "form", "quantity"], ["A1", "mug", 24]]
FORMS: list[list[Cell]] = [["form", "clay", "ball_g"], ["mug", "buff", 380]]
CLAY: list[list[Cell]] = [["clay", "bag_kg", "bags", "bag_price"], ["buff", 12.5, 4, 13.8]]
SOUND = {"orders": ORDERS, "forms": FORMS, "clay_stock": CLAY}
"""The shortest job in which nothing is wrong."""

SOUND_BOOK = xlsx(SOUND)
"""Made while openpyxl can still be had: a test takes it away."""


def read(folder: Path) -> Reading:
    return read_job(folder, today=TODAY, needed=NEEDED)


def put(folder: Path, **books: bytes) -> Path:
    """Workbooks in a folder, named without their ending."""
    for name, data in books.items():
        (folder / f"{name}.xlsx").write_bytes(data)
    return folder


@pytest.mark.parametrize(
    ("names"),
    [("orders", "forms", "clay_stock"), ("Orders", "FORMS", "Clay stock"), ("orders ", "Forms", "clay-stock")],
)
def test_tabs_are_known_by_their_names_however_they_are_written(tmp_path: Path, names: tuple[str, ...]) -> None:
    put(tmp_path, anything=xlsx(dict(zip(names, SOUND.values(), strict=True))))
    reading = read(tmp_path)
    assert told(reading) == []
    assert reading.job is not None
    assert reading.job.orders["quantity"].to_list() == [24]


def test_a_workbook_may_stand_for_the_folder(tmp_path: Path) -> None:
    """What else lies beside it is not looked at."""
    (tmp_path / "orders.csv").write_text("nonsense")
    put(tmp_path, shop=xlsx(SOUND))
    assert told(read(tmp_path / "shop.xlsx")) == []


def test_no_such_workbook_is_an_error_of_the_disk(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        read(tmp_path / "shop.xlsx")


def test_sheets_may_be_spread_over_workbooks_and_csvs(tmp_path: Path) -> None:
    put(tmp_path, orders=xlsx({"Sheet1": ORDERS}), stock=xlsx({"clay_stock": CLAY}))
    (tmp_path / "forms.csv").write_text("form,clay,ball_g\nmug,buff,380\n")
    assert told(read(tmp_path)) == []


def test_a_sheet_in_two_places_is_told_with_both(tmp_path: Path) -> None:
    put(tmp_path, shop=xlsx(SOUND), old=xlsx({"forms": FORMS}))
    (tmp_path / "orders.csv").write_text("order,form,quantity\nA1,mug,24\n")
    reading = read(tmp_path)
    assert reading.job is None
    assert reading.problems.select("sheet", "problem", "kind").rows() == [
        ("orders", "`shop.xlsx, tab orders` and `orders.csv` are both the sheet orders", "sheet twice"),
        ("forms", "`shop.xlsx, tab forms` and `old.xlsx, tab forms` are both the sheet forms", "sheet twice"),
    ]


def test_problems_have_the_row_of_the_spreadsheet(tmp_path: Path) -> None:
    """Two blank rows above the headings, one between: what was the fourth row typed stands in row 6."""
    rows: list[list[Cell]] = [[], [], *ORDERS, [], ["A2", "mug", "a dozen"]]
    put(tmp_path, shop=xlsx(SOUND | {"orders": rows}))
    assert told(read(tmp_path)) == [("orders", 6, "quantity", "not a whole number")]


def test_a_fraction_that_became_a_date_is_no_number(tmp_path: Path) -> None:
    """`3/4` typed for three quarters of a pound is the fourth of March to a spreadsheet."""
    forms: list[list[Cell]] = [FORMS[0], ["mug", "buff", TODAY.replace(month=3, day=4)]]
    put(tmp_path, shop=xlsx(SOUND | {"forms": forms}))
    reading = read(tmp_path)
    assert reading.job is None
    assert reading.problems.select("sheet", "row", "column", "value").rows() == [("forms", 2, "ball_g", "2027-03-04")]


def test_an_error_in_a_column_that_is_not_read_is_nobodys_business(tmp_path: Path) -> None:
    orders: list[list[Cell]] = [[*ORDERS[0], "my own sums"], [*ORDERS[1], "#N/A"]]
    put(tmp_path, shop=xlsx(SOUND | {"orders": orders}))
    assert told(read(tmp_path)) == [("orders", 1, None, "unknown column")]


def test_a_lock_of_a_program_is_no_workbook(tmp_path: Path) -> None:
    put(tmp_path, shop=xlsx(SOUND))
    (tmp_path / "~$shop.xlsx").write_bytes(b"\x05someone")
    (tmp_path / ".~lock.shop.xlsx#").write_bytes(b"someone")
    assert told(read(tmp_path)) == []


def without_openpyxl(folder: Path, patch: pytest.MonkeyPatch) -> None:
    """As on a machine where it was never installed."""
    patch.setitem(sys.modules, "openpyxl", None)
    put(folder, shop=SOUND_BOOK)


def cut_short(folder: Path, _: pytest.MonkeyPatch) -> None:
    put(folder, shop=SOUND_BOOK[:-200])


def no_sheet_inside(folder: Path, _: pytest.MonkeyPatch) -> None:
    put(folder, shop=SOUND_BOOK, letters=xlsx({"Sheet1": [["Dear", "Sir"]]}))


def a_tab_of_ones_own(folder: Path, _: pytest.MonkeyPatch) -> None:
    """A tab with nothing in it, as programs put into every new workbook, is not worth a word."""
    put(folder, shop=xlsx({**SOUND, "form": [["mug"]], "Sheet3": []}))


def several_tabs(folder: Path, _: pytest.MonkeyPatch) -> None:
    put(folder, orders=xlsx({"spring": ORDERS, "autumn": ORDERS}), rest=xlsx({"forms": FORMS, "clay_stock": CLAY}))


def an_old_workbook(folder: Path, _: pytest.MonkeyPatch) -> None:
    put(folder, shop=SOUND_BOOK)
    (folder / "Orders.xls").write_bytes(b"\xd0\xcf\x11\xe0")


def a_failed_formula(folder: Path, _: pytest.MonkeyPatch) -> None:
    put(folder, shop=xlsx(SOUND | {"orders": [ORDERS[0], ["A1", "#N/A", 24]]}))


def an_example_by_half(folder: Path, _: pytest.MonkeyPatch) -> None:
    put(folder, shop=xlsx(SOUND | {"orders": [*ORDERS, ["example: Harbour 3", "mug", 12]]}))


FAULTS: dict[str, tuple[Callable[[Path, pytest.MonkeyPatch], None], tuple[str, int | None, str | None]]] = {
    "no reader for workbooks": (without_openpyxl, ("shop.xlsx", None, None)),
    "damaged workbook": (cut_short, ("shop.xlsx", None, None)),
    "no sheet in the workbook": (no_sheet_inside, ("letters.xlsx", None, None)),
    "unknown tab": (a_tab_of_ones_own, ("shop.xlsx", None, None)),
    "several tabs": (several_tabs, ("orders", None, None)),
    "another format": (an_old_workbook, ("orders", None, None)),
    "error in a cell": (a_failed_formula, ("orders", 2, "form")),
    "half-changed example": (an_example_by_half, ("orders", 3, "order")),
}


def test_every_kind_has_a_faulty_sample() -> None:
    assert list(FAULTS) == [kind.code for kind in WORKBOOK_KINDS]
    assert all(kind.what_to_do and kind.meaning.endswith(".") for kind in WORKBOOK_KINDS)


@pytest.mark.parametrize("code", FAULTS)
def test_a_fault_is_told_once_and_at_its_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: str) -> None:
    make, place = FAULTS[code]
    make(tmp_path, monkeypatch)
    reading = read(tmp_path)
    assert told(reading) == [(*place, code)]
    severity = next(kind.severity for kind in WORKBOOK_KINDS if kind.code == code)
    assert (reading.job is None) == (severity == "stop")


def test_who_lacks_the_reader_is_told_what_to_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    without_openpyxl(tmp_path, monkeypatch)
    (problem,) = read(tmp_path / "shop.xlsx").problems["what_to_do"]
    assert "install the package `openpyxl` where wareboard is installed" in problem


def test_a_slip_in_a_tabs_name_has_a_suggestion(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    a_tab_of_ones_own(tmp_path, monkeypatch)
    assert read(tmp_path).problems["what_to_do"][0].startswith("rename it forms")


def old_workbook() -> bytes:
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(2000)


def zipped(name: str, content: bytes) -> bytes:
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as parts:
        parts.writestr(name, content)
    return memory.getvalue()


ENDLESS = (
    '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"'
    ' xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"'
    ' xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>'
    '<table:table table:name="orders"><table:table-row {row}><table:table-cell {cell}><text:p>x</text:p>'
    "</table:table-cell></table:table-row></table:table></office:spreadsheet></office:body></office:document-content>"
)
"""A tab whose one cell is repeated."""


@pytest.mark.parametrize(
    "data",
    [
        zipped("content.xml", ENDLESS.format(row='table:number-rows-repeated="999999999"', cell="").encode()),
        zipped("content.xml", ENDLESS.format(row="", cell='table:number-columns-repeated="999999999"').encode()),
        b"",
        b"order,form,quantity\n",
        old_workbook(),  # what a password makes of a workbook, too
        zipped("hello.txt", b"hello"),
        zipped("content.xml", b"<not>xml"),
        zipped("content.xml", b"<document/>"),
        zipped("xl/workbook.xml", b"<workbook/>"),
    ],
)
def test_other_files_by_a_workbooks_name(tmp_path: Path, data: bytes) -> None:
    put(tmp_path, shop=data)
    assert told(read(tmp_path)) == [("shop.xlsx", None, None, "damaged workbook")]


def test_a_workbook_that_would_fill_the_memory(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A megabyte of noughts packs into a kilobyte; the limit is lowered here so that the test is quick."""
    monkeypatch.setattr(workbooks, "LARGEST_UNPACKED", 1_000_000)
    put(tmp_path, shop=zipped("content.xml", bytes(1_000_001)))
    assert told(read(tmp_path)) == [("shop.xlsx", None, None, "sheet too large")]
    monkeypatch.setattr(workbooks, "LARGEST", 500)
    assert told(read(tmp_path)) == [("shop.xlsx", None, None, "sheet too large")]


def test_a_folder_by_a_workbooks_name(tmp_path: Path) -> None:
    (tmp_path / "shop.xlsx").mkdir()
    assert told(read(tmp_path)) == [("shop.xlsx", None, None, "sheet is a folder")]
