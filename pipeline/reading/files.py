"""The files of a job: the only place where reading touches the disk."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from pipeline.reading.rows import LARGEST, OWN_TABS
from pipeline.reading.spelling import tidy
from pipeline.reading.table import Rows
from schemas import kinds, workbook_kinds
from schemas.problem import Problem, closest

Folder = Path
"""Where the sheets of a job are: a folder of files, or one workbook."""

Content = bytes | Rows | None
"""What a sheet holds: a CSV's bytes, the rows of a workbook's tab, or None if it cannot be read."""

ENDINGS = (".xlsx", ".xlsm", ".ods")
"""How the names of workbooks end that are read."""

NOT_SHEETS = (".", "~$")
"""How names of files begin that programs leave beside a sheet."""

OWN_LIST = ".problems.csv"
"""How the name ends of the list of problems that a plan leaves beside its folder."""

OTHER_FORMATS = (".xls", ".xlsb", ".xltx", ".fods", ".ots", ".numbers", ".tsv", ".tab")
"""Formats of spreadsheets that are not read."""


def is_workbook(path: Path) -> bool:
    """Whether the path is, by its name, a workbook that can be read."""
    return path.suffix.lower() in ENDINGS


def sheet_files(folder: Folder, sheets: Collection[str]) -> tuple[dict[str, Content], list[Problem]]:
    """What the sheets of a job hold, by sheet, and problems.

    A sheet's file is ``<sheet>.csv``, its name in any case, with spaces, hyphens or underscores; or a workbook of that
    name, or a tab of that name in any workbook. ``folder`` may be a workbook itself. Raises OSError if the folder
    cannot be read.
    """
    shelf = _Shelf(sheets)
    alone = is_workbook(folder) and folder.is_file()
    for path in [folder] if alone else sorted(folder.iterdir(), key=lambda path: path.name):
        if path.name.startswith(NOT_SHEETS) or path.name.lower().endswith(OWN_LIST):
            continue
        if path.suffix.lower() == ".csv":
            shelf.add_csv(path)
        elif is_workbook(path):
            shelf.add_workbook(path)
        elif path.suffix.lower() in OTHER_FORMATS and tidy(path.stem) in sheets:
            shelf.problems.append(workbook_kinds.OTHER_FORMAT.at(tidy(path.stem), value=path.name))
    return shelf.contents(), shelf.problems


class _Shelf:
    """The sheets found so far."""

    def __init__(self, sheets: Collection[str]) -> None:
        self.problems: list[Problem] = []
        self._sheets = sheets
        self._contents: dict[str, Content] = {}
        self._places: dict[str, str] = {}
        self._all_known = True

    def contents(self) -> dict[str, Content]:
        """What was found. Where a workbook could not be read, any sheet may be in it: none is missing."""
        if self._all_known:
            return self._contents
        return dict.fromkeys(self._sheets) | self._contents

    def add_csv(self, path: Path) -> None:
        """The sheet of a CSV."""
        sheet = tidy(path.stem)
        if sheet in OWN_TABS:
            return
        if sheet not in self._sheets:
            near = closest(sheet, self._sheets)
            self.problems.append(kinds.UNKNOWN_SHEET.at(path.name, value=path.name, near=near))
        elif self._is_new(sheet, path.name):
            content = _content(sheet, path)
            self._contents[sheet] = content if isinstance(content, bytes) else None
            self.problems += [content] if isinstance(content, Problem) else []

    def add_workbook(self, path: Path) -> None:
        """The sheets of a workbook."""
        # Whoever keeps CSVs need not wait for what reads workbooks to be imported.
        from pipeline.reading.workbooks import sheets_of

        content = _content(path.name, path)
        if isinstance(content, Problem):
            self.problems.append(content)
            self._all_known = False
            return
        found = sheets_of(path.name, path.stem, content, self._sheets)
        self.problems += found.problems
        self._all_known &= found.readable
        for sheet, tab, rows in found.sheets:
            if self._is_new(sheet, f"{path.name}, tab {tab}"):
                self._contents[sheet] = rows

    def _is_new(self, sheet: str, place: str) -> bool:
        """Whether the sheet was not found before; else that is told, and neither of the two is read."""
        if sheet not in self._places:
            self._places[sheet] = place
            return True
        self.problems.append(kinds.SHEET_TWICE.at(sheet, value=place, other=self._places[sheet]))
        self._contents[sheet] = None
        return False


def _content(sheet: str, path: Path) -> bytes | Problem:
    """The file's bytes, one more than the most that is read of it at most."""
    if path.is_dir():
        return kinds.SHEET_IS_A_FOLDER.at(sheet, value=path.name)
    try:
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except OSError as error:
        return kinds.UNREADABLE_SHEET.at(sheet, value=path.name, reason=error.strerror or "the disk refuses")
