"""Reading a job folder or one sheet: every problem at once, and the job if nothing stops it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from functools import cache
from typing import NamedTuple

import polars as pl

from pipeline.job import Job
from pipeline.reading.across import rows_at_odds
from pipeline.reading.defaults import rows_of, stand_ins
from pipeline.reading.files import Content, Folder, sheet_files
from pipeline.reading.heading_names import Names
from pipeline.reading.headings import ROW, under_headings
from pipeline.reading.job import to_job
from pipeline.reading.links import Checked, links_broken
from pipeline.reading.meant import Source, Ways
from pipeline.reading.plain import plain_columns
from pipeline.reading.ranges import doubts
from pipeline.reading.readings import Assumption
from pipeline.reading.rows import rows_in
from pipeline.reading.rules import rules_broken
from pipeline.reading.set_aside import without_errors, without_example
from pipeline.reading.settings import choices, chosen, ways_of
from pipeline.reading.spelling import one_spelling
from pipeline.reading.sums import without_sums
from pipeline.reading.table import Table
from pipeline.reading.typed import typed
from schemas import SHEETS_IN, SHEETS_OUT, kinds
from schemas.problem import Problem, problems_sheet
from schemas.settings import CHEAPEST
from schemas.sheet import Sheet, columns

SPARES_REST_ON = ("labour_hours", "kilns", "kiln_fit", "glazes", "materials")
"""Sheets that say what a spare costs, and so how much clay is bought where spares are to cost least."""


class Reading(NamedTuple):
    """What came of reading a folder: ``job`` is None if a problem of severity ``stop`` stands.

    ``problems`` is the sheet of that name, ordered as the sheets, their rows and columns are.
    """

    job: Job | None
    problems: pl.DataFrame


class _Read(NamedTuple):
    """One sheet, typed and as text, its rows the same in both; None if it cannot be relied on."""

    frame: pl.DataFrame | None
    text: pl.DataFrame
    problems: list[Problem]
    readings: Sequence[Assumption] = ()
    sign: str = ""


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
    ``unread`` are sheets to leave alone, whatever is in them: names that should stand there are not looked for. Where
    spares are to cost least, those on which their cost rests are read all the same.
    Raises OSError if the folder itself cannot be read; all else that is wrong is a problem.
    """
    contents, problems = sheet_files(folder, SHEETS_IN)
    given_instead: dict[str, Content] = dict(instead or {})
    choosing = _read("settings", SHEETS_IN["settings"], (contents | given_instead).get("settings"), Ways())
    made = rows_of("settings", []) if choosing.frame is None else chosen(choosing.frame)
    settings, wrong, understood = choices(made, today)
    unread = frozenset(unread).difference(SPARES_REST_ON if settings.loss_cover == CHEAPEST else ())
    contents = {name: content for name, content in contents.items() if name not in unread} | given_instead
    problems = [problem for problem in problems if problem.sheet not in unread.union(given_instead)]
    problems += wrong
    read = _all_read(contents, ways_of(vars(settings)), choosing)
    problems += [problem for sheet in read.values() for problem in sheet.problems]
    frames = {name: sheet.frame for name, sheet in read.items() if sheet.frame is not None}
    if "settings" in frames:
        frames["settings"] = made
    given = frozenset(name for name, frame in frames.items() if not frame.is_empty())
    broken = frozenset(name for name, sheet in read.items() if sheet.frame is None)
    problems += [_lacking(name, name in contents) for name in needed if name not in given | broken]

    absent = frozenset(SHEETS_IN) - given - broken
    stand_in = stand_ins({name: frames[name] for name in given}, absent)
    sheets = one_spelling({name: frames[name] for name in given} | stand_in)
    for name in SHEETS_IN:
        if name in given:
            rows, text = sheets[name], read[name].text
            if rows[ROW].has_nulls():
                rows = rows.filter(pl.col(ROW).is_not_null())
            if len(rows) < len(text):
                text = text.filter(pl.col(ROW).is_in(rows[ROW].implode()))
            problems += rules_broken(name, SHEETS_IN[name], rows, text)
    unclear = frozenset((problem.sheet, problem.row) for problem in problems)
    checked = Checked(sheets, given, broken.union(unread), unclear)
    problems += links_broken(checked) + rows_at_odds(checked)
    problems += doubts(sheets, given, settings)
    told = problems_sheet(sorted(problems, key=_place))
    if any(problem.severity == "stop" for problem in problems):
        return Reading(None, told)
    understood += [reading for sheet in read.values() for reading in sheet.readings]
    return Reading(to_job(sheets, absent & stand_in.keys(), made["name"], settings, understood), told)


