"""Rules that a sheet's own rows must keep: those of its model, its key, and what columns of a row say together."""

from __future__ import annotations

from typing import Any, NamedTuple

import polars as pl
from pandera.errors import SchemaError, SchemaErrorReason, SchemaErrors

from pipeline.reading.headings import ROW
from schemas import book_kinds, kinds
from schemas.accounts import FINISHED, PACKING, PART_MADE, RAW
from schemas.problem import Problem, ProblemKind
from schemas.sheet import Column, Sheet, columns, sheet_key

BOUNDS = {
    "greater_than": ("min_value", "more than"),
    "greater_than_or_equal_to": ("min_value", "at least"),
    "less_than": ("max_value", "less than"),
    "less_than_or_equal_to": ("max_value", "at most"),
}
"""The checks of models by name: which of its statistics is the bound, and the bound in words. The only other check of a
model is that for options, which no typed column breaks: a cell becomes one of them or is not understood."""


def rules_broken(sheet: str, model: type[Sheet], frame: pl.DataFrame, text: pl.DataFrame) -> list[Problem]:
    """Every rule of one sheet that a row breaks.

    ``frame`` is the typed sheet, ``text`` the same rows as they were typed. A cell that was not understood is a problem
    already: no rule is told of it.
    """
    return [
        *_model_broken(sheet, model, frame, text),
        *_twice(sheet, model, frame),
        *(problem for rule in ROW_RULES if rule.sheet == sheet for problem in _row_broken(rule, frame)),
    ]


def _model_broken(sheet: str, model: type[Sheet], frame: pl.DataFrame, text: pl.DataFrame) -> list[Problem]:
    """What pandera finds. It is given a whole frame: of a query not yet run it would check nothing but types.

    To build a schema and check it takes milliseconds, however few the rows, so it is given those columns alone in which
    something is out of bounds.
    """
    suspect = [column.name for column in columns(model) if not _kept(column, frame[column.name])]
    if not suspect:
        return []
    part = model.to_schema().select_columns(suspect)
    part.unique = None  # told by ``_twice``, with the other row
    try:
        part.validate(frame.select(suspect), lazy=True)
    except SchemaErrors as errors:
        known = {column.name: column for column in columns(model)}
        return [
            problem
            for error in errors.schema_errors
            for problem in _in_words(sheet, known[error.column_name], error, frame, text)
        ]
    return []


def _kept(column: Column, cells: pl.Series) -> bool:
    """Whether a column surely keeps the rules of the model, by its blanks, its least and its greatest value."""
    if column.needed and cells.null_count():
        return False
    if (column.low, column.above, column.high, column.below) == (None,) * 4:
        return True
    least: Any = cells.min()
    greatest: Any = cells.max()
    return least is None or not (
        (column.low is not None and least < column.low)
        or (column.above is not None and least <= column.above)
        or (column.high is not None and greatest > column.high)
        or (column.below is not None and greatest >= column.below)
    )


def _in_words(sheet: str, column: Column, error: SchemaError, frame: pl.DataFrame, text: pl.DataFrame) -> list[Problem]:
    """One broken rule of the model, told for each of its rows."""
    broken = ~error.check_output["check_output"]
    rows = frame[ROW].filter(broken)
    if column.name not in text.columns:
        typed_in = pl.Series([None] * len(rows), dtype=pl.String)
    else:
        typed_in = text[column.name].filter(broken)
    if error.reason_code is SchemaErrorReason.SERIES_CONTAINS_NULLS:
        words = {"title": column.title, "example": column.example}
        places = zip(rows, typed_in, strict=True)
        return [kinds.BLANK_CELL.at(sheet, row, column.name, **words) for row, cell in places if cell is None]
    statistic, words_of_it = BOUNDS[error.check.name]
    limit = f"{words_of_it} {error.check.statistics[statistic]:g}"
    return [
        kinds.OUT_OF_RANGE.at(sheet, row, column.name, cell, bound=limit, example=column.example)
        for row, cell in zip(rows, typed_in, strict=True)
    ]


def _twice(sheet: str, model: type[Sheet], frame: pl.DataFrame) -> list[Problem]:
    """Rows whose key stands in an earlier row; blanks count as equal, but a blank where one must type tells nothing."""
    key = sheet_key(model)
    needed = [column.name for column in columns(model) if column.key and column.needed]
    # One column without a name twice, such as that of the orders, is quicker looked at than all of the key.
    if not key or any(frame[name].n_unique() == len(frame) for name in needed):
        return []
    if not frame.select(key).is_duplicated().any():
        return []
    whole = frame.select(*key, ROW).drop_nulls(needed)
    again = whole.with_columns(pl.col(ROW).first().over(key).alias("first")).filter(pl.col(ROW) != pl.col("first"))
    names = " or ".join(f"`{name}`" for name in key)
    return [
        kinds.ROW_TWICE.at(
            sheet, row, key[0], ", ".join(str(cell) for cell in cells if cell is not None), other=first, key=names
        )
        for *cells, row, first in again.iter_rows()
    ]


class RowRule(NamedTuple):
    """A rule on several columns of one row: where it is told, when it is broken, and words for its sentence."""

    sheet: str
    column: str
    broken: pl.Expr
    kind: ProblemKind
    words: dict[str, str]


ROW_RULES = (
    RowRule(
        "forms",
        "trimmings_g",
        pl.col("trimmings_g") > pl.col("ball_g"),
        kinds.TRIMMINGS_ABOVE_BALL,
        {"ball": "ball_g"},
    ),
    *(
        RowRule(
            sheet,
            "wait_days_max",
            pl.col("wait_days_max") < pl.col("wait_days"),
            kinds.WAITS_CROSSED,
            {"least": "wait_days"},
        )
        for sheet in ("stages", "form_minutes")
    ),
    RowRule(
        "work_log",
        "pieces_out",
        pl.col("pieces_out") + pl.col("seconds").fill_null(0) > pl.col("pieces_in"),
        kinds.MORE_OUT_THAN_IN,
        {"entered": "pieces_in"},
    ),
    *(
        RowRule(
            "opening_balances",
            column,
            pl.col("what").is_in(whose) & pl.col(column).is_null(),
            book_kinds.BALANCE_OF_NOTHING,
            {"what": "what"},
        )
        for column, whose in (("item", [RAW, PACKING, PART_MADE, FINISHED]), ("stage", [PART_MADE]))
    ),
    RowRule("closed_days", "to", pl.col("to") < pl.col("from"), kinds.DATES_CROSSED, {"first": "from"}),
)
"""Every rule on the columns of one row; a blank breaks none."""


def _row_broken(rule: RowRule, frame: pl.DataFrame) -> list[Problem]:
    rows = frame.filter(rule.broken).iter_rows(named=True)
    return [
        rule.kind.at(
            rule.sheet,
            row[ROW],
            rule.column,
            row[rule.column],
            **{word: row[name] for word, name in rule.words.items()},
        )
        for row in rows
    ]
