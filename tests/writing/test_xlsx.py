"""The drawn workbook, read back by another library."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time
from decimal import Decimal
from io import BytesIO

import openpyxl
import polars as pl
import pytest
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from pipeline.writing.book import book
from pipeline.writing.book.cells import ROW, Book, Cells, Live, Look, Paper, Plain, Print
from pipeline.writing.book.grid import Grid
from pipeline.writing.xlsx import draw
from pipeline.writing.xlsx_parts import accepted
from schemas import SHEETS_OUT
from tests.writing import example


@pytest.fixture(scope="module")
def drawn() -> bytes:
    return draw(book(example.job(), example.results()))


@pytest.fixture(scope="module")
def read(drawn: bytes) -> openpyxl.Workbook:
    return openpyxl.load_workbook(BytesIO(drawn))


def column(sheet: Worksheet, heading: str) -> list[openpyxl.cell.Cell]:
    """The cells under a heading."""
    head = next(cell for row in sheet.iter_rows() for cell in row if cell.value == heading)
    return [cells[0] for cells in sheet.iter_rows(head.row + 1, sheet.max_row, head.column, head.column)]


def words(read: openpyxl.Workbook) -> Iterator[openpyxl.cell.Cell]:
    for sheet in read:
        for row in sheet.iter_rows():
            yield from (cell for cell in row if isinstance(cell.value, str))


def test_text_never_becomes_a_formula_or_a_link(read: openpyxl.Workbook) -> None:
    texts = [cell for cell in words(read) if cell.value in (example.FORMULA, example.LINK, "@fair", "+ lid")]
    # The customer of two lines on five tabs, and one reason among the assumptions.
    assert sum(cell.value == example.FORMULA for cell in texts) == 11
    assert {cell.value for cell in texts} == {example.FORMULA, example.LINK, "@fair", "+ lid"}
    assert all(cell.data_type == "s" and cell.hyperlink is None for cell in texts)


def _cached(value: object) -> object:
    """A formula's value as the other library gives it back: dates with a time, money binary, no text as None."""
    if isinstance(value, Decimal):
        return float(value)
    return datetime.combine(value, time()) if isinstance(value, date) else value or (value if value == 0 else None)


def test_every_formula_has_its_value(drawn: bytes) -> None:
    plan = book(example.job(), example.results())
    formulas = openpyxl.load_workbook(BytesIO(drawn))
    cached = openpyxl.load_workbook(BytesIO(drawn), data_only=True)
    count = 0
    for tab in plan.tabs:
        for at, row in enumerate(tab.rows, 1):
            for place, cell in enumerate(row, 1):
                if isinstance(cell, Live):
                    count += 1
                    assert formulas[tab.name].cell(at, place).value == cell.formula
                    assert _cached(cell.value) == cached[tab.name].cell(at, place).value
    assert count > 150


def test_headings_stay_in_sight_and_can_be_filtered(read: openpyxl.Workbook) -> None:
    assert read["costs"].freeze_panes == "C12"
    assert read["schedule"].freeze_panes == "C6"
    assert read["schedule"].auto_filter.ref == "A5:M32"
    assert read["costs"].auto_filter.ref == "A11:X14"
    assert read["calendar"].freeze_panes == "F12"


def test_number_formats(read: openpyxl.Workbook) -> None:
    costs = read["costs"]
    assert {cell.number_format for cell in column(costs, "book cost EUR")[:3]} == {"#,##0.00"}
    assert {cell.number_format for cell in column(costs, "unit price EUR")[:3]} == {"#,##0.00????"}
    assert column(read["promises"], "due")[0].number_format == "d mmm yyyy"
    assert column(read["clay to buy"], "needed kg")[0].number_format == "#,##0.0??"
    assert column(read["clay to buy"], "cost EUR")[2].number_format == "#,##0.00"
    assert column(read["clay to buy"], "cost EUR")[2].font.bold


@pytest.mark.parametrize(("currency", "format_"), [("JPY", "#,##0"), ("KWD", "#,##0.000")])
def test_money_has_the_places_of_its_currency(currency: str, format_: str) -> None:
    read = openpyxl.load_workbook(BytesIO(draw(book(example.job_in(currency), example.results()))))
    assert column(read["costs"], f"book cost {currency}")[0].number_format == format_


def test_columns_are_wide_enough_for_dates_and_money(read: openpyxl.Workbook) -> None:
    """`23 Mar 2027` has 11 characters; `123,456.78` has 10."""
    assert read["promises"].column_dimensions["G"].width >= 12
    assert read["costs"].column_dimensions["M"].width >= 10


