"""Result sheets as CSV text: RFC 4180, ISO dates, money to the minor unit, no text that a spreadsheet would run."""

from __future__ import annotations

from collections.abc import Iterable

import polars as pl

from schemas.fields import MONEY_DIGITS
from schemas.sheet import Column, Sheet, columns

BYTE_ORDER_MARK = "\ufeff"
"""What tells spreadsheets that a file is UTF-8."""

DECIMALS = {"%": 4, "h": 4, "min": 4, "min/kg": 4, "g": 4, "mm": 4, "lb": 2, "oz": 1, "in": 2, "fl oz": 1}
"""Most decimal places written of a number, by its unit; those of the US stand on the screen alone, in no CSV."""

MOST_DECIMALS = 6
"""Of any other number, kilograms above all: bags of 25 lb hold 11.33981 kg, and totals must still add up."""

STARTS_A_FORMULA = r"^'*(?:[\t\r\n]|\s*[=+\-@＝＋－＠])"  # noqa: RUF001 - full-width signs start formulas, too
"""How text begins that a spreadsheet may take for a formula, or that begins with the quote put before such text, which
must be told apart from it when read back. Source: OWASP, "CSV Injection"."""

PLAIN_NUMBER = r"^\s*[+-]?\d+(?:[.,]\d+)*\s*$"
"""Text that is only a number runs nothing: it stays as it is."""


def decimals(column: Column) -> int:
    """Most decimal places that are written of a ``number`` column."""
    return DECIMALS.get(column.unit, MOST_DECIMALS)


def csv_text(model: type[Sheet], frame: pl.DataFrame, minor_digits: int) -> str:
    """A sheet as CSV for another program: headings, then the rows, each line ended by CR LF.

    Blanks are empty, dates ISO, ``yes`` and ``no`` words. Amounts have ``minor_digits`` decimal places, prices at least
    as many; other numbers have no needless nought, and never an exponent. Text that would start a formula gets a ``'``
    before it. Money beyond 32 digits raises polars' own error.
    """
    return written(columns(model), frame, minor_digits).write_csv(line_terminator="\r\n")


def csv_bytes(model: type[Sheet], frame: pl.DataFrame, minor_digits: int) -> bytes:
    """The same as a file for spreadsheets: UTF-8 with its mark."""
    return (BYTE_ORDER_MARK + csv_text(model, frame, minor_digits)).encode("utf-8")


def written(head: Iterable[Column], frame: pl.DataFrame, minor_digits: int) -> pl.DataFrame:
    """A sheet's columns as they stand in its CSV: whole numbers as they are, all else as text."""
    return frame.select(_written(column, minor_digits).alias(column.name) for column in head)


def _written(column: Column, minor_digits: int) -> pl.Expr:
    value = pl.col(column.name)
    match column.kind:
        case "amount":
            rounded = value.round(minor_digits, mode="half_away_from_zero")
            return rounded.cast(pl.Decimal(38, minor_digits)).cast(pl.String)
        case "price":
            return _without_noughts(value, minor_digits)
        case "number":
            exact = value.round(decimals(column)).cast(pl.Decimal(38, MOST_DECIMALS))
            return _without_noughts(exact, 0)
        case "day":
            return value.dt.to_string("iso")
        case "yes_no":
            return pl.when(value).then(pl.lit("yes")).when(~value).then(pl.lit("no"))
        case "whole" | "month":
            return value
        case "text" | "list" | "choice":
            runs = value.str.contains(STARTS_A_FORMULA) & ~value.str.contains(PLAIN_NUMBER)
            return pl.when(runs).then("'" + value).otherwise(value)


def _without_noughts(value: pl.Expr, least: int) -> pl.Expr:
    """A decimal's digits without noughts at their end, but for ``least`` decimal places; a decimal's nought has no
    sign."""
    digits, spare = value.cast(pl.String), MONEY_DIGITS - least
    needed = digits.str.tail(spare).str.strip_chars_end("0")
    return (digits.str.head(-spare) + needed).str.strip_suffix(".")
