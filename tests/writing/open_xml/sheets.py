"""What Excel asks of a sheet: its rows and cells, and what lies over them.

Sources, where nothing else is said: ECMA-376 part 1, 18.3.1, under the element's name; what Excel asks beyond it,
Microsoft's MS-OI29500 under the same sections; Microsoft, Excel specifications and limits.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import NamedTuple
from xml.etree.ElementTree import Element

from tests.writing.open_xml.parts import RELATED, SPREADSHEET, Parts, more_than_once
from tests.writing.open_xml.references import MOST_COLUMNS, MOST_ROWS, Area, area, formula_faults

WIDEST, HIGHEST = 255, 409.5
"""Letters of a column, points of a row. The limits say 409; Excel itself makes rows of 409.5."""

LONGEST_TEXT, LONGEST_FOOTER, LONGEST_FORMULA = 32_767, 255, 8_192
MOST_LINKS, MOST_BREAKS = 65_530, 1_026

LONGEST_LIST, LONGEST_TITLE, LONGEST_PROMPT, LONGEST_MESSAGE = 255, 32, 255, 224
"""Of a rule for what a cell takes. Source: MS-OI29500 2.1.613; of the list, the drawing library's documentation."""

NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?([Ee][+-]?[0-9]+)?")
ROW_OF_NOTE, COLUMN_OF_NOTE = (
    "{urn:schemas-microsoft-com:office:excel}Row",
    "{urn:schemas-microsoft-com:office:excel}Column",
)
PLACES = ("ref", "sqref", "topLeftCell", "activeCell")
"""What the attributes are called that hold cells."""


class Known(NamedTuple):
    """What the sheets of a workbook may refer to: names, and how many there are of what is told by its number."""

    tabs: frozenset[str]
    names: frozenset[str]
    texts: int
    formats: int
    paints: int