BY_PAGE = {"load sheets": (None, 100), "charts": (81,)}
"""Tabs whose pages begin at rows of their own, and their scale. A4 has 265 mm between its margins, at 96 to the inch
1,001 pixels: load sheets are not so wide; charts of 950 pixels are 1,235 with wider letters, and fit at 81 %."""


TWO_PAGES_WIDE = (
    "costs", "earnings", "packs to buy", "purchases", "piece costs", "part-made", "finished goods", "firing costs",
)  # fmt: skip


def test_every_tab_is_set_up_for_print(read: openpyxl.Workbook) -> None:
    for sheet in read:
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.page_setup.paperSize == 9  # A4
        if sheet.title in BY_PAGE:
            assert sheet.page_setup.scale in BY_PAGE[sheet.title]
            assert not sheet.sheet_properties.pageSetUpPr.fitToPage
        else:
            assert sheet.page_setup.fitToWidth == (2 if sheet.title in TWO_PAGES_WIDE else None)
            assert sheet.sheet_properties.pageSetUpPr.fitToPage
        # US Letter, 279 mm wide lying, has 6 mm of white and more left at each side of what fills A4's 297 mm.
        printed = 297 / 25.4 - sheet.page_margins.left - sheet.page_margins.right
        assert (279.4 / 25.4 - printed) / 2 > 0.25
        assert sheet.oddFooter.left.text == "&A"
        assert "Page &P" in sheet.oddFooter.right.text
    assert read["schedule"].print_title_rows == "$5:$5"
    assert read["calendar"].print_title_rows == "$8:$11"
    assert read["calendar"].print_title_cols == "$A:$E"
    assert read["costs"].print_title_cols == "$A:$E"
    assert read["costs"].print_title_rows == "$11:$11"
    # All that is in a tab is printed, but for the charts, which lie over cells that have nothing in them.
    assert {sheet.title for sheet in read if not sheet.print_area} == {"charts"}
    assert read["costs"].print_area == f"'costs'!$A$1:${get_column_letter(read['costs'].max_column)}$15"


def test_each_load_and_each_chart_begins_a_page(read: openpyxl.Workbook) -> None:
    """A page break is told by the row that it is below: the second load's title is on the row after it."""
    sheet = read["load sheets"]
    titles = [cell.row for (cell,) in sheet.iter_rows(max_col=1) if str(cell.value).startswith("Load L")]
    assert len(titles) == 2
    assert [mark.id + 1 for mark in sheet.row_breaks.brk] == titles[1:]
    sheet = read["charts"]
    titles = [cell.row for (cell,) in sheet.iter_rows(max_col=1) if cell.font.b]
    assert len(titles) == 3
    assert [mark.id + 1 for mark in sheet.row_breaks.brk] == titles[1:]
    # A chart stays on its page: it ends above the next title. It is 540 pixels high, a row 20.
    tops = [drawn.anchor._from.row + 1 for drawn in sheet._charts]
    assert [top + 540 / 20 < end for top, end in zip(tops, titles[1:], strict=False)] == [True, True]


def test_a_tab_of_wide_columns_is_printed_smaller() -> None:
    """250 letters of 7 pixels and 5 beside them are 1,755: 1,001 pixels hold 57 per cent of that, a Letter page, 11 in
    less twice 16 mm or 935 pixels, 53."""
    grid = Grid("x")
    grid.widen(0, 250)
    grid.add(Plain("wide"))
    tab = grid.tab(printed=Print(new_pages=(1,)))
    papers: tuple[Paper, ...] = ("A4", "Letter")
    scales = []
    for paper in papers:
        plan = Book("x", date(2027, 3, 1), 2, paper, (tab,), {})
        scales.append(openpyxl.load_workbook(BytesIO(draw(plan)))["x"].page_setup.scale)
    assert scales == [57, 53]


def test_notes_explain_the_headings(read: openpyxl.Workbook) -> None:
    head = next(cell for row in read["costs"].iter_rows() for cell in row if cell.value == "book cost EUR")
    assert head.comment.text == "Materials, firing, paid labour, less the seconds' value: for the books."


def test_totals_have_names(read: openpyxl.Workbook) -> None:
    assert read.defined_names["clay_cost_total"].attr_text == "'clay to buy'!$L$8"
    assert set(read.defined_names) >= {"clay_cost_total", "hours_total", "book_cost_total", "full_cost_total"}


