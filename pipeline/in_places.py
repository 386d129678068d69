"""Columns of whole units of a decimal place as numbers."""

from __future__ import annotations

import polars as pl


def in_places(units: pl.Expr, places: int) -> pl.Expr:
    """So many units of the last of some decimal places as a number, the binary one next to it: 29 of two are 0.29.

    Rounded because polars divides by multiplying with the inverse, which may be out by the last binary digit.
    """
    return units.truediv(10**places).round(places)
