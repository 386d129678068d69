"""What every sheet model shares, and its columns as plain data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import pandera.polars as pa
import polars as pl

from schemas.fields import MONEY_DIGITS, Kind, Link

POLARS_TYPE: dict[str, pl.DataType] = {
    "text": pl.String(),
    "list": pl.String(),
    "choice": pl.String(),
    "yes_no": pl.Boolean(),
    "whole": pl.Int64(),
    "month": pl.Int64(),
    "number": pl.Float64(),
    "day": pl.Date(),
    "amount": pl.Decimal(38, MONEY_DIGITS),
    "price": pl.Decimal(38, MONEY_DIGITS),
}
"""The type that a typed column has, by kind."""


class Sheet(pa.DataFrameModel):
    """A sheet. Its docstring's first sentence says what one row is; ``Config.unique`` is its key."""

    class Config:
        """No column beyond those named, in the order in which they are named."""

        strict = True
        ordered = True


@dataclass(frozen=True)
class Column:
    """A column of a sheet as people meet it.

    ``low`` and ``high`` are the bounds of a number; ``above`` and ``below`` the same without the bound itself.
    """

    name: str
    kind: Kind
    title: str
    unit: str
    example: str
    default: str
    needed: bool
    key: bool
    link: Link | None
    options: tuple[str, ...]
    low: float | None
    above: float | None
    high: float | None
    below: float | None

    @property
    def type(self) -> pl.DataType:
        """The polars type of its values."""
        return POLARS_TYPE[self.kind]


@cache
def columns(model: type[Sheet]) -> tuple[Column, ...]:
    """The columns of a sheet, in the order of the sheet.

    They are read off the model's fields: to have pandera build the schema for it takes ten times as long, for every
    sheet at every start. A test holds the two against each other.
    """
    key = sheet_key(model)
    found = []
    for attribute in model.__annotations__:
        column = vars(model)[attribute]
        name = column.alias or attribute
        meta = column.metadata or {}
        rules = {check.name: check.statistics for check in column.checks}
        found.append(
            Column(
                name=name,
                kind=meta["kind"],
                title=column.title or "",
                unit=meta["unit"],
                example=meta["example"],
                default=meta["default"],
                needed=not column.nullable,
                key=name in key,
                link=meta["link"],
                options=tuple(rules.get("isin", {}).get("allowed_values", ())),
                low=rules.get("greater_than_or_equal_to", {}).get("min_value"),
                above=rules.get("greater_than", {}).get("min_value"),
                high=rules.get("less_than_or_equal_to", {}).get("max_value"),
                below=rules.get("less_than", {}).get("max_value"),
            )
        )
    return tuple(found)


def sheet_key(model: type[Sheet]) -> tuple[str, ...]:
    """The columns that together may stand only once in a sheet; empty if rows may repeat."""
    config = vars(model).get("Config")
    return tuple(getattr(config, "unique", None) or ())


def one_row(model: type[Sheet]) -> str:
    """What one row of a sheet is, in the words of its docstring."""
    return (model.__doc__ or "").strip().splitlines()[0].rstrip(".")


def types(model: type[Sheet]) -> dict[str, pl.DataType]:
    """The type of each column of a sheet, in the order of the sheet."""
    return {column.name: column.type for column in columns(model)}


def blank(model: type[Sheet]) -> pl.DataFrame:
    """The sheet without a row, every column typed."""
    return pl.DataFrame(schema=types(model))


def shaped(model: type[Sheet], frame: pl.DataFrame) -> pl.DataFrame:
    """The frame's columns in the sheet's order and types; the last line of every step.

    Raises polars' own error where a column is missing or a value does not convert, which is our bug.
    """
    return frame.select(pl.col(column.name).cast(column.type) for column in columns(model))
