"""The tabs of an ``.xlsx`` workbook, through openpyxl: the one room that knows of it."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from datetime import date
from io import BytesIO
from typing import Any, TypeVar
from zipfile import ZipFile

from pipeline.reading.cell_text import MOST_ROWS, NOT_WORKED_OUT, day_text, is_percent, number_text, percent_text
from pipeline.reading.table import Rows

T = TypeVar("T")

FORMULA = re.compile(rb"<f[\s>/]")
"""How a formula begins in the XML of a tab."""


def tabs_of_xlsx(data: bytes) -> dict[str, Rows]:
    """The rows of each tab, formulas by the values that the file brings along.

    Raises ImportError if openpyxl is not installed, and any of the errors that a damaged file makes it raise.
    """
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        # It warns of what it does not keep (styles, drop-downs), which nobody here asks for.
        warnings.simplefilter("ignore")
        values = load_workbook(BytesIO(data), read_only=True, data_only=True)
        if not _has_formulas(data):
            return {tab.title: _rows(tab) for tab in values.worksheets}
        formulas = load_workbook(BytesIO(data), read_only=True)
        return {tab.title: _rows(tab, formulas[tab.title]) for tab in values.worksheets}


def _has_formulas(data: bytes) -> bool:
    with ZipFile(BytesIO(data)) as parts:
        tabs = (name for name in parts.namelist() if name.startswith("xl/worksheets/") and name.endswith(".xml"))
        return any(FORMULA.search(parts.read(name)) for name in tabs)


def _rows(values: Any, formulas: Any = None) -> Rows:
    """Its rows up to the last that is filled, each up to its last cell that is."""
    rows = [[_text(cell) for cell in row] for row in _cells(values)]
    if formulas is not None:
        for place, (shown, kept) in enumerate(zip(_cells(values), _cells(formulas), strict=True)):
            for at, (value, formula) in enumerate(zip(shown, kept, strict=True)):
                # A text that was worked out to be blank has a type of its own; no value at all has that of numbers.
                if formula.data_type == "f" and value.value is None and value.data_type == "n":
                    rows[place][at] = NOT_WORKED_OUT
    return _until_last([_until_last(row) for row in rows])


def _cells(tab: Any) -> Iterator[tuple[Any, ...]]:
    tab.reset_dimensions()  # programs state the size wrongly, and what lies beyond would be lost
    for number, row in enumerate(tab.iter_rows(), start=1):
        if number > MOST_ROWS:
            raise ValueError("more rows than a tab can have")
        yield row


def _until_last(cells: list[T]) -> list[T]:
    """The list without blanks at its end."""
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _text(cell: Any) -> str:
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return percent_text(value) if is_percent(cell.number_format) else number_text(value)
    if isinstance(value, date):
        return day_text(value)
    return str(value)