def test_the_chart_holds_right_values(drawn: bytes) -> None:
    """A chart keeps values of its own, which previews show: 76 minutes of throwing on the second day."""
    with zipfile.ZipFile(BytesIO(drawn)) as parts:
        chart = parts.read("xl/charts/chart1.xml").decode()
    assert re.search(r"<c:v>1\.26666666666666", chart)
    assert "throw" in chart


def test_same_content_same_bytes(drawn: bytes) -> None:
    assert draw(book(example.job(), example.results())) == drawn


def test_pressed_part_by_part_a_file_is_the_same(drawn: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    """The rows of a sheet are in several parts then, and more of them at a time than may wait."""
    monkeypatch.setattr("pipeline.writing.xlsx_parts.PART", 1)
    monkeypatch.setattr("pipeline.writing.xlsx_parts.WAITING", 2)
    assert draw(book(example.job(), example.results())) == drawn


def test_made_on_the_first_day_of_the_plan(read: openpyxl.Workbook) -> None:
    assert read.properties.created.isoformat() == "2027-03-01T00:00:00"


def test_a_workbook_without_any_result_can_be_drawn() -> None:
    read = openpyxl.load_workbook(BytesIO(draw(book(example.job(), example.without_rows(*SHEETS_OUT)))))
    assert read["schedule"]["A6"].value == "nothing to show"


def test_a_refusal_of_the_library_is_no_silence() -> None:
    with pytest.raises(ValueError, match="refused"):
        accepted(-1)
    accepted(0)


def test_a_stage_named_like_a_formula_names_its_part_of_the_chart() -> None:
    """A chart's names are text of the sheets, too."""
    plan = book(*example.with_stage_named(example.FORMULA))
    with zipfile.ZipFile(BytesIO(draw(plan))) as parts:
        chart = parts.read("xl/charts/chart1.xml").decode()
    names = re.findall(r"<c:tx><c:strRef><c:f>(.*?)</c:f>.*?<c:v>(.*?)</c:v>", chart)
    assert ("hours!$D$5", "=1+1") in names or ("'hours'!$D$5", "=1+1") in names
    assert len(names) == 8


def told(cell: openpyxl.cell.Cell) -> tuple[object, ...]:
    """What a cell holds and how it looks."""
    return cell.coordinate, cell.value, cell.number_format, cell.font.b, cell.fill.fgColor.rgb, cell.border.bottom.style


def test_a_long_table_is_written_part_by_part(read: openpyxl.Workbook, monkeypatch: pytest.MonkeyPatch) -> None:
    """By columns from two rows on instead of hundreds, two rows at once instead of thousands: every cell, its look and
    every height is the same."""
    monkeypatch.setattr("pipeline.writing.xlsx_rows.MANY", 2)
    monkeypatch.setattr("pipeline.writing.xlsx_rows.ROWS_AT_ONCE", 2)
    again = openpyxl.load_workbook(BytesIO(draw(book(example.job(), example.results()))))
    for one, other in zip(read, again, strict=True):
        for cells, others in zip(one.iter_rows(), other.iter_rows(), strict=True):
            assert list(map(told, cells)) == list(map(told, others))
        heights = [{row: size.height for row, size in sheet.row_dimensions.items()} for sheet in (one, other)]
        assert heights[0] == heights[1]


@pytest.mark.parametrize("many", [2, 100])
def test_a_column_may_hold_all_kinds_of_cells(monkeypatch: pytest.MonkeyPatch, many: int) -> None:
    """By column as cell by cell: a formula in some rows, blanks, a text that is in the column before, too, nought below
    nought, which has no sign, and whole numbers of more than 16 figures, which are written in full."""
    monkeypatch.setattr("pipeline.writing.xlsx_rows.MANY", many)
    grid = Grid("x")
    columns = (
        Cells(["oat", "oat", None], Look()),
        Cells(["oat", "<oat>", "slate"], Look(), ["", f"B{ROW}&A{ROW}", ""]),
        Cells([-0.0, None, 1.5], Look("number")),
        Cells([0, 12345678901234567, 1], Look("whole")),
        Cells(pl.Series([Decimal("-0.00"), None, Decimal("2.50")]), Look("amount"), f"C{ROW}"),
    )
    grid.stack(3, dict(enumerate(columns)))
    drawn = draw(Book("x", date(2027, 3, 1), 2, "A4", (grid.tab(),), {}))
    with zipfile.ZipFile(BytesIO(drawn)) as parts:
        rows = re.sub(' s="[0-9]+"', "", parts.read("xl/worksheets/sheet1.xml").decode())
        assert re.findall("<row.*?</row>", rows) == [
            '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>0</v></c><c r="C1"><v>0</v></c>'
            '<c r="D1"><v>0</v></c><c r="E1"><f>C1</f><v>0.0</v></c></row>',
            '<row r="2"><c r="A2" t="s"><v>0</v></c><c r="B2" t="str"><f>B2&amp;A2</f><v>&lt;oat&gt;</v></c><c r="C2"/>'
            '<c r="D2"><v>12345678901234567</v></c><c r="E2"><f>C2</f><v></v></c></row>',
            '<row r="3"><c r="A3"/><c r="B3" t="s"><v>1</v></c><c r="C3"><v>1.5</v></c>'
            '<c r="D3"><v>1</v></c><c r="E3"><f>C3</f><v>2.5</v></c></row>',
        ]
        # Four cells hold one of two texts.
        assert 'count="4" uniqueCount="2"' in parts.read("xl/sharedStrings.xml").decode()


def test_a_number_that_no_cell_holds_is_no_silence() -> None:
    grid = Grid("x")
    grid.add(Plain(float("inf"), Look("number")))
    with pytest.raises(ValueError, match="no cell can hold"):
        draw(Book("x", date(2027, 3, 1), 2, "A4", (grid.tab(),), {}))


@pytest.mark.parametrize(("height", "places"), [(1_048_577, (0,)), (1, (16_384,))])
def test_more_than_a_sheet_holds_is_no_silence(height: int, places: tuple[int, ...]) -> None:
    """A sheet has 1,048,576 rows and 16,384 columns (limits of the file format, from memory)."""
    grid = Grid("x")
    grid.stack(height, {place: Cells(["x"] * height, Look()) for place in places})
    with pytest.raises(ValueError, match="refused"):
        draw(Book("x", date(2027, 3, 1), 2, "A4", (grid.tab(),), {}))


def test_rows_are_as_high_as_whole_pixels_make_them() -> None:
    """31 points are 41 1/3 pixels, shown as 41, which are 30.75; of the usual 15, 20 pixels, nothing is said."""
    grid = Grid("x")
    grid.heights = {grid.add(Plain("high")): 31.0, grid.add(Plain("usual")): 15.0}
    read = openpyxl.load_workbook(BytesIO(draw(Book("x", date(2027, 3, 1), 2, "A4", (grid.tab(),), {}))))
    assert [read["x"].row_dimensions[row].height for row in (1, 2)] == [30.75, None]


def test_letters_that_count_twice_are_cut_before_they_are_too_many() -> None:
    """A cell holds 32,767 units of 16 bits, and the sign of a jar takes two: 16,383 of them fit, and half a one not."""
    grid = Grid("x")
    grid.add(Plain("\N{AMPHORA}" * 20_000))
    read = openpyxl.load_workbook(BytesIO(draw(Book("x", date(2027, 3, 1), 2, "A4", (grid.tab(),), {}))))
    assert read["x"]["A1"].value == "\N{AMPHORA}" * 16_383


def test_a_text_longer_than_a_cell_holds_is_cut() -> None:
    """A cell holds 32,767 characters (limits of the file format, from memory)."""
    results = example.results()
    results["problems"] = results["problems"].with_columns(value=pl.lit("x" * 40_000))
    read = openpyxl.load_workbook(BytesIO(draw(book(example.job(), results))))
    assert len(read["problems"]["D5"].value) == 32_767
    assert read["problems"].row_dimensions[5].height < 409


def test_a_grid_widens_only() -> None:
    grid = Grid("x")
    grid.add(Plain(1, Look("whole")))
    grid.widen(1, 5)
    grid.widen(1, 3)
    assert grid.tab().widths == (0.0, 5)


def test_cautions_are_printed_whole_where_nothing_is_late() -> None:
    """The page then ends with the third column of figures: 34, 22 and 18 wide. Letters of a line are narrower than
    digits, in which columns are measured: seven lines of text fill the room of six and no more.
    """
    results = example.results()
    in_time = results["promises"].with_columns(days_late=pl.lit(0, pl.Int64), slack_days=pl.lit(0, pl.Int64))
    drawn = openpyxl.load_workbook(BytesIO(draw(book(example.job(), {**results, "promises": in_time}))))
    sheet = drawn["summary"]
    assert sheet.print_area.startswith("'summary'!$A$1:$C$")
    first = next(cell.row for (cell,) in sheet.iter_rows(max_col=1) if cell.value == "Cautions")
    lines = [str(cell.value) for (cell,) in sheet.iter_rows(min_row=first + 1, max_col=1)]
    assert len(lines) > 6
    assert max(map(len, lines)) <= (34 + 22 + 18) * 7 / 6
