"""How many pieces to start so that enough good ones come out.

A *chance* is the share of the pieces started that come out good: the product of the stages' yields, a float above 0
and at most 1. Yields such as 0.96 have no exact binary form, so every rounding here forgives an error of one part in
a million million (``NOISE``): 90 good at 0.9 are 100 pieces, never 101. That is far more than a product of yields is
out by, and far less than any piece.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from functools import cache
from math import ceil, exp, floor, lgamma, log, log1p, pi, sqrt
from typing import TypeVar

import polars as pl

from schemas.settings import CHEAPEST, Cover

NOISE = 1e-12
"""The relative error of a float that rounding to whole pieces forgives."""

CLOSE = 1e-9
"""A probability this near to the one asked for, as a share of the smaller of it and its opposite, counts as reached."""

Numbers = TypeVar("Numbers", pl.Series, pl.Expr)


def pieces_to_start(quantity: int, chance_good: float, least_extra: int, cover: float | None) -> int:
    """The pieces to start for ``quantity`` good ones, at least ``quantity + least_extra``; 0 for none.

    Without ``cover`` as many as give ``quantity`` good ones on average, rounded up once over all stages. With it the
    fewest for which at least ``quantity`` come out good with that probability, each piece being lost independently of
    the others (binomial). Raises ValueError if the chance is not in (0, 1] or the cover not in (0, 1).
    """
    if not 0 < chance_good <= 1:
        raise ValueError(f"the chance that a piece comes out good is {chance_good}: it must be above 0 and at most 1")
    if quantity == 0:
        return 0
    enough = _fewest_on_average(quantity, chance_good) if cover is None else _fewest(quantity, chance_good, cover)
    return max(enough, quantity + least_extra)


def pieces_to_start_each(
    quantity: pl.Series, chance_good: pl.Series, least_extra: pl.Series, covers: Sequence[float | None]
) -> pl.Series:
    """``pieces_to_start`` of many lines: whole numbers (Int64), in the order of the lines.

    Raises as that does, or polars' own error where a chance is 0 and there is no cover.
    """
    if any(cover is not None for cover in covers):
        lines = zip(quantity, chance_good, covers, strict=True)
        enough = pl.Series([pieces_to_start(many, good, 0, cover) for many, good, cover in lines], dtype=pl.Int64)
    else:
        enough = whole_up(quantity / chance_good)
    least = pl.max_horizontal(enough, quantity + least_extra)
    started = pl.when(quantity == 0).then(0).otherwise(least).cast(pl.Int64)
    return pl.select(started.alias("pieces_to_start")).to_series()


def line_covers(orders: pl.DataFrame, cover: Cover) -> list[float | None]:
    """How sure each line is to be that enough come out; None for enough on average.

    Where spares are to cost least, each line of a job has a ``cover`` of its own.
    """
    return orders["cover"].to_list() if cover == CHEAPEST else [cover] * orders.height


def good_expected(pieces: int, chance_good: float) -> int:
    """The good pieces to count on out of ``pieces`` on average, rounded down."""
    return floor(pieces * chance_good * (1 + NOISE))


def whole_up(exact: Numbers) -> Numbers:
    """Numbers of pieces (none below 0) rounded up to whole ones (Int64), forgiving the noise of floats."""
    return (exact * (1 - NOISE)).ceil().cast(pl.Int64)


def _fewest_on_average(quantity: int, chance: float) -> int:
    return ceil(quantity / chance * (1 - NOISE))


@cache
def _fewest(quantity: int, chance: float, cover: float) -> int:
    """The fewest pieces of which ``quantity`` or more are good with probability ``cover``."""
    if not 0 < cover < 1:
        raise ValueError(f"the cover is {cover}: it must be between 0 and 1")
    if chance == 1:
        return quantity
    allowed = 1 - cover + CLOSE * min(cover, 1 - cover)

    def sure_enough(pieces: int) -> bool:
        return _chance_short(pieces, quantity, chance) <= allowed

    # The number of pieces that it takes has this standard deviation: a stride that soon passes any cover.
    stride = floor(sqrt(quantity * (1 - chance)) / chance) + 1
    low, high = quantity, _fewest_on_average(quantity, chance)
    while not sure_enough(high):
        low, high = high + 1, high + stride
    return low + bisect_left(range(low, high), True, key=sure_enough)


def _chance_short(pieces: int, quantity: int, chance: float) -> float:
    """The probability that fewer than ``quantity`` of the pieces are good.

    The smaller tail is added up from its largest term, each term made from the one before, until terms no longer count;
    about 10 x sqrt(quantity) terms at most. Adding up from an end would begin with 0.9**1000000, which is 0 in floats.
    """
    odds = chance / (1 - chance)
    total = 0.0
    if quantity > pieces * chance:
        good = quantity
        term = chance_exactly(pieces, good, chance)
        while term > total * NOISE**2:
            total += term
            term *= (pieces - good) / (good + 1) * odds
            good += 1
        return 1 - total
    good = quantity - 1
    term = chance_exactly(pieces, good, chance)
    while term > total * NOISE**2:
        total += term
        term *= good / (pieces - good + 1) / odds
        good -= 1
    return total


def chance_exactly(pieces: int, good: int, chance: float) -> float:
    """The probability that just ``good`` of the pieces are good.

    The binomial by its distance from the mean, which keeps its digits where factorials lose them. Source: C. Loader,
    "Fast and Accurate Computation of Binomial Probabilities", 2000.
    """
    lost = pieces - good
    if good == 0:
        return exp(pieces * log1p(-chance))
    if lost == 0:
        return exp(pieces * log(chance))
    fine = _stirling_error(pieces) - _stirling_error(good) - _stirling_error(lost)
    away = _deviance(good, pieces * chance) + _deviance(lost, pieces * (1 - chance))
    return sqrt(pieces / (2 * pi * good * lost)) * exp(fine - away)


def _stirling_error(n: int) -> float:
    """log(n!) less Stirling's formula for it."""
    if n < 16:
        return lgamma(n + 1) - (n + 0.5) * log(n) + n - log(2 * pi) / 2
    return (1 / 12 - (1 / 360 - (1 / 1260 - 1 / (1680 * n**2)) / n**2) / n**2) / n


def _deviance(count: int, mean: float) -> float:
    """count x log(count / mean) + mean - count, without losing digits where count and mean are close."""
    off = (count - mean) / mean
    return mean * ((1 + off) * log1p(off) - off)
