"""The files of a job folder: the only place where reading touches the disk."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from pipeline.reading.rows import LARGEST
from pipeline.reading.spelling import tidy
from schemas import kinds
from schemas.problem import Problem, closest

Folder = Path
"""Where the sheets of a job are."""

NOT_SHEETS = (".", "~$")
"""How names of files begin that programs leave beside a sheet."""

OWN_LIST = ".problems.csv"
"""How the name ends of the list of problems that a plan leaves beside its folder."""


def sheet_files(folder: Folder, sheets: Collection[str]) -> tuple[dict[str, bytes | None], list[Problem]]:
    """What the files of the sheets hold, by sheet, and problems; None for a file that cannot be read.

    A sheet's file is ``<sheet>.csv``, its name in any case, with spaces, hyphens or underscores. Raises OSError if the
    folder itself cannot be read.
    """
    contents: dict[str, bytes | None] = {}
    names: dict[str, str] = {}
    problems = []
    for path in sorted(folder.iterdir(), key=lambda path: path.name):
        if path.suffix.lower() != ".csv" or path.name.startswith(NOT_SHEETS) or path.name.lower().endswith(OWN_LIST):
            continue
        sheet = tidy(path.stem)
        if sheet not in sheets:
            problems.append(_unknown(path.name, sheet, sheets))
        elif sheet in contents:
            problems.append(kinds.SHEET_TWICE.at(sheet, value=path.name, other=names[sheet]))
            contents[sheet] = None
        else:
            names[sheet] = path.name
            content = _content(sheet, path)
            contents[sheet] = content if isinstance(content, bytes) else None
            problems += [content] if isinstance(content, Problem) else []
    return contents, problems


def _content(sheet: str, path: Path) -> bytes | Problem:
    """The file's bytes, one more than the most that is read of it at most."""
    if path.is_dir():
        return kinds.SHEET_IS_A_FOLDER.at(sheet, value=path.name)
    try:
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except OSError as error:
        return kinds.UNREADABLE_SHEET.at(sheet, value=path.name, reason=error.strerror or "the disk refuses")


def _unknown(name: str, sheet: str, sheets: Collection[str]) -> Problem:
    return kinds.UNKNOWN_SHEET.at(name, value=name, near=closest(sheet, sheets))
