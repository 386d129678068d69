"""Days between the stages of a route."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil, floor

import polars as pl

NOISE = 1e-9
"""Slack for products of decimals that a binary number cannot hold, as 3 x 1.1."""


@dataclass(frozen=True, slots=True)
class Wait:
    """Days after a stage until the next: at least ``least``, at most ``most`` (None: no limit).

    ``fired`` is None after a stage of work; after a firing it is the days from loading to unloading, the shortest of
    its kilns, and the wait counts from unloading.
    """

    least: int
    most: int | None
    fired: int | None = None


def drying_factors(drying_months: pl.DataFrame) -> dict[int, float]:
    """Month to the factor of its drying waits; a month not listed dries as the stages say."""
    return dict(zip(drying_months["month"].to_list(), drying_months["wait_factor"].to_list(), strict=True))


def month_of(day: int) -> int:
    """The month of a day given as its proleptic ordinal."""
    return date.fromordinal(day).month


def window(wait: Wait, day: int, factors: Mapping[int, float]) -> tuple[int, int | None]:
    """First and last day (ordinals; None: no last) of the next stage, the stage itself being done on ``day``.

    For a firing ``day`` is the day of unloading, and no month changes the wait. Least days are rounded up, most days
    down, but never below the least.
    """
    factor = 1.0 if wait.fired is not None or not factors else factors.get(month_of(day), 1.0)
    least = ceil(wait.least * factor - NOISE)
    most = None if wait.most is None else max(least, floor(wait.most * factor + NOISE))
    return day + least, None if most is None else day + most


def latest_start(waits: Sequence[Wait], due: int, factors: Mapping[int, float]) -> int:
    """The last day on which a piece may be begun to be finished by ``due``, waits and firings alone counted.

    A wait of no factor is simply counted back. With a month's factor, which may lengthen or shorten it, the day is
    found by stepping back until the window after it opens in time.
    """
    day = due
    for wait in reversed(waits):
        if wait.fired is not None or not factors:
            day -= (wait.fired or 0) + wait.least
            continue
        after = day
        while window(wait, day, factors)[0] > after:
            day -= 1
    return day


def days_of_firings(firings: pl.DataFrame) -> dict[str, int]:
    """Each firing's days from loading to unloading, in the kiln that takes the fewest."""
    return dict(firings.group_by("firing").agg(pl.col("days").min()).iter_rows())


def waits_by_form(route: pl.DataFrame, firings: pl.DataFrame) -> dict[str, list[Wait]]:
    """For each form of a route (see ``routes``) the waits after its stages; after the last stage there is none, but
    if it is a firing it takes its days.
    """
    fired = days_of_firings(firings)
    found: dict[str, list[Wait]] = {}
    columns = route.select("form", "firing", "wait_days", "wait_days_max")
    for form, firing, least, most in columns.iter_rows():
        found.setdefault(form, []).append(Wait(least, most, None if firing is None else fired.get(firing, 0)))
    return {form: [*waits[:-1], Wait(0, None, waits[-1].fired)] for form, waits in found.items()}
