"""From the cells of a sheet as people write them to the same cells plainly, decided from the sheet as a whole.

A plain cell is a number with a decimal point and no other mark, in the column's unit, or a date as ISO 8601 writes it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import polars as pl

from pipeline.reading.cells import MONEY, NUMBER, NUMBERS
from pipeline.reading.currencies import may_be
from pipeline.reading.date_cells import plain_dates
from pipeline.reading.headings import ROW
from pipeline.reading.meant import Source, Ways
from pipeline.reading.not_numbers import Trouble
from pipeline.reading.number_cells import COMMA, GROUPED, Cell, number_cell, ways
from pipeline.reading.numerals import MARKS, decimal_mark
from pipeline.reading.readings import Assumption
from pipeline.reading.table import OPEN_POINT
from schemas import written_kinds
from schemas.problem import Problem
from schemas.sheet import Column
from schemas.units import Unit

WITH_MARK = r"[.,]"

NAMES = {".": "point", ",": "comma"}

DATE_COLUMNS = {("labour_hours", "day")}
"""Columns of text in which dates may stand among words."""


@dataclass
class Written:
    """The plain cells, what is wrong with those that are not understood, and what was understood of the others.

    ``sign`` is the currency's that stands in the sheet, if one does.
    """

    text: pl.DataFrame
    problems: list[Problem] = field(default_factory=list)
    readings: list[Assumption] = field(default_factory=list)
    sign: str = ""


def as_written(
    sheet: str, known: Sequence[Column], odd: Collection[str], text: pl.DataFrame, source: Source, meant: Ways
) -> Written:
    """The cells of a sheet plainly; ``odd`` are its columns that are not plain throughout. All numbers of a sheet are
    read together: what some columns show of the decimal mark holds for all.

    A cell in which something is wrong is null, and told; all others keep their text if nothing is understood of them.
    """
    there = [column for column in known if column.name in text.columns]
    written = Written(text)
    numbers = [column for column in there if column.kind in NUMBERS]
    if any(column.name in odd or column.name in source.units for column in numbers):
        _Numbers(sheet, numbers, text, source, meant).into(written)
    for column in there:
        if column.name in odd and (column.kind == "day" or (sheet, column.name) in DATE_COLUMNS):
            found = plain_dates(_counts(text, [column.name]), column, meant.date_order, words=column.kind != "day")
            _take(written, sheet, column, found)
    return written


def _counts(text: pl.DataFrame, names: Sequence[str]) -> dict[str, int]:
    """How often each cell stands in the columns, in the order of the rows."""
    cells = pl.concat([text[name].alias("cell") for name in names]).drop_nulls().to_frame()
    return dict(cells.group_by("cell", maintain_order=True).len().iter_rows())


def _take(written: Written, sheet: str, column: Column, found: Mapping[str, Cell]) -> None:
    """Put what came of a column's cells into what came of the sheet."""
    changes = {
        text: cell.plain
        for text, cell in found.items()
        if cell.trouble is not None or (cell.plain is not None and cell.plain != text)
    }
    if not changes:
        return
    raw = written.text.select(ROW, column.name)
    old = pl.Series(list(changes), dtype=pl.String)
    new = pl.Series(list(changes.values()), dtype=pl.String)
    written.text = written.text.with_columns(pl.col(column.name).replace(old, new))
    wrong: dict[str, Trouble] = {text: cell.trouble for text, cell in found.items() if cell.trouble is not None}
    if wrong:
        rows = raw.filter(pl.col(column.name).is_in(pl.Series(list(wrong), dtype=pl.String).implode()))
        for row, text in rows.iter_rows():
            kind, words = wrong[text]
            written.problems.append(kind.at(sheet, row, column.name, text, **words))
    written.readings += _readings(sheet, column, found)


def _readings(sheet: str, column: Column, found: Mapping[str, Cell]) -> Iterator[Assumption]:
    """One row for each way in which cells of a column were written, with the first that was."""
    told = set()
    for text, cell in found.items():
        if cell.how and cell.trouble is None and cell.how not in told:
            told.add(cell.how)
            yield Assumption(f"{sheet}.{column.name}: `{text}`", cell.shown, f"read {cell.how}")


