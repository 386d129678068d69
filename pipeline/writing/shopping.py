"""What to buy, as a person at a terminal reads it."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.job import Job
from pipeline.writing.screen import table
from schemas import SHEETS_OUT

PACKS = ("clay", "supplier", "pack_kg", "packs", "pack_price", "carriage", "cost", "order_by")


def shopping_list(job: Job, results: Mapping[str, pl.DataFrame]) -> str:
    """The clays; the packs and what price breaks save, if there is a price list; and what is short beside clay.

    ``results`` has ``clay_to_buy``, and may have ``packs_to_buy`` and ``materials_to_buy``.
    """
    digits, units = job.settings.minor_digits, job.settings.units
    parts = [table(SHEETS_OUT["clay_to_buy"], results["clay_to_buy"], digits, units)]
    packs = results.get("packs_to_buy")
    if packs is not None and not job.clay_prices.is_empty() and not packs.is_empty():
        parts.append(f"Packs of clay:\n{table(SHEETS_OUT['packs_to_buy'], packs, digits, units, PACKS)}")
        told = packs.drop_nulls("advice")
        parts += [
            f"{clay}: {advice}. Saves {saves:.{digits}f}."
            for clay, advice, saves in told.select("clay", "advice", "saves").iter_rows()
        ]
    supplies = results.get("materials_to_buy")
    if supplies is not None:
        short = supplies.filter(pl.col("packs_to_buy") > 0)
        listed = table(SHEETS_OUT["materials_to_buy"], short, digits, units)
        parts.append("Beside clay nothing is short." if short.is_empty() else f"Beside clay:\n{listed}")
    return "\n\n".join(parts)
