"""Draws a workbook's content: no word and no figure is decided here, only how it looks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time
from decimal import Decimal
from functools import cache
from io import BytesIO
from math import isfinite
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import xlsxwriter
from xlsxwriter.packager import Packager
from xlsxwriter.worksheet import Worksheet

from pipeline.writing.book.cells import ROW, Block, Book, Cell, Cells, Chart, Live, Paint, Paper, Series, Shown, Tab
from pipeline.writing.book.grid import letter
from pipeline.writing.formats import INK, Formats, stage_fill

DAY_NOUGHT = date(1899, 12, 30)
"""The day that spreadsheets number 0."""

INCH = 25.4
SIDE, TOP = 16 / INCH, 19 / INCH
"""Margins. A metric workbook may be printed in the US, too: Letter lying is 18 mm narrower than A4 and 6 mm higher, so
with 16 mm at both sides and the print in the middle, a page set up for A4 keeps 7 mm of white, which printers leave
blank anyway."""

PAPERS: dict[Paper, int] = {"Letter": 1, "A4": 9}
"""The numbers by which spreadsheets know a paper."""

LONGEST_TEXT = 32_767
"""Characters that a cell can hold; the CSV has all of a longer text."""

ROWS_AT_ONCE = 4_096
"""So many rows are written at once: all the columns of a long table as text would fill the memory."""

PRESSED = 2
"""How hard the files of a workbook are pressed, of 1 to 9."""

USUAL_HEIGHT = 20
"""Pixels of a row of which nothing is said."""

CHART_SIZE = {"width": 950, "height": 540}
"""In pixels, 96 to the inch: a little less wide than the 15 columns of usual width that an A4 page holds, as pages end
at a column."""

STAND_IN = 1.3
"""Where the usual font is missing, columns of usual width and the charts over them are up to so many times as wide."""

PIXELS, LETTER_PIXELS, CELL_PIXELS = 96, 7, 5
"""In an inch, of a letter of a column's width, and of the room beside its letters. Sizes of the usual font."""

PAPER_INCHES: dict[Paper, float] = {"Letter": 11.0, "A4": 297 / INCH}
"""How wide a paper is, lying. Source: ANSI/ASME Y14.1, ISO 216."""

LEAST_SCALE = 10
"""Per cent: spreadsheets print no smaller."""

NOTE_BOX = {"width": 220, "height": 75}
TYPED_TAB = "#7C9A92"


def draw(book: Book) -> bytes:
    """The workbook as the bytes of an .xlsx file; the same content gives the same bytes.

    Raises ``ValueError`` where the drawing library refuses something, which is our bug: it only tells by a number.
    """
    files = _Files()
    workbook = xlsxwriter.Workbook(
        BytesIO(),
        {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False},
    )
    workbook._get_packager = lambda: files
    workbook.set_properties({"title": book.title, "created": datetime.combine(book.made, time())})
    formats = Formats(workbook, book.minor_digits)
    for tab in book.tabs:
        _draw_tab(workbook, tab, formats, book.paper)
    for name, formula in book.names.items():
        accepted(workbook.define_name(name, f"={formula}"))
    workbook.close()
    return files.pressed()


class _Files(Packager):  # type: ignore[misc]  # the drawing library has no types
    """The files that make up a workbook, each pressed into one as soon as it is written.

    The library would keep all of them as text to the last, and press them as hard as it can: for a fifth less to keep,
    three times as long, a third of all the time that a large plan's workbook takes. Nothing is left for it to press.
    """

    def __init__(self) -> None:
        super().__init__()
        self._memory = BytesIO()

    def pressed(self) -> bytes:
        """The workbook, when the library has closed it."""
        return self._memory.getvalue()

    def _filename(self, xml_filename: str) -> Any:
        self._press()
        return super()._filename(xml_filename)

    def _create_package(self) -> list[Any]:
        with ZipFile(self._memory, "w") as self._zip:
            super()._create_package()
            self._press()
        return []

    def _press(self) -> None:
        """Put away what was written last."""
        for text, name, _ in self.filenames:
            self._zip.writestr(ZipInfo(name), text.getvalue(), ZIP_DEFLATED, PRESSED)
        self.filenames.clear()


