"""Draws a workbook's content: no word and no figure is decided here, only how it looks."""

from __future__ import annotations

from datetime import datetime, time
from io import BytesIO
from typing import Any

import xlsxwriter

from pipeline.writing.book.cells import Book, Chart, Paint, Paper, Series, Tab
from pipeline.writing.formats import INK, Formats, stage_fill
from pipeline.writing.paper import CHART_WIDTH, set_up
from pipeline.writing.xlsx_parts import Files, Sheet, Texts, accepted

CHART_SIZE = {"width": CHART_WIDTH, "height": 540}
"""In pixels, 96 to the inch."""

NOTE_BOX = {"width": 220, "height": 75}
TYPED_TAB = "#7C9A92"


def draw(book: Book) -> bytes:
    """The workbook as the bytes of an .xlsx file; the same content gives the same bytes.

    Raises ``ValueError`` where the drawing library refuses something, which is our bug: it only tells by a number.
    """
    files = Files()
    workbook = xlsxwriter.Workbook(
        BytesIO(),
        {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False},
    )
    workbook._get_packager, workbook.str_table = lambda: files, Texts()
    workbook.set_properties({"title": book.title, "created": datetime.combine(book.made, time())})
    formats = Formats(workbook, book.minor_digits)
    for tab in book.tabs:
        _draw_tab(workbook, tab, formats, book.paper, files)
    for name, formula in book.names.items():
        accepted(workbook.define_name(name, f"={formula}"))
    workbook.close()
    return files.pressed()


def _draw_tab(workbook: Any, tab: Tab, formats: Formats, paper: Paper, files: Files) -> None:
    sheet = workbook.add_worksheet(tab.name, Sheet)
    sheet.fill(tab, formats, files)
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
    set_up(sheet, tab, paper)


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
