"""Process costing: what of a cost is in part-made pieces, in those that are finished, and in those that were lost."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from pipeline.money import amount

NOTHING = Decimal(0)


class Lot(NamedTuple):
    """Pieces that stand alike: the ``good`` ones expected of them, the finished pieces that they stand for in one
    element of cost (``units``: 900 pieces with 70 % of their materials are 630), and what is in them, if that is known
    before.
    """

    good: Fraction
    units: Fraction
    value: Decimal = NOTHING


class Working(NamedTuple):
    """How a cost was spread: what each taker (the finished pieces, then each lot of part-made ones) has ``kept`` of the
    opening lots, and ``before``, the units and money in that; the units worked ``since`` by takers and losses, the
    ``weights`` by which they bear the cost, the ``rate`` of a unit, and what each part comes to before it is rounded.
    """

    kept: list[list[tuple[int, Fraction]]]
    before: list[tuple[Fraction, Fraction]]
    since: list[Fraction]
    weights: list[Fraction]
    rate: Fraction
    exact: list[Fraction]


class Spread(NamedTuple):
    """Where the cost went: into each lot of part-made pieces, each loss, and the finished ones, which bear the rest."""

    closing: list[Decimal]
    lost: list[Decimal]
    made: Decimal
    working: Working


def weighted_average(
    opening: Sequence[Lot], put_in: Decimal, closing: Sequence[Lot], lost: Sequence[Fraction], made: Lot, digits: int
) -> Spread:
    """Every unit bears the same: (opening + put in) / (units finished, part-made and lost).

    104,044 put in and 1,904 there before are 105,948; 28,800 finished and 630 units part-made: 3.60 each, 2,268 in the
    part-made and 103,680 in the finished.
    """
    whole = put_in + sum((lot.value for lot in opening), NOTHING)
    return oldest_first((), whole, closing, lost, made, digits)


def oldest_first(
    opening: Sequence[Lot], put_in: Decimal, closing: Sequence[Lot], lost: Sequence[Fraction], made: Lot, digits: int
) -> Spread:
    """What was part-made keeps its cost and is finished first; the cost put in is borne by the units worked since.

    Lots go from the nearest to finished to the furthest. Units worked = those finished, part-made and lost, less what
    was in them before. What is lost is taken to be of the new. Running totals are rounded and the finished pieces bear
    the rest, so that all adds up to opening + put in.

    250 units of 1,000 part-made ones and 2,550 worked on the others, 3,640 put in: 1.30 each, 325 in the part-made.
    """
    takers = [made, *closing]
    kept = kept_parts([lot.good for lot in takers], [lot.good for lot in opening])
    before = [
        (
            sum((part * opening[at].units for at, part in parts), Fraction(0)),
            sum((part * Fraction(opening[at].value) for at, part in parts), Fraction(0)),
        )
        for parts in kept
    ]
    new = [max(lot.units - units, Fraction(0)) for lot, (units, _) in zip(takers, before, strict=True)]
    since = weights = [*new, *lost]
    if sum(weights) <= 0:
        # Nothing says where the cost belongs: to the pieces that stand there, or else to the finished ones.
        weights = [Fraction(0), *(lot.good for lot in closing), *[Fraction(0)] * len(lost)]
    worked = sum(weights)
    rate = Fraction(put_in) / worked if worked > 0 else Fraction(0)
    had = [*(value for _, value in before[1:]), *[Fraction(0)] * len(lost)]
    exact = [value + units * rate for value, units in zip(had, weights[1:], strict=True)]
    shares, upto, given = list[Decimal](), Fraction(0), NOTHING
    for part in exact:
        upto += part
        reached = amount(upto, digits)
        shares.append(reached - given)
        given = reached
    whole = put_in + sum((lot.value for lot in opening), NOTHING)
    working = Working(kept, before, since, weights, rate, exact)
    return Spread(shares[: len(closing)], shares[len(closing) :], whole - given, working)


def kept_parts(takers: Sequence[Fraction], opening: Sequence[Fraction]) -> list[list[tuple[int, Fraction]]]:
    """What each taker has of the opening lots, as the lot's place and the part of it, both by their good pieces.

    10 made and 5 part-made, of 12 and 6 that were there: all the first 10 are of the 12, 5/6 of them; the 5 are the
    other 2, 1/6, and 3 of the 6, 1/2.
    """
    lots = [(place, good, good) for place, good in enumerate(opening) if good]
    lots.reverse()
    found: list[list[tuple[int, Fraction]]] = []
    for wanted in takers:
        parts: list[tuple[int, Fraction]] = []
        while wanted > 0 and lots:
            place, good, whole = lots.pop()
            some = min(good, wanted)
            parts.append((place, some / whole))
            wanted -= some
            if some < good:
                lots.append((place, good - some, whole))
        found.append(parts)
    return found
