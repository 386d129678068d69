"""Draws the blank workbook: no word is decided here, only how it looks and what the spreadsheet lets through."""

from __future__ import annotations

from datetime import date, datetime
from io import BytesIO
from typing import Any

import xlsxwriter

from pipeline.blank_workbook import LAST_ROW, LISTS, READ_ME, BlankBook, BlankTab, Heading, Rule
from pipeline.writing.formats import HEAD_FILL, INK
from pipeline.writing.xlsx_parts import accepted

MADE = datetime(2027, 1, 1)
"""When the file says it was made: always the same, so that it is the same file."""

NEEDED_FILL, NEEDED_TAB, OTHER_TAB = "#F0D78C", "#B8860B", "#7C9A92"
EXAMPLE_INK = "#6B6B6B"

FIRST_DAY, LAST_DAY = date(1900, 1, 1), date(2999, 12, 31)
"""Dates that are taken without a question."""

NARROWEST, WIDER_THAN_NAME, WORDS = 11, 3, 18
"""Widths of columns in letters: the least, how much wider than the heading, and that of words."""

NOTE_WIDTH, NOTE_LINE, NOTE_LETTERS = 260, 18, 40
"""Size of a note in pixels: its width, the height of a line, and how many letters a line holds."""

GUIDE_WIDTHS = (22, 20, 110)

JOINED_ROWS = 200
"""Names in a list that is joined of several tabs."""


def draw_blank(book: BlankBook) -> bytes:
    """The blank workbook as the bytes of an .xlsx file; always the same bytes.

    Raises ``ValueError`` where the drawing library refuses something, which is our bug.
    """
    memory = BytesIO()
    workbook = xlsxwriter.Workbook(
        memory,
        {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False},
    )
    workbook.set_properties({"title": "Sheets to fill in", "created": MADE})
    _draw_guide(workbook, book)
    for tab in book.tabs:
        _draw_tab(workbook, tab)
    if book.joined:
        _draw_lists(workbook, book)
    for name, (sheet, column) in book.ranges.items():
        accepted(workbook.define_name(name, _filled_part(sheet, column)))
    for name, (first, last) in book.listed.items():
        accepted(workbook.define_name(name, f"='{READ_ME}'!$A${first + 1}:$A${last + 1}"))
    for place, (name, parts) in enumerate(book.joined.items()):
        accepted(workbook.define_name(name, _joined_part(place, parts)))
    workbook.close()
    return memory.getvalue()


def _filled_part(sheet: str, column: int) -> str:
    """The cells of a column from below its heading to the last that is filled: what a drop-down offers."""
    letter = xlsxwriter.utility.xl_col_to_name(column)
    whole = f"{sheet}!${letter}$2:${letter}${LAST_ROW}"
    last = f'MAX(1,SUMPRODUCT(MAX(({whole}<>"")*(ROW({whole})-1))))'
    return f"={sheet}!${letter}$2:INDEX({whole},{last})"


def _joined_part(place: int, parts: tuple[str, ...]) -> str:
    """The filled cells of a joined list."""
    letter = xlsxwriter.utility.xl_col_to_name(place)
    whole = f"{LISTS}!${letter}$2:${letter}${JOINED_ROWS + 1}"
    return f"={LISTS}!${letter}$2:INDEX({whole},MIN({JOINED_ROWS},{'+'.join(f'ROWS({part})' for part in parts)}))"


def _draw_lists(workbook: Any, book: BlankBook) -> None:
    """The joined lists, a column each, in a tab that the reader passes over: a drop-down shows one range only."""
    sheet = workbook.add_worksheet(LISTS)
    head = workbook.add_format({"bold": True, "bottom": 1, "font_color": INK, "bg_color": HEAD_FILL})
    for place, (name, parts) in enumerate(book.joined.items()):
        heading = book.heading_of(name)
        accepted(sheet.write_string(0, place, heading, head))
        sheet.set_column(place, place, len(heading) + WIDER_THAN_NAME)
        shown = [book.first_of(part) for part in parts]
        for row in range(JOINED_ROWS):
            value = "".join(shown[row : row + 1])
            accepted(sheet.write_formula(row + 1, place, _joined_name(parts), None, value))
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    _set_up_print(sheet)


def _joined_name(parts: tuple[str, ...]) -> str:
    """The formula for a name below the heading: of the first part while that has rows, then of the next."""
    formula, before = '""', [f"ROWS({part})" for part in parts]
    for at in reversed(range(len(parts))):
        row = "-".join(["ROW()-1", *before[:at]])
        formula = f'IF({row}<={before[at]},INDEX({parts[at]},{row})&"",{formula})'
    return f"={formula}"


