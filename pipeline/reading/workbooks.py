"""From a workbook's bytes to the rows of the sheets in it, as if each had been saved as a CSV."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from io import BytesIO
from zipfile import BadZipFile, ZipFile

from pipeline.reading.ods import tabs_of_ods
from pipeline.reading.rows import LARGEST, MEGABYTE, OWN_TABS
from pipeline.reading.spelling import tidy
from pipeline.reading.table import Rows
from pipeline.reading.xlsx import tabs_of_xlsx
from schemas import kinds, workbook_kinds
from schemas.problem import Problem, closest

LARGEST_UNPACKED = 10 * LARGEST
"""Bytes of the largest workbook that is read, unpacked: no order book comes near it, a malicious file does."""

DAMAGE = (
    BadZipFile, zlib.error, struct.error, SyntaxError, EOFError, OSError, NotImplementedError, RuntimeError,
    LookupError, ValueError, TypeError, AttributeError, OverflowError, ArithmeticError,
)  # fmt: skip
"""What a damaged file makes its readers raise: they tell faults of the file by no error of their own. Of what is no XML
it is a ``SyntaxError``, by another name where openpyxl finds lxml to read by."""


@dataclass
class Workbook:
    """What a workbook holds: the rows of its sheets with the tabs they stand in, and problems.

    ``readable`` is False where nothing is known of what is inside.
    """

    sheets: list[tuple[str, str, Rows]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    readable: bool = True


def sheets_of(name: str, stem: str, data: bytes, sheets: Collection[str]) -> Workbook:
    """The sheets of a workbook, as sheet, tab and rows, in the order of its tabs, and problems.

    A tab with the name of a sheet is that sheet. Of a file that is named like a sheet, and none of whose tabs is, the
    only tab that is filled in is the sheet. ``name`` is the file's, ``stem`` the same without its ending.
    """
    if len(data) > LARGEST:
        return _unreadable(kinds.SHEET_TOO_LARGE.at(name, most=LARGEST // MEGABYTE))
    try:
        tabs = _tabs(data)
    except _TooLarge:
        return _unreadable(kinds.SHEET_TOO_LARGE.at(name, most=LARGEST_UNPACKED // MEGABYTE))
    except ImportError:
        return _unreadable(workbook_kinds.NO_READER.at(name, value=name))
    except DAMAGE:
        return _unreadable(workbook_kinds.DAMAGED_WORKBOOK.at(name, value=name))
    return _sorted_out(name, tidy(stem), tabs, sheets)


class _TooLarge(Exception):  # noqa: N818 - named as what is wrong
    """The workbook would fill the memory."""


def _tabs(data: bytes) -> dict[str, Rows]:
    """The rows of every tab, by its name. Raises ``_TooLarge``, ImportError, and those of ``DAMAGE``."""
    with ZipFile(BytesIO(data)) as parts:
        if sum(part.file_size for part in parts.infolist()) > LARGEST_UNPACKED:
            raise _TooLarge
        if (damaged := parts.testzip()) is not None:
            raise BadZipFile(damaged)
        if "content.xml" in parts.namelist():
            return tabs_of_ods(parts.read("content.xml"))
    return tabs_of_xlsx(data)


def _sorted_out(name: str, stem: str, tabs: Mapping[str, Rows], sheets: Collection[str]) -> Workbook:
    known = [(tidy(tab), tab, rows) for tab, rows in tabs.items() if tidy(tab) in sheets]
    strange = [tab for tab, rows in tabs.items() if rows and tidy(tab) not in {*sheets, *OWN_TABS}]
    if known:
        return Workbook(known, [_unknown(name, tab, sheets) for tab in strange])
    if stem not in sheets:
        return Workbook(problems=[workbook_kinds.NO_SHEET_INSIDE.at(name, value=name)])
    if len(strange) > 1:
        named = ", ".join(f"`{tab}`" for tab in strange)
        return _unreadable(workbook_kinds.SEVERAL_TABS.at(stem, value=name, tabs=named))
    return Workbook([(stem, tab, tabs[tab]) for tab in strange] or [(stem, "", [])])


def _unknown(name: str, tab: str, sheets: Collection[str]) -> Problem:
    return workbook_kinds.UNKNOWN_TAB.at(name, value=tab, near=closest(tidy(tab), sheets))


def _unreadable(problem: Problem) -> Workbook:
    return Workbook(problems=[problem], readable=False)
