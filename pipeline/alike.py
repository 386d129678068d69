"""What is worked out row by row, once for all rows that are alike: of thousands of lines a few hundred differ."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import polars as pl

FOUND = "what is found"


def once_each(rows: pl.DataFrame, work_out: Callable[..., Any], kind: pl.DataType | type[pl.DataType]) -> pl.Series:
    """What a function gives for the cells of each row, in a column of this kind.

    It is asked about each kind of row once, in the order in which they come, with their cells by place.
    """
    alike = rows.unique(maintain_order=True)
    found = alike.hstack([pl.Series(FOUND, [work_out(*row) for row in alike.iter_rows()], kind)])
    return rows.join(found, on=rows.columns, how="left", nulls_equal=True, maintain_order="left")[FOUND]
