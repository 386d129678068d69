"""Makers of sheet columns: one function a kind of value, each adding what people need to know of it.

Every column is a pandera ``Field`` whose metadata carries what pandera does not: the kind of value, the unit,
an example, whether a cell may be blank, and which other sheet it must be found in. Blank sheets, README's tables,
the workbook's formats and the messages are all made from it.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, NamedTuple

import pandera.polars as pa
import polars as pl

MONEY_DIGITS = 6
"""Decimal places kept of any money value: amounts are rounded to the currency, unit prices need more."""

Money = Annotated[pl.Decimal, 38, MONEY_DIGITS]
"""Exact decimal money. polars checks precision and scale exactly, so every money column has the same two."""

Kind = Literal["text", "list", "choice", "yes_no", "whole", "number", "month", "day", "amount", "price"]
"""What a cell holds. ``amount`` is money rounded to the currency's minor unit, ``price`` is money per unit."""


class Link(NamedTuple):
    """A value that must also stand in one of ``targets``: pairs of another sheet and its column."""

    targets: tuple[tuple[str, str], ...]


def _field(
    kind: Kind,
    title: str,
    *,
    example: str = "",
    needed: bool = False,
    unit: str = "",
    link: Link | None = None,
    default: str = "",
    **rules: Any,
) -> Any:
    metadata = {"kind": kind, "unit": unit, "example": example, "link": link, "default": default}
    return pa.Field(title=title, nullable=not needed, metadata=metadata, **rules)


def text(title: str, **more: Any) -> Any:
    """Words, taken as they are written."""
    return _field("text", title, **more)


def words(title: str, **more: Any) -> Any:
    """Several words in one cell with ``;`` between."""
    return _field("list", title, **more)


def choice(title: str, options: tuple[str, ...], **more: Any) -> Any:
    """One word out of a few."""
    return _field("choice", title, isin=list(options), **more)


def yes_no(title: str, **more: Any) -> Any:
    """``yes`` or ``no``."""
    return _field("yes_no", title, **more)


def whole(title: str, **more: Any) -> Any:
    """A whole number."""
    return _field("whole", title, **more)


def number(title: str, **more: Any) -> Any:
    """Any number."""
    return _field("number", title, **more)


def month(title: str, **more: Any) -> Any:
    """A month, 1 to 12 or its English name."""
    return _field("month", title, ge=1, le=12, **more)


def percent(title: str, **more: Any) -> Any:
    """A percentage, 5 meaning five in a hundred."""
    return _field("number", title, unit="%", **more)


def grams(title: str, **more: Any) -> Any:
    """A weight in grams."""
    return _field("number", title, unit="g", **more)


def kilograms(title: str, **more: Any) -> Any:
    """A weight in kilograms."""
    return _field("number", title, unit="kg", **more)


def millimetres(title: str, **more: Any) -> Any:
    """A length in millimetres."""
    return _field("number", title, unit="mm", **more)


def minutes(title: str, **more: Any) -> Any:
    """Working time in minutes."""
    return _field("number", title, unit="min", **more)


def day(title: str, **more: Any) -> Any:
    """A date, as 2027-03-05."""
    return _field("day", title, **more)


def amount(title: str, **more: Any) -> Any:
    """Money, rounded to the currency's minor unit."""
    return _field("amount", title, **more)


def price(title: str, **more: Any) -> Any:
    """Money for one unit of something, kept to six decimal places."""
    return _field("price", title, **more)
