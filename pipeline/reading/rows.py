"""From a sheet's bytes to its rows of text: encoding, delimiter and quotation marks, and no meaning of any cell."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable

from pipeline.reading.table import Rows, Table, cells, first_cells, table_of
from schemas import kinds
from schemas.problem import Problem

MEGABYTE = 1_000_000
LARGEST = 100 * MEGABYTE
"""Bytes of the largest file that is read."""

OWN_TABS = frozenset({"read_me", "lists"})
"""Tabs of a blank workbook that are no sheets, and are passed over without a word, saved as a CSV, too."""

DELIMITERS = (",", ";", "\t")

SIGNATURES = (
    (b"PK\x03\x04", "a workbook"),
    (b"\xd0\xcf\x11\xe0", "an old workbook"),
    (b"%PDF", "a PDF"),
)
"""How other kinds of files begin."""

MARKUP = ("<!doctype", "<html", "<?xml", "<table")
"""How web pages begin."""


HEADINGS_WITHIN = 10
"""Rows from the top among which the headings are sought."""

NAMED_DELIMITER = re.compile(r'^"?sep=([,;\t|])"?(?:\r\n|\r|\n)', re.IGNORECASE)
"""A first line that names the delimiter: spreadsheets heed it and do not count it as a row."""

Known = Callable[[str], object]
"""Whether a cell is a heading of the sheet."""


def rows_in(sheet: str, data: bytes, known: Known) -> tuple[Table | None, str, list[Problem]]:
    """The cells of a sheet, the delimiter between its cells, and problems; None if the sheet cannot be read.

    ``known`` tells the headings that the sheet may have: by them the delimiter is told.
    """
    text, problems = _text(sheet, data)
    if text is None:
        return None, "", problems
    if named := NAMED_DELIMITER.match(text):
        delimiter, text = named[1], text[named.end() :]
    else:
        delimiter = _delimiter(text, known)
    try:
        return table_of(text, delimiter), delimiter, problems
    except csv.Error as error:
        kind = kinds.HUGE_CELL if "limit" in str(error) else kinds.OPEN_QUOTE
        row = _rows_before_error(text, delimiter) + 1
        return None, "", [*problems, kind.at(sheet, row, most=f"{csv.field_size_limit():,}")]


def _rows_before_error(text: str, delimiter: str) -> int:
    rows = 0
    try:
        for _ in cells(text, delimiter):
            rows += 1
    except csv.Error:
        return rows
    return rows


def heading_row(rows: Rows, known: Known) -> int | None:
    """The place of the headings: the first row near the top in which two cells or more, and half of all that are filled
    in, are headings; failing that, one cell; failing that, the first row that is not blank. None if all rows are blank.
    """
    first = None
    single = None
    for place, row in enumerate(rows):
        cells = [cell for cell in row if cell.strip()]
        if not cells:
            continue
        first = place if first is None else first
        if place >= HEADINGS_WITHIN:
            break
        headings = sum(bool(known(cell)) for cell in cells)
        if headings >= 2 and 2 * headings >= len(cells):
            return place
        if headings and 2 * headings >= len(cells) and single is None:
            single = place
    return first if single is None else single


def _text(sheet: str, data: bytes) -> tuple[str | None, list[Problem]]:
    """The letters of a file: UTF-8 with or without its mark, UTF-16 with its mark, else Windows-1252."""
    if len(data) > LARGEST:
        return None, [kinds.SHEET_TOO_LARGE.at(sheet, most=LARGEST // MEGABYTE)]
    for start, what in SIGNATURES:
        if data.startswith(start):
            return None, [kinds.NOT_A_CSV.at(sheet, what=what)]
    problems = []
    try:
        if data.startswith((b"\xff\xfe", b"\xfe\xff")):
            text = data.decode("utf-16")
        else:
            try:
                text = data.decode("utf-8-sig")
            except UnicodeDecodeError:
                text = data.decode("cp1252")
                problems.append(kinds.OLD_ENCODING.at(sheet))
    except UnicodeDecodeError:
        return None, [kinds.UNKNOWN_ENCODING.at(sheet)]
    if "\0" in text:
        return None, [kinds.NULL_CHARACTER.at(sheet)]
    if text[:1000].lstrip().lower().startswith(MARKUP):
        return None, [kinds.NOT_A_CSV.at(sheet, what="a web page")]
    return text, problems


def _delimiter(text: str, known: Known) -> str:
    """The delimiter under which most cells of the heading row are headings of the sheet.

    Where none is, that under which the sheet is blank, else that which gives most cells. One under which all cells are
    headings needs no other beside it.
    """
    fits = {}
    for delimiter in DELIMITERS:
        rows = _first_rows(text, delimiter)
        place = None if rows is None else heading_row(rows, known)
        row = [] if place is None or rows is None else rows[place]
        found = sum(bool(known(cell)) for cell in row)
        if found > 1 and found == sum(bool(cell.strip()) for cell in row):
            return delimiter
        fits[delimiter] = (-1, False, 0) if rows is None else (found, not row, len(row))
    return max(fits, key=lambda delimiter: fits[delimiter])


def _first_rows(text: str, delimiter: str) -> Rows | None:
    """The rows near the top, at least one not blank, if the delimiter were this one; None if it cannot be."""
    rows: Rows = []
    filled = False
    try:
        for row in first_cells(text, delimiter):
            rows.append(row)
            filled = filled or any(cell.strip() for cell in row)
            if filled and len(rows) >= HEADINGS_WITHIN:
                break
    except csv.Error:
        return rows if filled else None
    return rows