def _draw_guide(workbook: Any, book: BlankBook) -> None:
    sheet = workbook.add_worksheet(READ_ME)
    plain, title = workbook.add_format({"valign": "top"}), workbook.add_format({"bold": True, "font_size": 13})
    for column, width in enumerate(GUIDE_WIDTHS):
        sheet.set_column(column, column, width)
    for row, line in enumerate(book.guide):
        for column, cell in enumerate(line.cells):
            accepted(sheet.write_string(row, column, cell, title if line.title else plain))
    sheet.hide_gridlines(2)
    _set_up_print(sheet)


def _draw_tab(workbook: Any, tab: BlankTab) -> None:
    sheet = workbook.add_worksheet(tab.name)
    sheet.set_tab_color(NEEDED_TAB if tab.needed else OTHER_TAB)
    for column, heading in enumerate(tab.headings):
        cell = _format(heading)
        sheet.set_column(column, column, _width(heading), workbook.add_format(cell))
        head = {"bold": True, "bottom": 1, "font_color": INK, "bg_color": NEEDED_FILL if heading.needed else HEAD_FILL}
        accepted(sheet.write_string(0, column, heading.name, workbook.add_format(head)))
        accepted(sheet.write_comment(0, column, heading.note, _note_box(heading.note)))
        if heading.example:
            grey = {**cell, "italic": True, "font_color": EXAMPLE_INK}
            accepted(sheet.write_string(1, column, heading.example, workbook.add_format(grey)))
        if heading.rule:
            options = _validation(heading.rule, column)
            accepted(sheet.data_validation(1, column, LAST_ROW - 1, column, options))
    last = xlsxwriter.utility.xl_col_to_name(len(tab.headings) - 1)
    # The example's numbers are text on purpose: every program then keeps them as they are.
    accepted(sheet.ignore_errors({"number_stored_as_text": f"A2:{last}2"}))
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    _set_up_print(sheet)


def _format(heading: Heading) -> dict[str, Any]:
    """Words are kept as typed: `007` and `3/4` stay what they are."""
    if heading.as_text:
        return {"num_format": "@"}
    return {"num_format": "yyyy-mm-dd"} if heading.as_day else {}


def _width(heading: Heading) -> int:
    words = max(WORDS, len(heading.example) + 1) if heading.as_text else 0
    return max(NARROWEST, len(heading.name) + WIDER_THAN_NAME, words)


def _note_box(note: str) -> dict[str, Any]:
    lines = 2 + len(note) // NOTE_LETTERS
    return {"author": "", "width": NOTE_WIDTH, "height": NOTE_LINE * lines}


def _validation(rule: Rule, column: int) -> dict[str, Any]:
    about = {
        "error_type": "stop" if rule.firm else "warning",
        "error_title": "This cannot be" if rule.firm else "Is this meant?",
        "error_message": rule.message,
    }
    if rule.takes == "list":
        return about | {"validate": "list", "source": f"={rule.named}" if rule.named else list(rule.options)}
    if rule.takes == "day":
        return about | {"validate": "date", "criteria": "between", "minimum": FIRST_DAY, "maximum": LAST_DAY}
    return about | _bounds(rule, column)


def _bounds(rule: Rule, column: int) -> dict[str, Any]:
    """The bounds of a number. Two of them, one of which is itself not allowed, need a formula."""
    kind = "integer" if rule.takes == "whole" else "decimal"
    if rule.low is not None and rule.high is not None:
        return {"validate": kind, "criteria": "between", "minimum": rule.low, "maximum": rule.high}
    signs = {">=": rule.low, ">": rule.above, "<=": rule.high, "<": rule.below}
    bounds = [(sign, bound) for sign, bound in signs.items() if bound is not None]
    if not bounds:
        return {"validate": kind, "criteria": "between", "minimum": -1e9, "maximum": 1e9}
    if len(bounds) == 1:
        return {"validate": kind, "criteria": bounds[0][0], "value": bounds[0][1]}
    cell = f"{xlsxwriter.utility.xl_col_to_name(column)}2"
    tests = ",".join(f"{cell}{sign}{bound:g}" for sign, bound in bounds)
    return {"validate": "custom", "value": f"=AND(ISNUMBER({cell}),{tests})"}


def _set_up_print(sheet: Any) -> None:
    sheet.set_landscape()
    sheet.set_paper(9)
    sheet.fit_to_pages(1, 0)
