"""Reading a job folder or one sheet: every problem at once, and the job if nothing stops it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache

import polars as pl

from pipeline.job import Job
from pipeline.reading.across import rows_at_odds
from pipeline.reading.defaults import rows_of, stand_ins
from pipeline.reading.files import Folder, sheet_files
from pipeline.reading.headings import under_headings
from pipeline.reading.job import to_job
from pipeline.reading.links import Checked, links_broken
from pipeline.reading.rows import rows_in
from pipeline.reading.rules import rules_broken
from pipeline.reading.settings import choices, chosen
from pipeline.reading.spelling import one_spelling
from pipeline.reading.typed import typed
from schemas import SHEETS_IN, SHEETS_OUT, kinds
from schemas.problem import Problem, problems_sheet
from schemas.sheet import Sheet, columns


@dataclass(frozen=True)
class Reading:
    """What came of reading a folder: ``job`` is None if a problem of severity ``stop`` stands.

    ``problems`` is the sheet of that name, ordered as the sheets, their rows and columns are.
    """

    job: Job | None
    problems: pl.DataFrame


@dataclass(frozen=True)
class _Read:
    """One sheet, typed and as text, its rows the same in both; None if it cannot be relied on."""

    frame: pl.DataFrame | None
    text: pl.DataFrame
    problems: list[Problem]


def read_job(
    folder: Folder,
    *,
    today: date,
    needed: Collection[str],
    instead: Mapping[str, bytes] | None = None,
    unread: Collection[str] = (),
) -> Reading:
    """Read and check the sheets of a folder.

    ``needed`` are the sheets that must be there; ``today`` is the first day of a plan whose settings name none;
    ``instead`` holds the bytes of input sheets that come from elsewhere, and are read in place of the folder's own;
    ``unread`` are sheets to leave alone, whatever is in them: names that should stand there are not looked for.
    Raises OSError if the folder itself cannot be read; all else that is wrong is a problem.
    """
    contents, problems = sheet_files(folder, SHEETS_IN)
    contents = {name: content for name, content in contents.items() if name not in unread}
    problems = [problem for problem in problems if problem.sheet not in unread]
    if instead:
        problems = [problem for problem in problems if problem.sheet not in instead]
        contents |= instead
    read = {name: _read(name, SHEETS_IN[name], contents[name]) for name in SHEETS_IN if name in contents}
    problems += [problem for sheet in read.values() for problem in sheet.problems]
    frames = {name: sheet.frame for name, sheet in read.items() if sheet.frame is not None}
    if "settings" in frames:
        frames["settings"] = chosen(frames["settings"])
    given = frozenset(name for name, frame in frames.items() if not frame.is_empty())
    broken = frozenset(name for name, sheet in read.items() if sheet.frame is None)
    problems += [_lacking(name, name in contents) for name in needed if name not in given | broken]

    absent = frozenset(SHEETS_IN) - given - broken
    stand_in = stand_ins({name: frames[name] for name in given}, absent)
    sheets = one_spelling({name: frames[name] for name in given} | stand_in)
    for name in SHEETS_IN:
        if name in given:
            text = read[name].text.filter(pl.col("row").is_in(sheets[name]["row"].implode()))
            rows = sheets[name].filter(pl.col("row").is_not_null())
            problems += rules_broken(name, SHEETS_IN[name], rows, text)
    unclear = frozenset((problem.sheet, problem.row) for problem in problems)
    checked = Checked(sheets, given, broken.union(unread), unclear)
    problems += links_broken(checked) + rows_at_odds(checked)
    made = sheets.get("settings", rows_of("settings", []))
    settings, wrong = choices(made, today)
    problems += wrong
    told = problems_sheet(sorted(problems, key=_place))
    if any(problem.severity == "stop" for problem in problems):
        return Reading(None, told)
    return Reading(to_job(sheets, absent & stand_in.keys(), made["name"], settings), told)


def read_sheet(name: str, data: bytes, source: str) -> tuple[pl.DataFrame | None, pl.DataFrame]:
    """Read and check one sheet, in or out, by itself: its typed frame without row numbers, and its ``problems``.

    The frame is None if a problem of severity ``stop`` stands. ``source`` says in the problems where the sheet came
    from. Raises KeyError if there is no sheet of that name, or it is ``problems``, from which nothing follows.
    """
    model = {other: model for other, model in (SHEETS_IN | SHEETS_OUT).items() if other != "problems"}[name]
    read = _read(name, model, data)
    problems = read.problems
    if read.frame is not None:
        problems = problems + rules_broken(name, model, read.frame, read.text)
    stopped = read.frame is None or any(problem.severity == "stop" for problem in problems)
    told = sorted(problems, key=_place)
    sheet = problems_sheet(problem._replace(sheet=f"{name} ({source})") for problem in told)
    return (None if stopped or read.frame is None else read.frame.drop("row")), sheet


def _read(name: str, model: type[Sheet], data: bytes | None) -> _Read:
    """One sheet from its bytes; None for a file that could not be read, which is told already."""
    nothing = pl.DataFrame(schema={"row": pl.Int64})
    if data is None:
        return _Read(None, nothing, [])
    known = columns(model)
    rows, problems = rows_in(name, data, {column.name for column in known})
    if rows is None:
        return _Read(None, nothing, problems)
    text, wrong = under_headings(name, known, rows)
    problems += wrong
    if text is None:
        return _Read(None, nothing, problems)
    frame, wrong = typed(name, model, text)
    return _Read(frame, text, problems + wrong)


def _lacking(name: str, there: bool) -> Problem:
    return (kinds.EMPTY_SHEET if there else kinds.MISSING_SHEET).at(name)


@cache
def _places() -> dict[tuple[str, str | None], tuple[int, int]]:
    """Sheet and column to their places in the order in which people are told of them."""
    models = (SHEETS_IN | SHEETS_OUT).items()
    return {
        (name, column): (place, at)
        for place, (name, model) in enumerate(models)
        for at, column in enumerate([None, *(found.name for found in columns(model))])
    }


def _place(problem: Problem) -> tuple[int, str, int, int, str]:
    """Problems go by sheet, row and column; of one cell, by kind; what is no sheet comes last."""
    sheet, column = _places().get((problem.sheet, problem.column), (len(SHEETS_IN | SHEETS_OUT), 0))
    return sheet, problem.sheet, problem.row or 0, column, problem.kind