class _Numbers:
    """The columns of numbers of a sheet, read by one decimal mark and one currency."""

    def __init__(self, sheet: str, columns: Sequence[Column], text: pl.DataFrame, source: Source, meant: Ways) -> None:
        self._sheet, self._columns, self._source, self._meant = sheet, columns, source, meant
        self._cells = {column.name: _counts(text, [column.name]) for column in columns}
        self._marks = decimal_mark(self._voters(text), meant.decimal_mark, semicolons=source.semicolons)

    def into(self, written: Written) -> None:
        """Put what came of all cells into what came of the sheet."""
        found = {column.name: self._column(column) for column in self._columns}
        written.sign = self._one_currency(found)
        for column in self._columns:
            _take(written, self._sheet, column, found[column.name])

    def _voters(self, text: pl.DataFrame) -> dict[str, int]:
        """The cells that show the decimal mark."""
        names = [column.name for column in self._columns]
        marked = [text.select(cell=name).filter(pl.col("cell").str.contains(WITH_MARK)) for name in names]
        cells = pl.concat(marked)
        if self._source.typed:
            cells = cells.filter(~pl.col("cell").str.contains(NUMBER))
        return _counts(cells, ["cell"])

    def _column(self, column: Column) -> dict[str, Cell]:
        heading = self._source.units.get(column.name)
        return {text: self._cell(text, column, heading) for text in self._cells[column.name]}

    def _cell(self, text: str, column: Column, heading: Unit | None) -> Cell:
        if heading is None and text.isascii() and text.isdigit():
            return Cell(text)
        mark = self._marks.way
        if self._source.typed and re.match(NUMBER, text) and not OPEN_POINT.match(text):
            mark = "."  # a number of the workbook, or text that can be nothing else
        if text in self._marks.against:
            return Cell(trouble=self._at_odds(text))
        if mark is None and any(sign in text for sign in MARKS):
            values = ways(text, column, heading)
            if len(set(values)) > 1:
                point, comma = values
                return Cell(trouble=(written_kinds.AMBIGUOUS_NUMBER, {"point": point, "comma": comma}))
        cell = number_cell(text, column, mark or ".", heading)
        if cell.how in (COMMA, GROUPED) and self._marks.shown_by and self._marks.shown_by != text:
            why = f"{cell.how}, as `{self._marks.shown_by}` in the same sheet shows"
            return Cell(cell.plain, why, cell.shown, cell.sign)
        return cell

    def _at_odds(self, text: str) -> Trouble:
        usual = self._marks.way
        if usual is None:
            own = "comma" if "," in text else "point"
            return written_kinds.DECIMAL_MARKS_AT_ODDS, {
                "own": own,
                "usual": "point" if own == "comma" else "comma",
                "other": next(cell for cell in self._marks.against if cell != text),
            }
        own = next(mark for mark in NAMES if mark != usual)
        words = {"own": NAMES[own], "usual": NAMES[usual], "other": self._marks.shown_by}
        return written_kinds.DECIMAL_MARKS_AT_ODDS, words

    def _one_currency(self, found: dict[str, dict[str, Cell]]) -> str:
        """Put trouble into every cell whose currency is not that of the job, or of most of the sheet; its sign."""
        counts: dict[str, int] = {}
        money = [column.name for column in self._columns if column.kind in MONEY]
        for name in money:
            for text, cell in found[name].items():
                if cell.sign:
                    counts[cell.sign] = counts.get(cell.sign, 0) + self._cells[name][text]
        if not counts:
            return ""
        usual = self._meant.currency or max(counts, key=lambda sign: counts[sign])
        other = f"{usual} {self._meant.currency_from}" if self._meant.currency else f"`{usual}` of the same sheet"
        fitting = set(may_be(usual))
        for name in money:
            for text, cell in found[name].items():
                if cell.sign and not fitting & set(may_be(cell.sign)):
                    found[name][text] = Cell(trouble=(written_kinds.CURRENCIES_AT_ODDS, {"other": other}))
        return usual
