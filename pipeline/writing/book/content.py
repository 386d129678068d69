"""The columns of the tab of piece costs that tell how much of a finished piece is in one after each stage."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.books.content import DIGITS, NO_CONTENT, Contents
from pipeline.writing.book.tables import BY_ROW, Head, formula_of
from schemas.settings import IN, Settings

ELEMENTS = ("materials", "conversion")
"""What a cost is made of: materials, and the rest, which is paid work, firing and, if it is in stock, overhead."""


def content_heads(settings: Settings) -> list[Head]:
    """What is in a good piece when it leaves a stage, and in per cent of a finished one."""
    money = f" {settings.currency}".rstrip()
    found = []
    for name in ELEMENTS:
        words = f"{name} so far{money}"
        found.append(Head(f"{name}_upto", words, "price", "What is in a good piece by then, not rounded.", BY_ROW))
        note = "The same in per cent of a finished piece, for equivalent units of part-made ones."
        found.append(Head(f"{name}_pct", f"{name} so far %", "rate", note, BY_ROW))
    return found


def with_content(
    frame: pl.DataFrame, inside: Contents, first: int, letters: Mapping[str, str], settings: Settings
) -> pl.DataFrame:
    """The rows of piece costs with those columns; ``first`` is the number of the first row, as a spreadsheet counts,
    ``letters`` are those of the tab's columns."""
    forms = frame["form"].to_list()
    starts = {form: at for at, form in reversed(list(enumerate(forms, first)))}
    ends = {form: at for at, form in enumerate(forms, first)}
    known = [inside.get(key, NO_CONTENT) for key in frame.select("form", "stage").iter_rows()]
    work = ("paid_labour", "firing", *(("overhead",) if settings.stock_overhead == IN else ()))
    found: list[pl.Series] = []
    for place, (name, added) in enumerate(zip(ELEMENTS, (("materials",), work), strict=True)):
        upto, part = f"{name}_upto", f"{name}_pct"
        costs = ",".join(f"{{{each}}}" for each in added)
        sums, percents = [], []
        for at, form in enumerate(forms, first):
            before = "" if at == starts[form] else f"{{{upto}_above}}+"
            sums.append(f"({before}SUM({costs}))/(1-{{loss_pct}}/100)")
            whole = f"${letters[upto]}${ends[form]}"
            # Where nothing costs anything, every stage counts alike.
            alike = f"ROWS($A${starts[form]}:$A${at})/ROWS($A${starts[form]}:$A${ends[form]})"
            percents.append(f"ROUND(IF({whole}=0,{alike},{{{upto}}}/{whole})*100,{DIGITS})")
        found += [
            pl.Series(upto, [float(inner.upto[place]) for inner in known], dtype=pl.Float64),
            pl.Series(part, [float(inner.percents[place]) for inner in known], dtype=pl.Float64),
            pl.Series(formula_of(upto), sums, dtype=pl.String),
            pl.Series(formula_of(part), percents, dtype=pl.String),
        ]
    return frame.with_columns(found)
