"""Workbooks that Excel opens without offering to repair them, as far as can be told without Excel.

Two look at them: openxml-audit, which holds the parts against the schemas of the standard as Microsoft's own library
has them (what may stand where, and what leads to what), and ``open_xml``, for what no schema says: order, numbers of
things that are there, limits. Faults that Excel is known to stop at are put in on purpose, to see that both can fail.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import fields, replace
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import NamedTuple
from zipfile import ZIP_DEFLATED, ZipFile

import polars as pl
import pytest
from openxml_audit import FileFormat, OpenXmlValidator

from pipeline.blank_workbook import blank_book
from pipeline.job import Job
from pipeline.plan import whole_plan
from pipeline.writing.blank_xlsx import draw_blank
from pipeline.writing.book import book
from pipeline.writing.xlsx import draw
from schemas.problem import problems_sheet
from tests.shops import make_job
from tests.writing.open_xml.books import faults
from tests.writing.small_book import small_book
from tests.writing.test_libreoffice_plans import closed_early, hardly_priced, in_pounds, sample


@cache
def validator() -> OpenXmlValidator:
    """By the first version that reads our workbooks, and without an end to what it tells."""
    return OpenXmlValidator(file_format=FileFormat.OFFICE_2007, max_errors=0)


def against_the_schemas(workbook: bytes, room: Path) -> list[str]:
    """What openxml-audit has against a workbook, warnings too."""
    path = room / "plan.xlsx"
    path.write_bytes(workbook)
    return [str(finding) for finding in validator().validate(path).errors]


AWKWARD = {
    "tumbler": "=1+1",
    "side plate": "side \x01plate\x0b",
    "jug": "_x0041_ jug",
    "fern": "fern \N{AMPHORA} \uffff",
    "slate": "<slate> & 'co' \"x\"",
    "B-12": "@B-12",
    "V-3": " V-3 ",
    "Brindlecombe Café": "\N{AMPHORA}" * 40_000,
    "buff stoneware": "buff\tstone\nware",
    "throw": "-throw\x08",
    "turn": "{row}",
    "back kiln": "+back '!kiln",
    "Ada": "Ad\x7fa\x85",
}
"""Names of the sample, and names as no honest sheet has them."""


def awkward(job: Job) -> Job:
    """The job with awkward names wherever a cell is one of the known."""
    sheets = {field.name: getattr(job, field.name) for field in fields(job) if field.name != "settings"}
    names = {name for sheet in sheets.values() for column in sheet.select(pl.col(pl.String)) for name in column}
    assert names >= set(AWKWARD)
    return replace(
        job, **{name: sheet.with_columns(pl.col(pl.String).replace(AWKWARD)) for name, sheet in sheets.items()}
    )


JOBS: dict[str, Callable[[], Job]] = {
    "the sample": lambda: sample("studio"),
    "hardly a price": lambda: hardly_priced(sample("first")),
    "US units, in books that close early, with goods carried over": lambda: in_pounds(closed_early(sample("studio"))),
    "awkward names": lambda: awkward(sample("studio")),
    "a single line and no price at all": lambda: make_job(orders=[{"order": "A", "form": "mug", "quantity": 1}]),
}


@pytest.mark.parametrize("name", JOBS)
def test_excel_would_open_a_plan_as_it_is(name: str, tmp_path: Path) -> None:
    job = JOBS[name]()
    workbook = draw(book(job, whole_plan(job, problems_sheet(())).results))
    assert against_the_schemas(workbook, tmp_path) == []
    assert faults(workbook) == []


def test_excel_would_open_the_blank_workbook_as_it_is(tmp_path: Path) -> None:
    workbook = draw_blank(blank_book())
    assert against_the_schemas(workbook, tmp_path) == []
    assert faults(workbook) == []


class Change(NamedTuple):
    """Text of a part, and what to put in its place."""

    part: str
    old: str
    new: str


SHEET, CHARTS = "xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml"
BOOK, TEXTS, STYLES = "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml"
NOTES, BOXES = "xl/comments1.xml", "xl/drawings/vmlDrawing1.vml"
DRAWING, CHART = "xl/drawings/drawing1.xml", "xl/charts/chart1.xml"
TYPES, LEADS = "[Content_Types].xml", "xl/worksheets/_rels/sheet1.xml.rels"


@cache
def sound() -> bytes:
    return draw(small_book())


def spoilt(workbook: bytes, *changes: Change) -> bytes:
    """A workbook with the first place changed that is as told; there must be one."""
    with ZipFile(BytesIO(workbook)) as file:
        parts = {name: file.read(name).decode() for name in file.namelist()}
    for part, old, new in changes:
        parts[part], count = re.subn(old, new, parts[part], count=1, flags=re.DOTALL)
        assert count == 1, f"nothing in {part} is {old}"
    packed = BytesIO()
    with ZipFile(packed, "w", ZIP_DEFLATED) as file:
        for name, text in parts.items():
            file.writestr(name, text)
    return packed.getvalue()


def test_the_workbook_to_be_spoilt_is_sound(tmp_path: Path) -> None:
    assert against_the_schemas(spoilt(sound()), tmp_path) == []
    assert faults(spoilt(sound())) == []


AGAINST_THE_SCHEMAS = {
    "a filter below the page's set-up": Change(SHEET, "(<autoFilter.*?/>)(.*)(<headerFooter>)", r"\2\1\3"),
    "a filter below merged cells": Change(
        SHEET, "(?=<autoFilter)", '<mergeCells count="1"><mergeCell ref="A20:B20"/></mergeCells>'
    ),
    "two filters": Change(SHEET, "(<autoFilter.*?/>)", r"\1\1"),
    "a conditional format above the cells": Change(
        SHEET, "(<sheetData>.*</sheetData>)(.*)(<conditional.*</conditionalFormatting>)", r"\3\1\2"
    ),
    "a conditional format of no rank": Change(SHEET, ' priority="1"', ""),
    "a value before its formula": Change(SHEET, "(<f>SUM.*?</f>)(<v>65</v>)", r"\2\1"),
    "a type of cell that is none": Change(SHEET, '(r="B7" s="8")', r'\1 t="q"'),
    "a state of panes that is none": Change(SHEET, 'state="frozen"', 'state="iced"'),
    "an element that is none": Change(SHEET, "<sheetData>", "<bogus/><sheetData>"),
    "an attribute that is none": Change(SHEET, "<sheetFormatPr", '<sheetFormatPr bogus="1"'),
    "a paper by its name": Change(SHEET, 'paperSize="9"', 'paperSize="A4"'),
    "names before tabs": Change(BOOK, "(<sheets>.*</sheets>)(<definedNames>.*</definedNames>)", r"\2\1"),
    "a text that is none": Change(TEXTS, "<si><t>Pots</t>", "<si><b>Pots</b>"),
    "a colour by its name": Change(STYLES, 'rgb="FF1F2A30"', 'rgb="green"'),
    "a series in the wrong order": Change(CHART, "(<c:idx [^>]*>)(<c:order [^>]*>)", r"\2\1"),
    "a chart that leads nowhere": Change(DRAWING, 'r:id="rId1"', 'r:id="rId7"'),
    "notes that lead nowhere": Change(SHEET, '<legacyDrawing r:id="rId1"/>', '<legacyDrawing r:id="rId7"/>'),
    "a part that is not there": Change(LEADS, "comments1.xml", "comments7.xml"),
}


@pytest.mark.parametrize("fault", AGAINST_THE_SCHEMAS)
def test_the_schemas_find_a_fault(fault: str, tmp_path: Path) -> None:
    assert against_the_schemas(spoilt(sound(), AGAINST_THE_SCHEMAS[fault]), tmp_path) != []


A_RULE = '<dataValidations count="1"><dataValidation type="list"{} sqref="A1"><formula1>{}</formula1></dataValidation>'
RULES_GO = "(?=<printOptions)"


def rule(attributes: str = "", formula: str = '"a,b"') -> Change:
    """A rule for what a cell takes, put where rules stand."""
    return Change(SHEET, RULES_GO, A_RULE.format(attributes, formula) + "</dataValidations>")


def merged(*places: str) -> Change:
    cells = "".join(f'<mergeCell ref="{place}"/>' for place in places)
    return Change(SHEET, "(?=<conditional)", f"<mergeCells>{cells}</mergeCells>")


def total(formula: str) -> Change:
    return Change(SHEET, "<f>SUM.B5:B6.</f>", f"<f>{formula}</f>")


BEYOND_THE_SCHEMAS: dict[str, tuple[Change, str]] = {
    "a type told twice": (
        Change(TYPES, 'PartName="/xl/styles.xml"', 'PartName="/xl/workbook.xml"'),
        "more than once",
    ),
    "a control character": (Change(TEXTS, "<t>", "<t>\x01"), "not XML"),
    "a part without a type": (Change(TYPES, '<Override PartName="/xl/worksheets/sheet1.xml".*?/>', ""), "is led to as"),
    "boxes without a type": (Change(TYPES, '<Default Extension="vml".*?/>', ""), "is led to as"),
    "a part of another type": (Change(TYPES, r"worksheet\+xml", "styles+xml"), "is led to as"),
    "a type of no part": (Change(TYPES, "/xl/styles.xml", "/xl/style.xml"), "is not there"),
    "an id of two relationships": (Change(LEADS, "rId2", "rId1"), "more than once"),
    "rows out of order": (Change(SHEET, '(<row r="5">.*?</row>)(<row r="6">.*?</row>)', r"\2\1"), "row 5 below row 6"),
    "a row twice": (Change(SHEET, '(<row r="6">.*?</row>)', r"\1\1"), "row 6 below row 6"),
    "a row below the last": (Change(SHEET, '<row r="8"><c r="A8"', '<row r="1048577"><c r="A1048577"'), "row 1048577"),
    "cells out of order": (
        Change(SHEET, '(<c r="A5".*?</c>)(<c r="B5".*?</c>)', r"\2\1"),
        "A5 in row 5 behind column 2",
    ),
    "a cell twice": (Change(SHEET, '(<c r="B5".*?</c>)', r"\1\1"), "B5 in row 5 behind column 2"),
    "a cell in another row": (Change(SHEET, 'r="C5"', 'r="C6"'), "C6 in row 5"),
    "a cell beyond the last column": (Change(SHEET, 'r="C5"', 'r="XFE5"'), "XFE5 in row 5"),
    "a text that is not there": (Change(SHEET, "<v>0</v>", "<v>99</v>"), "there is no text 99"),
    "a format that is not there": (Change(SHEET, 's="8"', 's="9"'), "there is no format 9"),
    "letters for a number": (Change(SHEET, "<v>40</v>", "<v>forty</v>"), "forty is no number"),
    "a number that is none": (Change(SHEET, "<v>40</v>", "<v>inf</v>"), "inf is no number"),
    "too long a text": (Change(TEXTS, "Pots", "x" * 32_768), "too long a text"),
    "too long a text of a formula": (Change(SHEET, "<v>many</v>", f"<v>{'x' * 32_768}</v>"), "too long a text"),
    "a type of cell that is none of ours": (Change(SHEET, 'r="B7" s="8"', 'r="B7" s="8" t="d"'), "cells of type d"),
    "a formula with a second =": (total("=SUM(B5:B6)"), "a second ="),
    "a bracket that is not closed": (total("SUM(B5:B6"), "not closed"),
    "a bracket too many": (total("not opened"), "not opened"),
    "a function newer than the standard": (total("MAXIFS(B5:B6,B5:B6,1)"), "MAXIFS is no function"),
    "a tab that is not there": (total("SUM('pots sold'!B5)"), "there is no tab"),
    "a row that is not there": (total("SUM(B5:B1048577)"), "no sheet has B1:B1048577"),
    "a column that is not there": (total("SUM(XFE5)"), "no sheet has XFE"),
    "a name that is not there": (total("SUM(pots_totals)"), "no sheet has pots_totals"),
    "a lost reference": (total("SUM(#REF!)"), "#REF!"),
    "a long text in a formula": (total(f'LEN("{"x" * 256}")'), "a text of 256 letters"),
    "columns told twice": (Change(SHEET, '(<col min="1".*?/>)', r"\1\1"), "columns 1 to 3 behind column 3"),
    "a column wider than any": (Change(SHEET, "width=.12.7109375.", 'width="256"'), "too wide"),
    "a row higher than any": (Change(SHEET, 'ht="30"', 'ht="410"'), "too high"),
    "merged cells that overlap": (merged("A20:B20", "B20:C22"), "merged twice"),
    "merged cells that are none": (merged("A20:"), "no sheet has A20:"),
    "too many links": (
        Change(SHEET, RULES_GO, "<hyperlinks>" + '<hyperlink ref="A1"/>' * 65_531 + "</hyperlinks>"),
        "65531 links",
    ),
    "a filter of no cells": (Change(SHEET, 'ref="A4:C6"', 'ref="A6:C4"'), "no sheet has A6:C4"),
    "panes that begin nowhere": (Change(SHEET, 'topLeftCell="B5"', 'topLeftCell="5B"'), "no sheet has 5B"),
    "a mark that is not there": (Change(SHEET, 'dxfId="0"', 'dxfId="1"'), "no conditional format 1"),
    "a mark without a formula": (Change(SHEET, "<formula>.*?</formula>", ""), "of 0 formulas"),
    "a mark by a long formula": (Change(SHEET, "<formula>", f"<formula>{'1+' * 4_096}"), "a formula of 8198 letters"),
    "a mark by a broken formula": (Change(SHEET, "<formula>", "<formula>("), "not closed"),
    "too long a list": (rule(formula=f'"{"x" * 256}"'), "a list of 256 letters"),
    "a rule of nothing": (rule(formula=""), "without a formula"),
    "a rule with too long a title": (rule(f' errorTitle="{"x" * 33}"'), "errorTitle is too long"),
    "a rule with too long a prompt": (rule(f' prompt="{"x" * 256}"'), "prompt is too long"),
    "a rule with too long a message": (rule(f' error="{"x" * 225}"'), "error is too long"),
    "a print smaller than any": (Change(CHARTS, 'scale="81"', 'scale="9"'), "9 per cent"),
    "a long footer": (Change(SHEET, "<oddFooter>", f"<oddFooter>{'x' * 255}"), "header or footer"),
    "pages out of order": (Change(CHARTS, "(<brk .*?/>)", r"\1\1"), "page breaks"),
    "too many pages": (Change(CHARTS, "(<brk .*?/>)", r"\1" * 1_027), "1027 page breaks"),
    "two notes at a cell": (Change(NOTES, 'ref="B4"', 'ref="A4"'), "two notes at a4"),
    "a note by nobody": (Change(NOTES, 'authorId="0"', 'authorId="1"'), "by nobody"),
    "notes without boxes": (Change(SHEET, "<legacyDrawing.*?/>", ""), "not at the same cells"),
    "a box elsewhere": (Change(BOXES, "<x:Row>3", "<x:Row>4"), "not at the same cells"),
    "a tab's name of 32 letters": (Change(BOOK, 'name="charts"', f'name="{"x" * 32}"'), "name of 32 letters"),
    "a tab's name with a colon": (Change(BOOK, 'name="charts"', 'name="charts:"'), "no tab can be called charts:"),
    "a tab's name in quotes": (Change(BOOK, 'name="charts"', "name=\"'charts'\""), "no tab can be called 'charts'"),
    "a reserved tab's name": (Change(BOOK, 'name="charts"', 'name="History"'), "no tab can be called History"),
    "tabs of one name": (Change(BOOK, 'name="charts"', 'name="Pots made"'), "pots made"),
    "tabs of one part": (Change(BOOK, 'r:id="rId2"', 'r:id="rId1"'), "rid1"),
    "a name in two words": (Change(BOOK, 'name="pots_total"', 'name="pots total"'), "called pots total"),
    "a name like a cell": (Change(BOOK, 'name="pots_total"', 'name="pot27"'), "called pot27"),
    "a name like a row": (Change(BOOK, 'name="pots_total"', 'name="r1c1"'), "called r1c1"),
    "a long name": (Change(BOOK, 'name="pots_total"', f'name="{"x" * 256}"'), "a name of 256 letters"),
    "a name twice": (Change(BOOK, "(<definedName name=.pots.*?</definedName>)", r"\1\1"), "two names pots_total"),
    "a name for no tab": (Change(BOOK, r"(>'pots) made'!\$B\$7", r"\1 sold'!$B$7"), "there is no tab"),
    "a name for no row": (Change(BOOK, r"\$B\$7", "$B$1048577"), "$B$1048577"),
    "a name of no tab": (Change(BOOK, 'localSheetId="0"', 'localSheetId="2"'), "of tab 2"),
    "titles that are a cell": (Change(BOOK, r"\$4:\$4", "$A$4"), "Print_Titles"),
    "titles of another tab": (Change(BOOK, r"'pots made'!\$4:\$4", "charts!$4:$4"), "charts!$4:$4 on pots made"),
    "a number format twice": (Change(STYLES, 'numFmtId="165" f', 'numFmtId="164" f'), "two number formats 164"),
    "a number format that is not there": (Change(STYLES, 'numFmtId="166" f', 'numFmtId="167" f'), "number format 166"),
    "a font that is not there": (Change(STYLES, 'fontId="3"', 'fontId="9"'), "fontId 9 of 5"),
    "too many fonts": (Change(STYLES, "<font>", "<font/>" * 512 + "<font>"), "too many fonts"),
    "two charts of one number": (Change(DRAWING, "(<xdr:cNvPr .*?/>)", r"\1\1"), "two shapes 2"),
    "a chart below the last row": (Change(DRAWING, "<xdr:row>30", "<xdr:row>1048576"), "to 1048576"),
    "a chart that ends before it begins": (Change(DRAWING, "<xdr:row>30", "<xdr:row>2"), "row 3 to 2"),
    "a chart of no tab": (Change(CHART, "'pots made'", "'pots sold'"), "there is no tab"),
    "series of one number": (Change(CHART, '<c:idx val="1"/><c:order', '<c:idx val="0"/><c:order'), "series"),
    "a chart without its axis": (Change(CHART, "<c:valAx>.*</c:valAx>", ""), "axes"),
}


@pytest.mark.parametrize("fault", BEYOND_THE_SCHEMAS)
def test_a_fault_beyond_the_schemas_is_found(fault: str) -> None:
    change, told = BEYOND_THE_SCHEMAS[fault]
    assert any(told in found for found in faults(spoilt(sound(), change)))
