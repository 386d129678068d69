"""Columns in which every cell is plain: known at one look, and of no concern to the rooms that know other spellings.

Those rooms take longer to enter than all sheets of a small job take to read, so that they are entered for the columns
that are not plain. A column is only called plain if nothing else than its plain values can be meant by it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import polars as pl

from pipeline.reading.cell_text import ERROR
from pipeline.reading.cells import OWN_SPELLING, PROTECTED, SHORTEST, WEEKDAYS, value_of
from pipeline.reading.set_aside import EXAMPLE
from pipeline.reading.sums import SUM
from schemas.fields import MONEY_DIGITS, Kind
from schemas.sheet import Column


def _number(most: int) -> str:
    """A number below a thousand million with a decimal point, up to so many decimals; but for ``1.234``, whose point
    may also stand between thousands."""
    decimals = rf"[0-9]{{1,9}}(?:\.(?:[0-9]{{1,2}}|[0-9]{{4,{most}}}))?"
    thousandths = r"(?:0[0-9]{0,8}|[1-9][0-9]{3,8})\.[0-9]{3}"
    return rf"^-?(?:{decimals}|{thousandths})$"


MONEY = _number(MONEY_DIGITS)
DATE = r"(?:19|2[0-9])[0-9]{2}-[0-9]{2}-[0-9]{2}"
WEEKDAY = f"(?:{'|'.join(name[:SHORTEST].capitalize() for name in WEEKDAYS)})"

PLAIN: dict[Kind, str] = {
    "whole": r"^-?[0-9]{1,9}$",
    "number": _number(15),
    "amount": MONEY,
    "price": MONEY,
    "day": f"^{DATE}$",
}
"""What every cell of a plain column is like, by kind."""

PLAIN_OF_ITS_OWN = {("labour_hours", "day"): rf"^(?:{DATE}|{WEEKDAY}(?:-{WEEKDAY})?)$"}
"""The same for columns with a spelling of their own."""

ODD = rf"{PROTECTED}|{ERROR}|(?i:^{EXAMPLE.strip()})|(?:{SUM})"
"""What no cell is like in a plain column of words: it begins with a sign that is not meant, or is no fact."""


def plain_columns(sheet: str, known: Sequence[Column], text: pl.DataFrame) -> frozenset[str]:
    """The columns of stripped text, null where blank, in which every cell is plain."""
    looks = {column.name: _all_plain(sheet, column) for column in known if column.name in text.columns}
    plain = text.select(**looks).row(0) if looks else ()
    return frozenset(name for name, sure in zip(looks, plain, strict=True) if sure)


def _all_plain(sheet: str, column: Column) -> pl.Expr:
    cell = pl.col(column.name)
    like = PLAIN_OF_ITS_OWN.get((sheet, column.name)) or PLAIN.get(column.kind)
    return ~cell.str.contains(ODD).any() if like is None else cell.str.contains(like).all()


def is_plain(kind: Kind, cell: str) -> bool:
    """Whether a cell of a column of numbers or dates is plain."""
    return re.match(PLAIN[kind], cell) is not None


def plain_value(sheet: str, column: Column) -> pl.Expr:
    """The values of a plain column; null only where the calendar does not have a date. ``value_of`` gives the same."""
    cell = pl.col(column.name)
    match column.kind:
        case "whole" | "number" | "amount" | "price":
            return cell.cast(column.type)
        case "day":
            return cell.str.to_date("%Y-%m-%d", strict=False)
        case "text" | "list" if (sheet, column.name) not in OWN_SPELLING:
            return cell
    return value_of(sheet, column)
