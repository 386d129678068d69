"""How a tab is set up for paper."""

from __future__ import annotations

from typing import Any

from pipeline.writing.book.cells import Paper, Tab
from pipeline.writing.xlsx_parts import accepted

INCH = 25.4
SIDE, TOP = 16 / INCH, 19 / INCH
"""Margins. A metric workbook may be printed in the US, too: Letter lying is 18 mm narrower than A4 and 6 mm higher, so
with 16 mm at both sides and the print in the middle, a page set up for A4 keeps 7 mm of white, which printers leave
blank anyway."""

PAPERS: dict[Paper, int] = {"Letter": 1, "A4": 9}
"""The numbers by which spreadsheets know a paper."""

PAPER_INCHES: dict[Paper, float] = {"Letter": 11.0, "A4": 297 / INCH}
"""How wide a paper is, lying. Source: ANSI/ASME Y14.1, ISO 216."""

CHART_WIDTH = 950
"""In pixels: a little less wide than the 15 columns of usual width that an A4 page holds, as pages end at a column."""

STAND_IN = 1.3
"""Where the usual font is missing, columns of usual width and the charts over them are up to so many times as wide."""

PIXELS, LETTER_PIXELS, CELL_PIXELS = 96, 7, 5
"""In an inch, of a letter of a column's width, and of the room beside its letters. Sizes of the usual font."""

LEAST_SCALE = 10
"""Per cent: spreadsheets print no smaller."""


def set_up(sheet: Any, tab: Tab, paper: Paper) -> None:
    """Paper, margins, footer, headings on each page, page breaks and scale of a sheet."""
    sheet.set_landscape()
    sheet.set_paper(PAPERS[paper])
    sheet.set_margins(left=SIDE, right=SIDE, top=TOP, bottom=TOP)
    sheet.center_horizontally()
    sheet.set_footer("&L&A&RPage &P of &N")
    if tab.print.repeat_rows:
        sheet.repeat_rows(*tab.print.repeat_rows)
    if tab.print.repeat_columns:
        sheet.repeat_columns(*tab.print.repeat_columns)
    if not tab.charts:
        # Else some spreadsheets look for page breaks in all the million rows of each tab whose headings are repeated.
        sheet.print_area(0, 0, *tab.last_cell)
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
        wide = max(wide, CHART_WIDTH * STAND_IN)
    return max(LEAST_SCALE, min(100, int(100 * room / wide)))
