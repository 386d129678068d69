"""Sheets and problems as a person at a terminal reads them."""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from pipeline.writing.csvs import written
from pipeline.writing.shown import shown, shown_columns
from schemas.settings import Units
from schemas.sheet import Sheet

LONGEST_TEXT = 60
"""Characters of a cell on the screen; the CSV has all of it."""

MOST_SHOWN = 40
"""Problems shown one by one."""


def table(model: type[Sheet], frame: pl.DataFrame, minor_digits: int, units: Units, chosen: Sequence[str] = ()) -> str:
    """A sheet as a plain table: values written as in its CSV, but for the units of weights and sizes; of its columns
    those ``chosen``, or all."""
    values = shown(model, frame, units)
    named = zip(values.columns, shown_columns(model, units), strict=True)
    head = {name: column for name, column in named if not chosen or name in chosen}
    typed = values.select(pl.col(name).cast(column.type).alias(column.name) for name, column in head.items())
    with pl.Config(
        tbl_formatting="NOTHING",
        tbl_hide_dataframe_shape=True,
        tbl_hide_column_data_types=True,
        tbl_rows=-1,
        tbl_cols=-1,
        tbl_width_chars=-1,
        fmt_str_lengths=LONGEST_TEXT,
    ):
        return str(written(head.values(), typed, minor_digits).select(pl.all().cast(pl.String).fill_null("")))


def told(problems: pl.DataFrame) -> str:
    """Problems in sentences: how many of each kind, then each with where it stands and what to type."""
    lines = []
    for severity, word in (("stop", "problem"), ("doubt", "doubt")):
        of_it = problems.filter(pl.col("severity") == severity)
        if of_it.is_empty():
            continue
        kinds = of_it["kind"].value_counts(sort=True).sort("count", "kind", descending=[True, False])
        counts = ", ".join(f"{count} x {kind}" for kind, count in kinds.iter_rows())
        lines.append(f"{of_it.height} {word}{'' if of_it.height == 1 else 's'}: {counts}")
        for row in of_it.head(MOST_SHOWN).iter_rows(named=True):
            lines.append(f"  {_place(row)}: {row['problem']}. To mend it: {row['what_to_do']}.")
        if of_it.height > MOST_SHOWN:
            lines.append(
                f"  ... and {of_it.height - MOST_SHOWN} more; `wareboard check FOLDER > problems.csv` gives all"
            )
    return "\n".join(lines)


def _place(row: dict[str, object]) -> str:
    where = str(row["sheet"])
    if row["row"] is not None:
        where += f" row {row['row']}"
    return where if row["column"] is None else f"{where}, {row['column']}"