class _Sheet(Worksheet):  # type: ignore[misc]
    """A sheet whose rows are written from the columns of a tab; all else of it the library writes.

    The library would keep each cell of a workbook as an object until the end, and look at each for all that it could
    be: for a plan of thousands of lines that takes several times as long, and all the memory of a usual computer.
    """

    def fill(self, tab: Tab, formats: Formats) -> None:
        """Write the rows of a tab. Raises ``ValueError`` if they are more than a sheet holds."""
        self._tab, self._formats = tab, formats
        self._written: list[str] = []
        for block in tab.blocks:
            accepted(self._check_dimensions(block.first, min(block.columns)))
            accepted(self._check_dimensions(block.first + block.height - 1, max(block.columns)))
            for start in range(0, block.height, ROWS_AT_ONCE):
                self._written.append("".join(self._rows(block, slice(start, start + ROWS_AT_ONCE))))

    def _write_rows(self) -> None:
        self.fh.writelines(self._written)
        self._written.clear()

    def _rows(self, block: Block, part: slice) -> Iterator[str]:
        rows = range(block.first, block.first + block.height)[part]
        numbers = [str(row + 1) for row in rows]
        columns = [self._cells(cells, place, part, numbers) for place, cells in block.columns.items()]
        for row, number, cells in zip(rows, numbers, zip(*columns, strict=True), strict=True):
            yield f'<row r="{number}"{_height(self._tab.heights.get(row))}>{"".join(cells)}</row>'

    def _cells(self, cells: Cells, place: int, part: slice, numbers: Sequence[str]) -> list[str]:
        """The cells of a column in the rows of these numbers."""
        values, formulas = list(cells.values[part]), cells.formulas[part]
        at, look = f'<c r="{letter(place)}', f'" s="{self._formats.of(cells.look)._get_xf_index()}"'
        counts = Counter(values)
        if not formulas:
            plain = {value: f"{look}{self._plain(value, times)}" for value, times in counts.items()}
            return [f"{at}{number}{plain[value]}" for number, value in zip(numbers, values, strict=True)]
        around = {value: self._around(value) for value in counts}
        parts = {formula: self._escape_data(formula).split(ROW) for formula in dict.fromkeys(formulas)}
        return [
            f"{at}{number}{look}{number.join(parts[formula]).join(around[value])}"
            if formula
            else f"{at}{number}{look}{self._plain(value)}"
            for number, formula, value in zip(numbers, formulas, values, strict=True)
        ]

    def _plain(self, value: Shown | None, times: int = 1) -> str:
        """What ends the cell of a value that stands in so many."""
        if value is None:
            return "/>"
        if isinstance(value, str):
            self.str_table.count += times - 1
            return f' t="s"><v>{self.str_table._get_shared_string_index(_fitting(value))}</v></c>'
        return f"><v>{_number(value):.16G}</v></c>"

    def _around(self, value: Shown | None) -> tuple[str, str]:
        """What stands before a formula and behind it that has this value: numbers in full, unlike plain ones."""
        if value is None or value == "":
            return "><f>", "</f><v></v></c>"
        if isinstance(value, str):
            return ' t="str"><f>', f"</f><v>{self._escape_data(_fitting(value))}</v></c>"
        return "><f>", f"</f><v>{_number(value)}</v></c>"

    def _get_range_data(self, first_row: int, first_place: int, last_row: int, last_place: int) -> list[str | None]:
        """What a chart keeps of the cells that it shows."""
        cells = (
            self._tab.cell(row, place)
            for row in range(first_row, last_row + 1)
            for place in range(first_place, last_place + 1)
        )
        return [cell and _told(cell) for cell in cells]


def _draw_tab(workbook: Any, tab: Tab, formats: Formats, paper: Paper) -> None:
    sheet = workbook.add_worksheet(tab.name, _Sheet)
    sheet.fill(tab, formats)
    for row, height in tab.heights.items():
        sheet.set_row(row, height)
    for column, width in enumerate(tab.widths):
        sheet.set_column(column, column, width)
    for (row, column), note in tab.notes.items():
        accepted(sheet.write_comment(row, column, note, {**NOTE_BOX, "author": ""}))
    if tab.freeze != (0, 0):
        sheet.freeze_panes(*tab.freeze)
    if tab.filter:
        accepted(sheet.autofilter(*tab.filter))
    for paint in tab.paints:
        _paint(sheet, paint, formats)
    for chart in tab.charts:
        accepted(sheet.insert_chart(chart.row, chart.column, _chart(workbook, chart), {"object_position": 3}))
    if tab.typed:
        sheet.set_tab_color(TYPED_TAB)
    _set_up_print(sheet, tab, paper)


