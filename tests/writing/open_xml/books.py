"""What Excel asks of a whole workbook: its tabs and names, its texts and formats, and what is drawn on its sheets.

Sources: ECMA-376 part 1, 18.2 (workbook), 18.4 (shared strings), 18.8 (styles), 20.5 (anchors), 21.2 (charts), and what
Excel asks beyond it, Microsoft's MS-OI29500 under the same sections; Microsoft, Excel specifications and limits;
Microsoft's help on renaming a worksheet and on names in formulas.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element

from tests.writing.open_xml.parts import RELATED, SPREADSHEET, Parts, more_than_once, packaging_faults
from tests.writing.open_xml.references import MOST_COLUMNS, MOST_ROWS, area, formula_faults, reference_fault
from tests.writing.open_xml.sheets import LONGEST_TEXT, Known, letters, sheet_faults

BOOK, TEXTS, STYLES = "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml"

DRAWN = "{http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing}"
CHART = "{http://schemas.openxmlformats.org/drawingml/2006/chart}"

LONGEST_TAB, LONGEST_NAME = 31, 255
NOT_IN_TABS = frozenset(r"[]:*?/\\")

NAME = re.compile(r"[^\W\d][\w.]*")
ROW_AND_COLUMN = re.compile(r"R[0-9]*(C[0-9]*)?|C[0-9]*", re.IGNORECASE)
TITLES, PRINTED, FILTERED = "_xlnm.Print_Titles", "_xlnm.Print_Area", "_xlnm._FilterDatabase"

FIRST_OWN_FORMAT, MOST_FORMATS, MOST_FONTS, MOST_NUMBER_FORMATS = 164, 65_490, 512, 200
MOST_SERIES = 255
"""In a chart."""

ESCAPED = re.compile("_x[0-9A-Fa-f]{4}_")
"""A character that XML has not, as ST_Xstring writes it (22.9.2.19)."""


def faults(workbook: bytes) -> list[str]:
    """What Excel would not take as it is, as far as that is documented: each with the part that it is in."""
    parts = Parts(workbook)
    # Parts that cannot be found or read have no faults of their own.
    return list(packaging_faults(parts)) or list(_faults(parts))


def _faults(parts: Parts) -> Iterator[str]:
    book, styles = parts.tree(BOOK), parts.tree(STYLES)
    tabs = [sheet.get("name", "") for sheet in book.iter(f"{SPREADSHEET}sheet")]
    names = [name.get("name", "") for name in book.iter(f"{SPREADSHEET}definedName")]
    texts = list(parts.tree(TEXTS))
    known = Known(
        frozenset(tabs),
        frozenset(names),
        len(texts),
        len(_listed(styles, "cellXfs")),
        len(_listed(styles, "dxfs")),
    )
    for text in texts:
        if letters(ESCAPED.sub("x", "".join(text.itertext()))) > LONGEST_TEXT:
            yield f"{TEXTS}: too long a text"
    for fault in (*_tab_faults(book), *_name_faults(book, tabs, known)):
        yield f"{BOOK}: {fault}"
    for fault in _style_faults(styles):
        yield f"{STYLES}: {fault}"
    for sheet in parts.of(BOOK, "worksheet"):
        yield from sheet_faults(parts, sheet, known)
        for drawing in parts.of(sheet, "drawing"):
            yield from (f"{drawing}: {fault}" for fault in _drawing_faults(parts.tree(drawing)))
            for chart in parts.of(drawing, "chart"):
                yield from (f"{chart}: {fault}" for fault in _chart_faults(parts.tree(chart), known))


def _tab_faults(book: Element) -> Iterator[str]:
    sheets = list(book.iter(f"{SPREADSHEET}sheet"))
    for tab in (sheet.get("name", "") for sheet in sheets):
        if not 0 < letters(tab) <= LONGEST_TAB:
            yield f"a tab's name of {letters(tab)} letters"
        if NOT_IN_TABS & set(tab) or tab[:1] == "'" or tab[-1:] == "'" or tab.lower() == "history":
            yield f"no tab can be called {tab}"
    for attribute in ("name", "sheetId", f"{RELATED}id"):
        for one in more_than_once(sheet.get(attribute, "") for sheet in sheets):
            yield f"two tabs have the {attribute} {one}"


def _name_faults(book: Element, tabs: list[str], known: Known) -> Iterator[str]:
    defined = list(book.iter(f"{SPREADSHEET}definedName"))
    for one in more_than_once(f"{name.get('name')} of {name.get('localSheetId', 'all')}" for name in defined):
        yield f"two names {one}"
    for element in defined:
        name, meaning, at = element.get("name", ""), element.text or "", int(element.get("localSheetId", 0))
        if at >= len(tabs):
            yield f"{name} of tab {at}"
        elif name in (TITLES, PRINTED, FILTERED):
            yield from (f"{name}: {fault}" for fault in _printed_faults(name, meaning, tabs[at], known.tabs))
        else:
            if not NAME.fullmatch(name) or area(name.upper()) or ROW_AND_COLUMN.fullmatch(name):
                yield f"nothing can be called {name}"
            if letters(name) > LONGEST_NAME:
                yield f"a name of {letters(name)} letters"
            yield from (f"{name}: {fault}" for fault in formula_faults(meaning, known.tabs, known.names))


def _printed_faults(name: str, meaning: str, tab: str, tabs: frozenset[str]) -> Iterator[str]:
    """The print area and what is filtered are cells of their own tab; titles whole columns, whole rows or both."""
    shape = r"\$[A-Z]+\$[0-9]+(:\$[A-Z]+\$[0-9]+)?"
    if name == TITLES:
        shape = r"\$[A-Z]+:\$[A-Z]+|\$[0-9]+:\$[0-9]+"
    for place in meaning.split(","):
        if fault := reference_fault(place, tabs):
            yield fault
        on, _, cells = place.rpartition("!")
        if on.strip("'").replace("''", "'") != tab or not re.fullmatch(shape, cells):
            yield f"{place} on {tab}"


def _listed(styles: Element, name: str) -> list[Element]:
    found = styles.find(f"{SPREADSHEET}{name}")
    return [] if found is None else list(found)


def _style_faults(styles: Element) -> Iterator[str]:
    own = [one.get("numFmtId", "") for one in _listed(styles, "numFmts")]
    for number in more_than_once(own):
        yield f"two number formats {number}"
    formats = [*_listed(styles, "cellStyleXfs"), *_listed(styles, "cellXfs")]
    for kind, attribute in (("fonts", "fontId"), ("fills", "fillId"), ("borders", "borderId")):
        there = len(_listed(styles, kind))
        for at in {int(one.get(attribute, 0)) for one in formats}:
            if not 0 <= at < there:
                yield f"{attribute} {at} of {there}"
    for number in {one.get("numFmtId", "0") for one in formats} - set(own):
        if int(number) >= FIRST_OWN_FORMAT:
            yield f"there is no number format {number}"
    for kind, most in (("cellXfs", MOST_FORMATS), ("fonts", MOST_FONTS), ("numFmts", MOST_NUMBER_FORMATS)):
        if len(_listed(styles, kind)) > most:
            yield f"too many {kind}"


def _drawing_faults(drawing: Element) -> Iterator[str]:
    """Pictures of charts lie between two cells of the sheet."""
    for number in more_than_once(shape.get("id", "") for shape in drawing.iter(f"{DRAWN}cNvPr")):
        yield f"two shapes {number}"
    for anchor in drawing.iter(f"{DRAWN}twoCellAnchor"):
        for axis, most in (("row", MOST_ROWS), ("col", MOST_COLUMNS)):
            first, last = (int(anchor.findtext(f"{DRAWN}{end}/{DRAWN}{axis}", "-1")) for end in ("from", "to"))
            if not 0 <= first <= last < most:
                yield f"a shape from {axis} {first} to {last}"


def _chart_faults(chart: Element, known: Known) -> Iterator[str]:
    for formula in chart.iter(f"{CHART}f"):
        if fault := reference_fault(formula.text or "", known.tabs):
            yield fault
    series = [one.find(f"{CHART}idx") for one in chart.iter(f"{CHART}ser")]
    numbers = [one.get("val", "") for one in series if one is not None]
    if len(numbers) > MOST_SERIES or more_than_once(numbers):
        yield f"series {numbers}"
    plot = chart.find(f"{CHART}chart/{CHART}plotArea")
    axes = {one.find(f"{CHART}axId") for kind in ("catAx", "valAx") for one in chart.iter(f"{CHART}{kind}")}
    there = {one.get("val") for one in axes if one is not None}
    drawn = () if plot is None else plot.iter(f"{CHART}axId")
    if len(there) < 2 or {one.get("val") for one in drawn} != there:
        yield "axes that are not there"
