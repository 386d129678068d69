"""How many pieces to begin so that spares and shortages together cost least.

A *shortage* is how many good pieces are missing when the last of a run comes out of the kiln. Expectations are exact
sums over the binomial distribution: every piece is lost by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import chain, count
from math import floor

from pipeline.losses import NOISE, chance_exactly

COUNTS = NOISE**1.5
"""A probability this small beside the greatest of its kind does not count."""


@dataclass(frozen=True)
class Run:
    """What pieces of a form cost, in money: ``chance`` is the share of the pieces begun that come out good.

    ``each``: a piece begun, above 0; ``again``: what another run costs before its first piece, its set-ups; ``spare``:
    what a good piece is worth that nobody ordered, at most ``each``; ``missed``: the income lost with each piece that
    is never made, None if every shortage is made good.
    """

    chance: float
    each: float
    again: float
    spare: float = 0.0
    missed: float | None = None
    _known: dict[int, float] = field(default_factory=dict, compare=False, repr=False)

    def pieces(self, wanted: int, least: int) -> int:
        """The number of pieces to begin for ``wanted`` good ones, at least ``least``, that costs least, all told.

        Of numbers that cost the same the smallest.
        """
        return self.best(wanted, least, self.shortage, once=True)[1]

    def shortage(self, short: int) -> float:
        """What it costs to be so many pieces short: to make them, again and again if need be, or to lose their income.

        The run that begins n pieces and leaves nothing good is begun again, so it costs what it costs / the chance that
        something is good: cost(short) = least over n of (again + n x each - spares + the shortages left) / (1 - P(none
        good)). Shortages are worked out from 1 on: each rests on smaller ones.
        """
        for pieces in range(len(self._known) + 1, short + 1):
            made = self.best(pieces, 1, self._known.__getitem__, once=False)[0]
            self._known[pieces] = made if self.missed is None else min(made, self.missed * pieces)
        return self._known[short]

    def best(self, wanted: int, least: int, shortage: Callable[[int], float], *, once: bool) -> tuple[float, int]:
        """The least cost and the pieces begun at it; ``once``: this is the one run, without ``again``, and ``shortage``
        tells of any. No shortage may cost less than ``_at_least`` says.

        It is looked for around as many pieces as are enough on average, down and up to where all cost more: fewer ask
        too often for another run, more leave too many spares. A shortage costs at least its pieces' income, or a run
        and its pieces on average, so most numbers of pieces between need not be worked out.
        """
        if self.chance == 1:
            begun = max(wanted, least)
            return (0.0 if once else self.again) + self.each * begun - self.spare * (begun - wanted), begun
        first = max(least, floor(wanted / self.chance))
        best, at = self._cost(first, wanted, shortage, once=once), first
        before = 0.0 if once else self.again
        for begun in chain(range(first - 1, least - 1, -1), count(first + 1)):
            short = shortfalls(begun, wanted, self.chance)
            missing = _expected(short, float)
            sure = before + self.each * begun - self.spare * (begun * self.chance - wanted + missing)
            if begun > first and sure >= best:
                break
            if sure + _expected(short, self._at_least) <= best * (1 + NOISE):
                cost = self._cost(begun, wanted, shortage, once=once)
                if cost < best * (1 - NOISE) or (begun < at and cost <= best * (1 + NOISE)):
                    best, at = cost, begun
        return best, at

    def _at_least(self, short: int) -> float:
        """What a shortage costs at the least."""
        made = self.again + self.each * short / self.chance
        return made if self.missed is None else min(made, self.missed * short)

    def _cost(self, begun: int, wanted: int, shortage: Callable[[int], float], *, once: bool) -> float:
        """What it costs to begin so many pieces, what comes after included."""
        short = shortfalls(begun, wanted, self.chance)
        cost = self.each * begun - self.spare * (begun * self.chance - wanted + _expected(short, float))
        if once:
            return cost + _expected(short, shortage)
        none_good = short[wanted - 1] if len(short) >= wanted else 0.0
        return (self.again + cost + _expected(short[: wanted - 1], shortage)) / (1 - none_good)


def _expected(short: list[float], value: Callable[[int], float]) -> float:
    """What a value of the shortage comes to on average, of the probabilities of ``shortfalls``."""
    return sum(value(missing) * probability for missing, probability in enumerate(short, 1))


def shortfalls(begun: int, wanted: int, chance: float) -> list[float]:
    """The probabilities that just 1, 2, 3 … of ``wanted`` good pieces are missing out of those begun.

    The list ends where they no longer count. Each is made from its neighbour, outwards from the most likely.
    """
    most = min(wanted - 1, begun)
    peak = min(most, floor((begun + 1) * chance))
    odds = chance / (1 - chance)
    top = chance_exactly(begun, peak, chance)
    found = [0.0] * (wanted - most - 1)
    above, term = [], top
    for good in range(peak, most):
        term *= (begun - good) / (good + 1) * odds
        above.append(term)
    found += above[::-1]
    term, good = top, peak
    while term > top * COUNTS:
        found.append(term)
        if good == 0:
            break
        term *= good / (begun - good + 1) / odds
        good -= 1
    return found