def _number(value: float | Decimal | date) -> int | float:
    """A number as a spreadsheet keeps it: dates are days since day 0, money is a binary number."""
    if isinstance(value, date):
        return (value - DAY_NOUGHT).days
    number = float(value) if isinstance(value, Decimal) else value
    if not isfinite(number):
        raise ValueError(f"no cell can hold the number {number}")
    return number


def _fitting(text: str) -> str:
    """As much of a text as a cell holds, which counts characters beyond 16 bits as two."""
    if len(text) <= LONGEST_TEXT // 2:
        return text
    return text.encode("utf-16-le")[: 2 * LONGEST_TEXT].decode("utf-16-le", "ignore")


def _told(cell: Cell) -> str:
    """What a chart keeps of a cell."""
    if cell.value is None or isinstance(cell.value, str):
        return cell.value or ""
    return str(_number(cell.value)) if isinstance(cell, Live) else f"{_number(cell.value):.16g}"


@cache
def _height(points: float | None) -> str:
    """What a row's tag says of its height, in the steps of a screen; nothing of the usual one."""
    pixels = USUAL_HEIGHT if points is None else int(points * 4 / 3 + 0.5)
    return "" if pixels == USUAL_HEIGHT else f' ht="{pixels * 0.75:.16g}" customHeight="1"'


def _paint(sheet: Any, paint: Paint, formats: Formats) -> None:
    rule = {"type": "formula", "criteria": f"={paint.formula}", "format": formats.painted(paint.mark)}
    accepted(sheet.conditional_format(*paint.area, rule))


def _chart(workbook: Any, chart: Chart) -> Any:
    columns = workbook.add_chart({"type": "column"} | ({"subtype": "stacked"} if chart.stacked else {}))
    for series in chart.columns:
        columns.add_series(
            {**_series(series), "fill": {"color": stage_fill(series.mark)}, "border": {"color": INK}, "gap": 30}
        )
    dashes = workbook.add_chart({"type": "line"})
    for series in chart.dashes:
        dash = {"type": "long_dash", "size": 12, "fill": {"color": INK}, "border": {"color": INK}}
        dashes.add_series({**_series(series), "line": {"none": True}, "marker": dash})
    if chart.dashes:
        columns.combine(dashes)
    top = {"min": 0} | ({"max": chart.top} if chart.top is not None else {})
    columns.set_x_axis({"num_format": "d mmm", "text_axis": True, "num_font": {"rotation": -90}})
    columns.set_y_axis({"name": chart.axis, "major_gridlines": {"visible": True, "line": {"color": "#D0D0D0"}}, **top})
    columns.set_legend({"position": "bottom"} if len(chart.columns) > 1 else {"none": True})
    columns.set_title({"name": chart.title} if chart.title else {"none": True})
    columns.set_size(CHART_SIZE)
    return columns


def _series(series: Series) -> dict[str, Any]:
    return {"name": f"={series.name}", "categories": f"={series.categories}", "values": f"={series.values}"}


def _set_up_print(sheet: Any, tab: Tab, paper: Paper) -> None:
    sheet.set_landscape()
    sheet.set_paper(PAPERS[paper])
    sheet.set_margins(left=SIDE, right=SIDE, top=TOP, bottom=TOP)
    sheet.center_horizontally()
    sheet.set_footer("&L&A&RPage &P of &N")
    if tab.print.repeat_rows:
        sheet.repeat_rows(*tab.print.repeat_rows)
    if tab.print.repeat_columns:
        sheet.repeat_columns(*tab.print.repeat_columns)
    if tab.print.new_pages:
        accepted(sheet.set_h_pagebreaks(tab.print.new_pages))
        sheet.set_print_scale(_scale(tab, paper))
    else:
        sheet.fit_to_pages(tab.print.pages_across, tab.print.pages_down)


def _scale(tab: Tab, paper: Paper) -> int:
    """Per cent of its size at which a tab is as wide as the page; its full size if it is narrower."""
    room = (PAPER_INCHES[paper] - 2 * SIDE) * PIXELS
    wide = sum(width * LETTER_PIXELS + CELL_PIXELS for width in tab.widths)
    if tab.charts:
        wide = max(wide, CHART_SIZE["width"] * STAND_IN)
    return max(LEAST_SCALE, min(100, int(100 * room / wide)))


def accepted(code: int | None) -> None:
    """The drawing library tells a refusal by a number below 0 and a warning, and goes on without the thing refused."""
    if code is not None and isinstance(code, int) and code < 0:
        raise ValueError(f"the workbook's drawing library refused something: code {code}")
