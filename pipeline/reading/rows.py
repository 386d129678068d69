"""From a sheet's bytes to its rows of text: encoding, delimiter and quotation marks, and no meaning of any cell."""

from __future__ import annotations

import csv
import re
from collections.abc import Collection, Iterable

from pipeline.reading.spelling import tidy
from schemas import kinds
from schemas.problem import Problem

Rows = list[list[str]]
"""Cells by row: the place in the list is the spreadsheet's row number less one. A blank line is an empty list."""

MEGABYTE = 1_000_000
LARGEST = 100 * MEGABYTE
"""Bytes of the largest file that is read."""

DELIMITERS = (",", ";", "\t")

LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+")
"""A line with its end, whichever of the three it is."""

SIGNATURES = (
    (b"PK\x03\x04", "a workbook"),
    (b"\xd0\xcf\x11\xe0", "an old workbook"),
    (b"%PDF", "a PDF"),
)
"""How other kinds of files begin."""

MARKUP = ("<!doctype", "<html", "<?xml", "<table")
"""How web pages begin."""


def rows_in(sheet: str, data: bytes, headings: Collection[str]) -> tuple[Rows | None, list[Problem]]:
    """The rows of a sheet, and problems; None if the sheet cannot be read.

    ``headings`` are those that the sheet may have: by them the delimiter is told.
    """
    text, problems = _text(sheet, data)
    if text is None:
        return None, problems
    rows: Rows = []
    try:
        for row in csv.reader(LINE.findall(text), delimiter=_delimiter(text, headings), strict=True):
            rows.append(row)
    except csv.Error as error:
        kind = kinds.HUGE_CELL if "limit" in str(error) else kinds.OPEN_QUOTE
        return None, [*problems, kind.at(sheet, len(rows) + 1, most=f"{csv.field_size_limit():,}")]
    return rows, problems


def heading_row(rows: Iterable[list[str]]) -> int | None:
    """The place of the first row that is not blank; None if all are."""
    return next((place for place, row in enumerate(rows) if any(cell.strip() for cell in row)), None)


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


def _delimiter(text: str, headings: Collection[str]) -> str:
    """The delimiter under which most cells of the heading row are headings of the sheet.

    Where none is, that under which the sheet is blank, else that which gives most cells.
    """

    def fit(delimiter: str) -> tuple[int, bool, int]:
        row = _first_row(text, delimiter)
        return (-1, False, 0) if row is None else (sum(tidy(cell) in headings for cell in row), not row, len(row))

    return max(DELIMITERS, key=fit)


def _first_row(text: str, delimiter: str) -> list[str] | None:
    """The first row that is not blank, if the delimiter were this one; None if it cannot be this one."""
    rows = csv.reader((line.group() for line in LINE.finditer(text)), delimiter=delimiter, strict=True)
    try:
        return next((row for row in rows if any(cell.strip() for cell in row)), [])
    except csv.Error:
        return None