def letters(text: str) -> int:
    """How long a text is to Excel, which counts in units of 16 bits."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def sheet_faults(parts: Parts, name: str, known: Known) -> Iterator[str]:
    """What Excel would not take of a sheet."""
    sheet = parts.tree(name)
    rows = sheet.find(f"{SPREADSHEET}sheetData")
    for fault in (
        *(() if rows is None else _row_faults(rows, known)),
        *_column_faults(sheet),
        *_place_faults(sheet),
        *_paint_faults(sheet, known),
        *_rule_faults(sheet, known),
        *_print_faults(sheet),
        *_note_faults(parts, name),
    ):
        yield f"{name}: {fault}"


def _row_faults(rows: Element, known: Known) -> Iterator[str]:
    before = 0
    for row in rows:
        number = int(row.get("r", 0))
        if not before < number <= MOST_ROWS:
            yield f"row {number} below row {before}"
        if not 0 <= float(row.get("ht", 0)) <= HIGHEST:
            yield f"row {number} is too high"
        before, left = number, 0
        for cell in row:
            place = area(cell.get("r", ""))
            if place is None or place.top != number or place.left <= left:
                yield f"cell {cell.get('r')} in row {number} behind column {left}"
            else:
                left = place.left
            for fault in _cell_faults(cell, known):
                yield f"{cell.get('r')}: {fault}"


def _cell_faults(cell: Element, known: Known) -> Iterator[str]:
    if not 0 <= int(cell.get("s", 0)) < known.formats:
        yield f"there is no format {cell.get('s')}"
    formula, value = cell.findtext(f"{SPREADSHEET}f"), cell.findtext(f"{SPREADSHEET}v") or ""
    if formula is not None:
        yield from formula_faults(formula, known.tabs, known.names)
    match cell.get("t", "n"):
        case "n":
            # A formula that gives no text has no value in the file, either.
            if value and not NUMBER.fullmatch(value):
                yield f"{value} is no number"
        case "s":
            if not value.isdecimal() or int(value) >= known.texts:
                yield f"there is no text {value}"
        case "str":
            if letters(value) > LONGEST_TEXT:
                yield "too long a text"
        case kind:
            yield f"cells of type {kind} are none of ours"


def _column_faults(sheet: Element) -> Iterator[str]:
    before = 0
    for column in sheet.iter(f"{SPREADSHEET}col"):
        first, last = int(column.get("min", 0)), int(column.get("max", 0))
        if not before < first <= last <= MOST_COLUMNS:
            yield f"columns {first} to {last} behind column {before}"
        if not 0 <= float(column.get("width", 0)) <= WIDEST:
            yield f"column {first} is too wide"
        before = last


def _place_faults(sheet: Element) -> Iterator[str]:
    """Places that no sheet has, and cells that are merged twice."""
    for part in sheet:
        if part.tag == f"{SPREADSHEET}sheetData":
            continue
        for element in part.iter():
            for place in " ".join(element.get(attribute, "") for attribute in PLACES).split():
                if area(place) is None:
                    yield f"no sheet has {place}"
    merged = [cells for one in sheet.iter(f"{SPREADSHEET}mergeCell") if (cells := area(one.get("ref", "")))]
    for one, other in combinations(merged, 2):
        if one.meets(other):
            yield f"merged twice: {one}, {other}"
    links = sum(1 for _ in sheet.iter(f"{SPREADSHEET}hyperlink"))
    if links > MOST_LINKS:
        yield f"{links} links"


def _paint_faults(sheet: Element, known: Known) -> Iterator[str]:
    for rule in sheet.iter(f"{SPREADSHEET}cfRule"):
        formulas = [formula.text or "" for formula in rule.iter(f"{SPREADSHEET}formula")]
        if rule.get("type") == "expression" and len(formulas) != 1:
            yield f"a conditional format of {len(formulas)} formulas"
        if not 0 <= int(rule.get("dxfId", 0)) < known.paints:
            yield f"there is no conditional format {rule.get('dxfId')}"
        for formula in formulas:
            yield from _formula_faults(formula, known)


def _rule_faults(sheet: Element, known: Known) -> Iterator[str]:
    for rule in sheet.iter(f"{SPREADSHEET}dataValidation"):
        formulas = [rule.findtext(f"{SPREADSHEET}{which}") for which in ("formula1", "formula2")]
        needed = 2 if rule.get("operator", "between") in ("between", "notBetween") else 1
        if rule.get("type") in ("list", "custom"):
            needed = 1
        if len([formula for formula in formulas if formula]) != needed:
            yield f"a rule of type {rule.get('type')} without a formula"
        for formula in filter(None, formulas):
            # The words of a list are a text in quotes, and no formula: of them only the length is told.
            if rule.get("type") == "list" and formula.startswith('"'):
                if letters(formula) - 2 > LONGEST_LIST:
                    yield f"a list of {letters(formula) - 2} letters"
            else:
                yield from _formula_faults(formula, known)
        for longest, attributes in (
            (LONGEST_TITLE, ("errorTitle", "promptTitle")),
            (LONGEST_PROMPT, ("prompt",)),
            (LONGEST_MESSAGE, ("error",)),
        ):
            for attribute in attributes:
                if letters(rule.get(attribute, "")) > longest:
                    yield f"{attribute} is too long"


def _formula_faults(formula: str, known: Known) -> Iterator[str]:
    if letters(formula) > LONGEST_FORMULA:
        yield f"a formula of {letters(formula)} letters"
    yield from formula_faults(formula, known.tabs, known.names)


def _print_faults(sheet: Element) -> Iterator[str]:
    for setup in sheet.iter(f"{SPREADSHEET}pageSetup"):
        if not 10 <= int(setup.get("scale", 100)) <= 400:
            yield f"printed at {setup.get('scale')} per cent"
    for line in (*sheet.iter(f"{SPREADSHEET}oddHeader"), *sheet.iter(f"{SPREADSHEET}oddFooter")):
        if letters(line.text or "") > LONGEST_FOOTER:
            yield "too long a header or footer"
    for breaks in sheet.iter(f"{SPREADSHEET}rowBreaks"):
        rows = [int(one.get("id", 0)) for one in breaks]
        if len(rows) > MOST_BREAKS or any(not one < other for one, other in pairwise((0, *rows, MOST_ROWS))):
            yield f"{len(rows)} page breaks, not one below another"


def _note_faults(parts: Parts, name: str) -> Iterator[str]:
    """A note has its text in one part and its box in another, to which the sheet leads as its legacy drawing."""
    for notes in parts.of(name, "comments"):
        tree = parts.tree(notes)
        authors = sum(1 for _ in tree.iter(f"{SPREADSHEET}author"))
        cells = [note.get("ref", "") for note in tree.iter(f"{SPREADSHEET}comment")]
        for note in tree.iter(f"{SPREADSHEET}comment"):
            if not 0 <= int(note.get("authorId", -1)) < authors:
                yield f"note at {note.get('ref')} by nobody"
        for cell in more_than_once(cells):
            yield f"two notes at {cell}"
        legacy = parts.tree(name).find(f"{SPREADSHEET}legacyDrawing")
        drawing = None if legacy is None else parts.related(name).get(legacy.get(f"{RELATED}id", ""))
        if set(map(area, cells)) != (_boxes(parts.tree(drawing.part)) if drawing else set()):
            yield "notes and their boxes are not at the same cells"


def _boxes(drawing: Element) -> set[Area | None]:
    """The cells whose notes have a box."""
    boxes: set[Area | None] = set()
    rows, columns = drawing.iter(ROW_OF_NOTE), drawing.iter(COLUMN_OF_NOTE)
    for row, column in zip(rows, columns, strict=True):
        at, place = int(row.text or 0) + 1, int(column.text or 0) + 1
        boxes.add(Area(at, place, at, place))
    return boxes
