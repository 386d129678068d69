"""Draws a workbook's content: no word and no figure is decided here, only how it looks."""

from __future__ import annotations

from datetime import date, datetime, time
from decimal import Decimal
from io import BytesIO
from typing import Any

import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from pipeline.writing.book.cells import Book, Cell, Chart, Live, Look, Paint, Paper, Series, Shown, Tab

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

INK, HEAD_FILL, RULE = "#1F2A30", "#E3E7E4", "#8A9490"
STAGE_FILLS = (
    "#D9C7A8", "#A9C9DD", "#F0D78C", "#C3D9B0", "#E6A98A", "#CDB9DD", "#8FB8AE", "#F2C4C4", "#B7BEC9", "#DDE58F",
)  # fmt: skip
"""Fills for stages, light enough for black letters; after the last the first again. Letters tell stages apart, too."""

HAIR, THIN, MEDIUM, DOUBLE = 7, 1, 2, 6
"""Kinds of line."""

SQUARE = {"border": HAIR, "border_color": RULE}
ROLES: dict[str, dict[str, Any]] = {
    "body": {"valign": "vcenter", "bottom": HAIR, "bottom_color": RULE},
    "heading": {
        "bold": True,
        "text_wrap": True,
        "bg_color": HEAD_FILL,
        "bottom": THIN,
        "valign": "vcenter",
        "left": HAIR,
        "left_color": RULE,
    },
    "input": {"valign": "vcenter", "border": MEDIUM, "border_color": INK},
    "figure": {"align": "right", "bottom": HAIR, "bottom_color": RULE},
    "total": {"bold": True, "top": THIN, "bottom": DOUBLE},
    "title": {"bold": True, "font_size": 15},
    "note": {"font_color": INK},
    "strong": {"bold": True},
    "batch": {"valign": "vcenter", **SQUARE},
    "work": {"align": "center", "valign": "vcenter", "font_size": 9, **SQUARE},
    "date_head": {"align": "center", "bg_color": HEAD_FILL, "font_size": 9},
}
INDENTED = ("body", "heading", "total", "batch", "input")
"""Roles whose words keep clear of the number in the column before."""

MARKS: dict[str, dict[str, Any]] = {
    "new day": {"top": THIN},
    "late": {"bold": True, "bg_color": "#F6D5CC"},
    "day off": {"bg_color": "#ECECEC"},
    "weekend": {"bg_color": "#ECECEC", **SQUARE},
    "closed": {"bg_color": "#BDBDBD", **SQUARE},
    "squares": SQUARE,
}

DAY_FORMATS = {"date_head": "d", "strong": "ddd d mmm"}
DAY_ALIGN = {"date_head": "center", "strong": "left"}
"""Dates over the calendar and before a day's work; everywhere else with their year."""

CHART_SIZE = {"width": 960, "height": 540}
"""In pixels, 96 to the inch: as wide as the columns of usual width that an A4 page holds, for pages end at a column."""

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
    memory = BytesIO()
    workbook = xlsxwriter.Workbook(
        memory,
        {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False},
    )
    workbook.set_properties({"title": book.title, "created": datetime.combine(book.made, time())})
    formats = _Formats(workbook, book.minor_digits)
    for tab in book.tabs:
        _draw_tab(workbook, tab, formats, book.paper)
    for name, formula in book.names.items():
        accepted(workbook.define_name(name, f"={formula}"))
    workbook.close()
    return memory.getvalue()


