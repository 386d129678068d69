"""The tabs of an OpenDocument spreadsheet, from its XML: readers of it drop errors and per cents without a word.

Source of the format: OASIS OpenDocument 1.2 part 1, sections 9 (tables) and 19.3 (values of cells); errors carry the
attribute that LibreOffice adds.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element, fromstring

from pipeline.reading.cell_text import (
    ERROR,
    MOST_COLUMNS,
    MOST_ROWS,
    UNNAMED_ERROR,
    number_text,
    percent_text,
)
from pipeline.reading.table import Rows

TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
EXTENDED = "{urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0}"

LONGEST_RUN = 1_000
"""Spaces in a row that are kept: nobody types as many."""

LOGICAL = {"of:=TRUE()": "yes", "of:=FALSE()": "no"}
"""How LibreOffice keeps the truth values of other programs' workbooks."""


def tabs_of_ods(content: bytes) -> dict[str, Rows]:
    """The rows of each tab, from the document's ``content.xml``. Raises what the XML parser raises, and ValueError."""
    body = fromstring(content).find(f"{OFFICE}body/{OFFICE}spreadsheet")
    if body is None:
        raise ValueError("no spreadsheet in the document")
    return {tab.get(f"{TABLE}name", ""): _rows(tab) for tab in body.findall(f"{TABLE}table")}


def _rows(tab: Element) -> Rows:
    """Its rows. A run of blank rows is only counted until a filled one follows: there may be a million at the end."""
    rows: Rows = []
    blank = 0
    for row in tab.iter(f"{TABLE}table-row"):
        times = int(row.get(f"{TABLE}number-rows-repeated", "1"))
        cells = _cells(row)
        if not cells:
            blank += times
            continue
        if len(rows) + blank + times > MOST_ROWS:
            raise ValueError("more rows than a tab can have")
        rows += [[]] * blank + [cells] * times
        blank = 0
    return rows


def _cells(row: Element) -> list[str]:
    """Its cells as text, up to the last that is filled. What a merged cell covers is blank."""
    cells: list[str] = []
    blank = 0
    for cell in row:
        if cell.tag not in (f"{TABLE}table-cell", f"{TABLE}covered-table-cell"):
            continue
        times = int(cell.get(f"{TABLE}number-columns-repeated", "1"))
        text = _text(cell) if cell.tag == f"{TABLE}table-cell" else ""
        if not text:
            blank += times
            continue
        if len(cells) + blank + times > MOST_COLUMNS:
            raise ValueError("more columns than a tab can have")
        cells += [""] * blank + [text] * times
        blank = 0
    return cells


def _text(cell: Element) -> str:
    if cell.get(f"{EXTENDED}value-type") == "error":
        error = _words(cell)
        return error if re.match(ERROR, error) else UNNAMED_ERROR
    if cell.get(f"{TABLE}formula") in LOGICAL:
        return LOGICAL[cell.attrib[f"{TABLE}formula"]]
    match cell.get(f"{OFFICE}value-type"):
        case "float" | "currency":
            return number_text(float(cell.attrib[f"{OFFICE}value"]))
        case "percentage":
            return percent_text(float(cell.attrib[f"{OFFICE}value"]))
        case "date":
            return cell.attrib[f"{OFFICE}date-value"].removesuffix("T00:00:00")
        case "boolean":
            return "yes" if cell.attrib[f"{OFFICE}boolean-value"] == "true" else "no"
        case _:
            return _words(cell)


def _words(cell: Element) -> str:
    """The paragraphs of a cell, a line each; not those of a remark pinned to it."""
    return "\n".join("".join(_letters(paragraph)) for paragraph in cell.findall(f"{TEXT}p"))


def _letters(part: Element) -> Iterator[str]:
    """The letters of a paragraph, with the tabs, breaks and runs of spaces that the format keeps as elements."""
    match part.tag.removeprefix(TEXT):
        case "tab":
            yield "\t"
        case "line-break":
            yield "\n"
        case "s":
            yield " " * min(int(part.get(f"{TEXT}c", "1")), LONGEST_RUN)
    yield part.text or ""
    for child in part:
        if child.tag != f"{OFFICE}annotation":
            yield from _letters(child)
        yield child.tail or ""
