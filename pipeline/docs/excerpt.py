"""README's excerpt of the sample plan."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.docs.tables import table
from pipeline.docs.written import written

SHOWN: dict[str, tuple[str, tuple[str, ...]]] = {
    "clay_to_buy": (
        "What clay to buy",
        ("clay", "needed_kg", "on_hand_kg", "keep_kg", "reclaim_kg", "bag_kg", "bags_to_buy", "cost", "order_by"),
    ),
    "schedule": (
        "The first days",
        ("date", "weekday", "stage", "form", "glaze", "pieces", "minutes", "worker", "kiln"),
    ),
    "promises": (
        "When it is ready",
        ("order", "form", "glaze", "quantity", "due", "ready", "days_late", "slack_days"),
    ),
}
"""Which sheets are shown, under what heading, and which of their columns."""

ROWS = 12
"""Rows shown of a sheet; of the rest only how many there are."""


def excerpt(results: Mapping[str, pl.DataFrame], minor_digits: int) -> str:
    """The first rows of the sheets that tell most, from the plan's result sheets by name, as their CSVs have them."""
    parts = []
    for name, (heading, names) in SHOWN.items():
        grid = written(name, results[name].head(ROWS), names, minor_digits)
        rest = results[name].height - ROWS
        more = f"\n\n… and {rest} rows more" if rest > 0 else ""
        parts.append(f"**{heading}** (`{name}`)\n\n{table(grid[0], grid[1:])}{more}")
    return "\n\n".join(parts)
