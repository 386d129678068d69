"""Process costing: what of a cost is in part-made pieces, in those that are finished, and in those that were lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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


class Spread(NamedTuple):
    """Where the cost went: into each lot of part-made pieces, each loss, and the finished ones, which bear the rest."""

    closing: list[Decimal]
    lost: list[Decimal]
    made: Decimal


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
    before = list(_kept([made, *closing], opening))
    new = [max(lot.units - units, Fraction(0)) for lot, (units, _) in zip([made, *closing], before, strict=True)]
    worked = sum(new) + sum(lost)
    if worked <= 0:
        # Nothing says where the cost belongs: to the pieces that stand there, or else to the finished ones.
        lost = [Fraction(0)] * len(lost)
        new = [Fraction(0), *(lot.good for lot in closing)]
        worked = sum(new)
    rate = Fraction(put_in) / worked if worked > 0 else Fraction(0)
    exact = [value + units * rate for (_, value), units in zip(before[1:], new[1:], strict=True)]
    exact += [units * rate for units in lost]
    shares, upto, given = list[Decimal](), Fraction(0), NOTHING
    for part in exact:
        upto += part
        reached = amount(upto, digits)
        shares.append(reached - given)
        given = reached
    whole = put_in + sum((lot.value for lot in opening), NOTHING)
    return Spread(shares[: len(closing)], shares[len(closing) :], whole - given)


def _kept(takers: Sequence[Lot], opening: Sequence[Lot]) -> Iterator[tuple[Fraction, Fraction]]:
    """The units and value that each taker has of the opening lots, by the good pieces that it can take of them."""
    lots = [(lot.good, lot.units / lot.good, Fraction(lot.value) / lot.good) for lot in opening if lot.good]
    lots.reverse()
    for taker in takers:
        wanted, units, value = taker.good, Fraction(0), Fraction(0)
        while wanted > 0 and lots:
            good, each_units, each_value = lots.pop()
            some = min(good, wanted)
            units, value, wanted = units + some * each_units, value + some * each_value, wanted - some
            if some < good:
                lots.append((good - some, each_units, each_value))
        yield units, value
