"""What came of trying an order, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import polars as pl

from pipeline.writing.words import in_words
from schemas.answers.tried import BY_DUE


def trial_text(answer: pl.DataFrame) -> str:
    """The sheet ``try`` in sentences: for each way when the order is ready, and which lines are ready later for it."""
    return "\n".join(line for rows in answer.partition_by("way", maintain_order=True) for line in _way(rows))


def _way(rows: pl.DataFrame) -> Iterator[str]:
    tried, *moved = rows.rows(named=True)
    when = f"by {in_words(tried['due'])}" if tried["way"] == BY_DUE else "after all that is ordered now"
    held = f", held up by {tried['held_up_by']}" if tried["held_up_by"] else ""
    yield f"{_pieces(tried)}, {when}: ready on {in_words(tried['ready'])}{_standing(tried)}{held}."
    if tried["mended_by"]:
        yield f"  What would mend it: {tried['mended_by'].replace('; ', '; or ')}."
    if not moved:
        yield "  No line is ready later for it."
    for row in moved:
        yield (
            f"  Later for it: {row['order']}, {_pieces(row)}, ready on {in_words(row['ready'])}, "
            f"{_days(row['days_later'])} later{_standing(row)}."
        )


def _pieces(row: Mapping[str, Any]) -> str:
    return " ".join(str(word) for word in (row["quantity"], row["form"], row["glaze"]) if word is not None)


def _standing(row: Mapping[str, Any]) -> str:
    if row["days_late"] is None:
        return ""
    return f", {_days(row['days_late'])} late" if row["days_late"] else ", in time"


def _days(days: int) -> str:
    return f"{days} day{'' if days == 1 else 's'}"
