"""From rows to a text frame: which column of the spreadsheet is which column of the sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import polars as pl

from pipeline.reading.cells import NUMBERS
from pipeline.reading.heading_names import Names, words
from pipeline.reading.readings import Assumption
from pipeline.reading.rows import HEADINGS_WITHIN, heading_row
from pipeline.reading.spelling import tidy
from pipeline.reading.table import Table
from schemas import kinds
from schemas.problem import Problem, closest
from schemas.sheet import Column

if TYPE_CHECKING:
    from schemas.units import Unit

ROW = "row"
"""The column of a frame that holds the spreadsheet's row numbers."""

ANY_VALUE = ("settings", "value")
"""The column of text that may hold numbers, too."""


@dataclass
class Headed:
    """A sheet below its headings.

    ``text`` holds the cells of the columns that are there, as stripped text, null where blank, then ``row``; it is None
    if a needed column is missing or a column is there twice: nothing of such a sheet can be relied on. ``units`` are
    those that headings give, where they are not the column's own; ``readings`` tell what was understood.
    """

    text: pl.DataFrame | None
    units: dict[str, Unit] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    readings: list[Assumption] = field(default_factory=list)


def under_headings(sheet: str, columns: Sequence[Column], names: Names, table: Table) -> Headed:
    """The cells below the headings. Blank rows, rows above the headings and rows that repeat them are left out."""
    top_rows = table.first(HEADINGS_WITHIN)
    top = heading_row(top_rows, names.means)
    if top is None:
        top_rows = table.first(len(table))
        top = heading_row(top_rows, names.means)
    if top is None:
        return Headed(pl.DataFrame(schema={ROW: pl.Int64}))
    headings = [cell.strip() for cell in top_rows[top]]
    while not headings[-1]:
        headings.pop()
    headed = Headed(None)
    places = _places(sheet, columns, names, headings, top + 1, headed)
    if any(problem.severity == "stop" for problem in headed.problems):
        return headed
    above = [number for number, row in enumerate(top_rows[:top], 1) if any(cell.strip() for cell in row)]
    if above:
        headed.readings.append(Assumption(f"{sheet}: {_rows(above)}", "not read", "above the headings"))
    start = top + 1
    with_heading = [place for place, heading in enumerate(headings) if heading]
    headed.problems += [
        kinds.STRAY_CELL.at(sheet, at + 1, None, cell, letter=letter(place))
        for at, place, cell in table.filled_outside(with_heading, start)
    ]
    numbers = {column.name for column in columns if column.kind in NUMBERS or (sheet, column.name) == ANY_VALUE}
    cells = table.columns(list(places.values()), start, [places[name] for name in places if name in numbers])
    cells.columns = list(places)
    text = cells.with_columns(pl.int_range(start + 1, len(table) + 1, dtype=pl.Int64).alias(ROW))
    if all(column.has_nulls() for column in cells):
        text = text.filter(pl.any_horizontal(pl.exclude(ROW).is_not_null()))
    repeated = _repeated(headings, places, text, table)
    if repeated:
        headed.readings.append(Assumption(f"{sheet}: {_rows(repeated)}", "not read", "the headings once more"))
        text = text.filter(~pl.col(ROW).is_in(repeated))
    headed.text = text
    return headed


def _places(
    sheet: str, columns: Sequence[Column], names: Names, headings: Sequence[str], row: int, headed: Headed
) -> dict[str, int]:
    """Where each column of the sheet stands, in the sheet's order; what is wrong with the headings goes to ``headed``,
    with the units that they give."""
    found: dict[str, int] = {}
    strange = []
    known = {column.name: column for column in columns}
    for place, heading in enumerate(headings):
        meaning = names.means(heading) if heading else None
        if meaning is None:
            strange += [heading] if heading else []
        elif meaning.column in found:
            both = {"first": letter(found[meaning.column]), "second": letter(place)}
            headed.problems.append(kinds.COLUMN_TWICE.at(sheet, row, meaning.column, heading, **both))
        else:
            found[meaning.column] = place
            if meaning.unit is not None:
                headed.units[meaning.column] = meaning.unit
            elif words(heading) != meaning.column:
                unit = known[meaning.column].unit
                value = f"{meaning.column}, in {unit}" if unit else meaning.column
                why = "another word for the column"
                headed.readings.append(Assumption(f"{sheet}: heading `{heading}`", value, why))
    missing = [column for column in columns if column.name not in found]
    nearby = names.for_columns({column.name for column in missing}) if strange else {}
    for heading in strange:
        near = closest(tidy(heading), nearby)
        told = nearby[near] if near is not None else None
        headed.problems.append(kinds.UNKNOWN_COLUMN.at(sheet, row, None, heading, told))
    for column in missing:
        if column.needed:
            title = {"title": column.title, "example": column.example}
            headed.problems.append(kinds.MISSING_COLUMN.at(sheet, row, column.name, **title))
    return {column.name: found[column.name] for column in columns if column.name in found}


def _repeated(headings: Sequence[str], places: Mapping[str, int], text: pl.DataFrame, table: Table) -> list[int]:
    """The numbers of rows that hold the headings once more and nothing else; a single heading may be a cell."""
    filled = [heading for heading in headings if heading]
    if len(filled) < 2 or not places:
        return []
    name, place = next(iter(places.items()))
    alike = text[ROW].filter(text[name] == headings[place])
    return [number for number in alike if [cell.strip() for cell in table.row(number - 1) if cell.strip()] == filled]


def _rows(numbers: Sequence[int]) -> str:
    """Rows by their numbers, in words."""
    return f"row {numbers[0]}" if len(numbers) == 1 else f"rows {', '.join(map(str, numbers))}"


def letter(place: int) -> str:
    """The spreadsheet's letters of a column, counted from 0: A, B … Z, AA."""
    letters = ""
    while place >= 0:
        letters = chr(ord("A") + place % 26) + letters
        place = place // 26 - 1
    return letters