def _all_read(contents: Mapping[str, Content], meant: Ways, settings: _Read) -> dict[str, _Read]:
    """Every sheet; ``settings`` were read first, since the others are read by them. The first currency that stands in
    one is that of all, if ``meant`` has none."""
    read = {}
    for name in SHEETS_IN:
        if name in contents:
            read[name] = settings if name == "settings" else _read(name, SHEETS_IN[name], contents[name], meant)
            if read[name].sign and not meant.currency:
                meant = meant._replace(currency=read[name].sign, currency_from=f"in {name}")
    return read


def read_sheet(name: str, data: bytes, source: str) -> tuple[pl.DataFrame | None, pl.DataFrame]:
    """Read and check one sheet, in or out, by itself: its typed frame without row numbers, and its ``problems``.

    The frame is None if a problem of severity ``stop`` stands. ``source`` says in the problems where the sheet came
    from. Raises KeyError if there is no sheet of that name, or it is ``problems``, from which nothing follows.
    """
    model = {other: model for other, model in (SHEETS_IN | SHEETS_OUT).items() if other != "problems"}[name]
    read = _read(name, model, data, None)
    problems = read.problems
    if read.frame is not None:
        problems = problems + rules_broken(name, model, read.frame, read.text)
    stopped = read.frame is None or any(problem.severity == "stop" for problem in problems)
    told = sorted(problems, key=_place)
    sheet = problems_sheet(problem._replace(sheet=f"{name} ({source})") for problem in told)
    return (None if stopped or read.frame is None else read.frame.drop("row")), sheet


def _read(name: str, model: type[Sheet], data: Content, meant: Ways | None) -> _Read:
    """One sheet from its bytes or rows; None for a file that could not be read, which is told already.

    ``meant`` says how cells are meant that the sheet leaves open; where it is None, all must be written plainly.
    """
    nothing = pl.DataFrame(schema={ROW: pl.Int64})
    if data is None:
        return _Read(None, nothing, [])
    known = columns(model)
    names = Names(None if meant is None else name, known)
    typed_in = not isinstance(data, bytes)
    table, delimiter, problems = rows_in(name, data, names.means) if isinstance(data, bytes) else (Table(data), "", [])
    if table is None:
        return _Read(None, nothing, problems)
    headed = under_headings(name, known, names, table)
    if headed.text is None:
        return _Read(None, nothing, problems + headed.problems)
    text, problems, readings, sign = headed.text, [*problems, *headed.problems], headed.readings, ""
    plain = plain_columns(name, known, text)
    odd = [column.name for column in known if column.name in text.columns and column.name not in plain]
    written = text
    if odd:
        text, half_changed = without_example(name, model, text)
        written, failed = without_errors(name, text, odd)
        problems += half_changed + failed
    if meant is not None and (odd or headed.units):
        # Most sheets are plain, and what knows all other spellings takes long to import.
        from pipeline.reading.as_written import as_written

        written, sums = without_sums(name, known, written)
        text = text.filter(pl.col(ROW).is_in(written[ROW].implode())) if sums else text
        found = as_written(name, known, odd, written, Source(headed.units, delimiter == ";", typed_in), meant)
        problems += sums + found.problems
        readings, sign = readings + found.readings, found.sign
        written, clean = found.text, written
    else:
        clean = written
    frame, wrong = typed(name, model, written, clean, plain.difference(headed.units))
    # The text keeps the cells that gave no value, so that they are not told once more as blank.
    return _Read(frame, text, problems + wrong, readings, sign)


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
