"""The values of a workbook's cells as the text that a person would have typed, so that every sheet is read alike."""

from __future__ import annotations

import re
from datetime import date, datetime
from decimal import Decimal

from pipeline.reading.table import Counted

Value = str | int | float | bool | date | None
"""What a cell may hold, but for times of the day and lengths of time, which no sheet has."""

NOT_WORKED_OUT = "#NOT WORKED OUT!"
"""Stands in a cell whose formula no program has computed yet."""

UNNAMED_ERROR = "#ERROR!"
"""Stands in a cell that holds an error by a name that is not known."""

ERROR = (
    r"^(?:#(?:N/A|NV|REF!|DIV/0!|NAME\?|VALUE!|NUM!|NULL!|SPILL!|CALC!|FIELD!|BUSY!|CONNECT!|BLOCKED!|UNKNOWN!"
    rf"|GETTING_DATA)|{re.escape(NOT_WORKED_OUT)}|{re.escape(UNNAMED_ERROR)}|Err:[0-9]{{3}})$"
)
"""What spreadsheets show where a formula failed. Source: ISO/IEC 29500-1 18.17.3 and OpenFormula 1.2 section 4.6, from
memory; the newer ones and ``Err:502`` are common practice, no source."""

MOST_ROWS, MOST_COLUMNS = 1_048_576, 16_384
"""Rows and columns of the largest tab that a spreadsheet can have: a file that speaks of more is damaged."""

DIGITS = 15
"""Significant digits that spreadsheets show and keep true; what a binary number has beyond them is noise."""

IN_A_QUOTE = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]')
"""Parts of a number format that stand for themselves, or choose a colour or condition."""


def number_text(value: float) -> Counted:
    """A number as typed: ``12`` for 12.0, ``0.3`` for 0.1 + 0.2; never an exponent."""
    return Counted(_plain(_exact(value)))


def percent_text(value: float) -> Counted:
    """A number that the spreadsheet shows as a percentage: ``12%`` for 0.12."""
    return Counted(f"{_plain(_exact(value) * 100)}%")


def day_text(value: date) -> str:
    """A day as ISO 8601 writes it; with the time of day only if it is not midnight."""
    if isinstance(value, datetime):
        return value.isoformat().removesuffix("T00:00:00")
    return value.isoformat()


def is_percent(number_format: str) -> bool:
    """Whether a number format of a workbook shows per cents: ``0.0%`` does, ``0" %"`` only looks like it."""
    return "%" in IN_A_QUOTE.sub("", number_format)


def _exact(value: float) -> Decimal:
    return Decimal(f"{value:.{DIGITS}g}")


def _plain(value: Decimal) -> str:
    text = f"{value:f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text
