"""Stages as the calendar and the charts show them: letters that tell them apart without colour, and an order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

import polars as pl

from pipeline.remembered import remembered


@remembered
def stages_in_order(stages: pl.DataFrame, schedule: pl.DataFrame) -> list[str]:
    """The stages that are worked, by how far through its methods each stands on average.

    Handling, fourth of eight, comes after turning, third of seven and of eight, and before the firing.
    """
    place = pl.col("step").rank("ordinal").over("method") / pl.len().over("method")
    known = stages.select("stage", place=place).group_by("stage", maintain_order=True).agg(pl.col("place").mean())
    worked = schedule.select("stage").unique(maintain_order=True).join(known, on="stage", how="left")
    return worked.sort("place", nulls_last=True, maintain_order=True)["stage"].to_list()


def mark(index: int) -> str:
    """The mark of the stage with this place in the order."""
    return f"stage {index}"


def letters(names: Iterable[str]) -> dict[str, str]:
    """Two letters for each name, no two alike: ``turn`` is Tu, ``throw`` Th, ``glaze firing`` GF.

    Names that leave no two letters free get a number: ``a``, ``a b`` … as many as there are.
    """
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name in names:
        found[name] = next(short for short in _candidates(name) if short.casefold() not in taken)
        taken.add(found[name].casefold())
    return found


def _candidates(name: str) -> Iterator[str]:
    words = name.split()
    if len(words) > 1:
        yield "".join(word[0] for word in words[:2]).upper()
    plain = "".join(words)
    yield plain[:2].capitalize()
    for first, second in combinations(plain, 2):
        yield (first + second).capitalize()
    number = 1
    while True:
        yield f"{plain[:1].upper()}{number}"
        number += 1
