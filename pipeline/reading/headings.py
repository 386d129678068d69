"""From rows to a text frame: which column of the spreadsheet is which column of the sheet."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from pipeline.reading.rows import Rows, heading_row
from pipeline.reading.spelling import tidy
from schemas import kinds
from schemas.problem import Problem, closest
from schemas.sheet import Column

ROW = "row"
"""The column of a frame that holds the spreadsheet's row numbers."""


def under_headings(sheet: str, columns: Sequence[Column], rows: Rows) -> tuple[pl.DataFrame | None, list[Problem]]:
    """The cells of the columns that are there, as stripped text, null where blank; then ``row``.

    Blank rows are left out. None if a needed column is missing or a column is there twice: nothing of such a sheet
    can be relied on.
    """
    top = heading_row(rows)
    if top is None:
        return pl.DataFrame(schema={ROW: pl.Int64}), []
    headings = [cell.strip() for cell in rows[top]]
    while not headings[-1]:
        headings.pop()
    places, problems = _places(sheet, columns, headings, top + 1)
    usable = not any(problem.severity == "stop" for problem in problems)
    if not usable:
        return None, problems
    body = rows[top + 1 :]
    problems += _strays(sheet, headings, body, top + 2)
    width = len(headings)
    padded = [row if len(row) >= width else row + [""] * (width - len(row)) for row in body]
    cells = {name: pl.Series([row[place] for row in padded], dtype=pl.String) for name, place in places.items()}
    numbers = pl.int_range(top + 2, top + 2 + len(body), dtype=pl.Int64, eager=True)
    stripped = pl.DataFrame(cells).with_columns(pl.all().str.strip_chars().replace("", None))
    return stripped.with_columns(numbers.alias(ROW)).filter(pl.any_horizontal(pl.exclude(ROW).is_not_null())), problems


def _places(
    sheet: str, columns: Sequence[Column], headings: Sequence[str], row: int
) -> tuple[dict[str, int], list[Problem]]:
    """Where each column of the sheet stands, in the sheet's order, and what is wrong with the headings."""
    problems = []
    names = {column.name for column in columns}
    found: dict[str, int] = {}
    strange = []
    for place, heading in enumerate(headings):
        name = tidy(heading)
        if name in found:
            both = {"first": letter(found[name]), "second": letter(place)}
            problems.append(kinds.COLUMN_TWICE.at(sheet, row, name, heading, **both))
        elif name in names:
            found[name] = place
        elif heading:
            strange.append(heading)
    missing = [column for column in columns if column.name not in found]
    for heading in strange:
        near = closest(tidy(heading), [column.name for column in missing])
        problems.append(kinds.UNKNOWN_COLUMN.at(sheet, row, None, heading, near))
    for column in missing:
        if column.needed:
            title = {"title": column.title, "example": column.example}
            problems.append(kinds.MISSING_COLUMN.at(sheet, row, column.name, **title))
    return {column.name: found[column.name] for column in columns if column.name in found}, problems


def _strays(sheet: str, headings: Sequence[str], body: Rows, first: int) -> list[Problem]:
    """One problem for each row that has a cell without a heading. ``first`` is the number of the body's first row."""
    width = len(headings)
    blank = [place for place, heading in enumerate(headings) if not heading]
    problems = []
    for number, row in enumerate(body, start=first):
        if len(row) <= width and not blank:
            continue
        for place in (*blank, *range(width, len(row))):
            if place < len(row) and (cell := row[place].strip()):
                problems.append(kinds.STRAY_CELL.at(sheet, number, None, cell, letter=letter(place)))
                break
    return problems


def letter(place: int) -> str:
    """The spreadsheet's letters of a column, counted from 0: A, B … Z, AA."""
    letters = ""
    while place >= 0:
        letters = chr(ord("A") + place % 26) + letters
        place = place // 26 - 1
    return letters