class _Formats:
    """One format of the workbook for each look, made when it is first met."""

    def __init__(self, workbook: Any, minor_digits: int) -> None:
        money = "#,##0" + (f".{'0' * minor_digits}" if minor_digits else "")
        self._numbers = {
            "whole": "#,##0",
            "plain": "0",
            "quantity": "#,##0.0?????",
            "kg": "#,##0.0??",
            "lb": "#,##0.00",
            "oz": "#,##0.0",
            "in": "#,##0.00",
            "hours": '#,##0.00;-#,##0.00;"-"??',
            "pct": "0.0?",
            "day": "d mmm yyyy",
            "amount": money,
            "rate": money + ("??" if minor_digits else ".00"),
            "price": money + ("????" if minor_digits else ""),
        }
        self._workbook = workbook
        self._made: dict[Look, Any] = {}

    def of(self, look: Look) -> Any:
        """The format of a cell."""
        if look not in self._made:
            self._made[look] = self._workbook.add_format(self._properties(look))
        return self._made[look]

    def painted(self, mark: str) -> Any:
        """The format that a condition lays over a cell."""
        return self._workbook.add_format(MARKS[mark])

    def _properties(self, look: Look) -> dict[str, Any]:
        properties = dict(ROLES[look.role])
        words = look.kind in ("text", "wrap", "day")
        if look.role in INDENTED:
            properties |= {"align": "left", "indent": 1} if words else {"align": "right"}
        if look.role != "heading" and look.kind in self._numbers:
            properties["num_format"] = self._numbers[look.kind]
        if look.kind == "day" and look.role in DAY_FORMATS:
            properties |= {"num_format": DAY_FORMATS[look.role], "align": DAY_ALIGN[look.role]}
        if look == Look("plain", "batch"):
            properties["align"] = "center"
        if look.kind == "wrap":
            properties["text_wrap"] = True
        if look.mark:
            properties["bg_color"] = _stage_fill(look.mark)
        return properties


class _Sheet(Worksheet):  # type: ignore[misc]  # the drawing library has no types
    """A sheet whose formulas are written as they stand.

    The library searches each formula for thirty functions younger than the file format, a fifth of a plan's writing.
    Ours use none of them.
    """

    def _prepare_formula(self, formula: str, expand_future_functions: bool = False) -> str:
        return formula.removeprefix("=")


def _draw_tab(workbook: Any, tab: Tab, formats: _Formats, paper: Paper) -> None:
    sheet = workbook.add_worksheet(tab.name, _Sheet)
    for row, height in tab.heights.items():
        sheet.set_row(row, height)
    for column, width in enumerate(tab.widths):
        sheet.set_column(column, column, width)
    for row, cells in enumerate(tab.rows):
        for column, cell in enumerate(cells):
            if cell is not None:
                _draw_cell(sheet, row, column, cell, formats)
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


def _draw_cell(sheet: Any, row: int, column: int, cell: Cell, formats: _Formats) -> None:
    look = formats.of(cell.look)
    if isinstance(cell, Live):
        accepted(sheet.write_formula(row, column, cell.formula, look, _stored(cell.value)))
        return
    value = _stored(cell.value)
    if value is None:
        accepted(sheet.write_blank(row, column, None, look))
    elif isinstance(value, str):
        accepted(sheet.write_string(row, column, value[:LONGEST_TEXT], look))
    else:
        accepted(sheet.write_number(row, column, value, look))


def _stored(value: Shown | None) -> str | int | float | None:
    """A value as a spreadsheet keeps it: dates are days since day 0, money is a binary number."""
    if isinstance(value, date):
        return (value - DAY_NOUGHT).days
    if isinstance(value, Decimal):
        return float(value)
    return value


def _paint(sheet: Any, paint: Paint, formats: _Formats) -> None:
    rule = {"type": "formula", "criteria": f"={paint.formula}", "format": formats.painted(paint.mark)}
    accepted(sheet.conditional_format(*paint.area, rule))


def _chart(workbook: Any, chart: Chart) -> Any:
    columns = workbook.add_chart({"type": "column"} | ({"subtype": "stacked"} if chart.stacked else {}))
    for series in chart.columns:
        columns.add_series(
            {**_series(series), "fill": {"color": _stage_fill(series.mark)}, "border": {"color": INK}, "gap": 30}
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


def _stage_fill(mark: str) -> str:
    return STAGE_FILLS[int(mark.removeprefix("stage ")) % len(STAGE_FILLS)]


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
        wide = max(wide, CHART_SIZE["width"])
    return max(LEAST_SCALE, min(100, int(100 * room / wide)))


def accepted(code: int | None) -> None:
    """The drawing library tells a refusal by a number below 0 and a warning, and goes on without the thing refused."""
    if code is not None and isinstance(code, int) and code < 0:
        raise ValueError(f"the workbook's drawing library refused something: code {code}")
