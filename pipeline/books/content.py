"""What is in a piece by the time it has had a stage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any, NamedTuple

import polars as pl

from pipeline.money import amount
from pipeline.remembered import remembered
from schemas.settings import IN, Settings

Contents = Mapping[tuple[str, str], "Content"]
"""By form and stage."""

DIGITS = 4
"""Decimal places of a percentage."""


class Content(NamedTuple):
    """What a good piece that has had a stage has in it, as a share of a finished one (in per cent, to four places) and
    in money, materials before conversion; ``good`` is the share of such pieces that come out good in the end.

    Conversion is paid work, firing and, where ``stock_overhead`` has it, overhead. The money is not ``known`` where a
    stage on the way sees no piece of the plan, so that nobody knows what it costs.
    """

    step: int
    percents: tuple[Fraction, Fraction]
    upto: tuple[Fraction, Fraction]
    known: bool
    good: Fraction
    finished: bool

    @property
    def each(self) -> tuple[Fraction, Fraction] | None:
        """The money, if it is known."""
        return self.upto if self.known else None


NO_CONTENT = Content(
    0, (Fraction(0), Fraction(0)), (Fraction(0), Fraction(0)), known=False, good=Fraction(1), finished=False
)
"""Of a form that nobody orders nothing is known."""


@remembered
def contents(piece_costs: pl.DataFrame, settings: Settings) -> Contents:
    """Every form and stage of ``piece_costs``; the pieces that leave a stage bear what is normally lost there.

    20 of materials at the first stage and 12 at the last, where 4 in 100 are lost: after the first a piece has 20 of
    (20 + 12) / 0.96 = 33.33, which is 60 %.
    """
    overhead = ("overhead",) if settings.stock_overhead == IN else ()
    names = ("form", "step", "stage", "pieces", "loss_pct", "materials", "paid_labour", "firing", *overhead)
    ways: dict[str, list[Any]] = {}
    for form, step, stage, pieces, loss, materials, *work in piece_costs.select(names).iter_rows():
        conversion = sum((Fraction(cost) for cost in work if cost is not None), Fraction(0))
        leaving = 1 - Fraction(str(loss)) / 100
        ways.setdefault(form, []).append((step, stage, pieces, leaving, Fraction(materials or 0), conversion))
    found: dict[tuple[str, str], Content] = {}
    for form, way in ways.items():
        sums, good, known = _upto(way), _onward(way), True
        whole = sums[-1]
        for place, ((step, stage, pieces, *_), upto) in enumerate(zip(way, sums, strict=True)):
            known = known and pieces > 0
            alike = Fraction(place + 1, len(way))
            percents = (_percent(upto[0], whole[0], alike), _percent(upto[1], whole[1], alike))
            found[form, stage] = Content(step, percents, upto, known, good[place], place + 1 == len(way))
    return found


def _upto(way: Sequence[Any]) -> list[tuple[Fraction, Fraction]]:
    """What is in a good piece after each stage of the way, materials and conversion."""
    sums = [(Fraction(0), Fraction(0))]
    for *_, leaving, materials, conversion in way:
        sums.append(((sums[-1][0] + materials) / leaving, (sums[-1][1] + conversion) / leaving))
    return sums[1:]


def _onward(way: Sequence[Any]) -> list[Fraction]:
    """The share of the pieces that have had each stage that come out good after the last."""
    shares = [Fraction(1)]
    for *_, leaving, _, _ in way[:0:-1]:
        shares.append(shares[-1] * leaving)
    return shares[::-1]


def _percent(part: Fraction, whole: Fraction, alike: Fraction) -> Fraction:
    """A part in per cent; where nothing costs anything, every stage counts ``alike``."""
    return Fraction(amount((part / whole if whole else alike) * 100, DIGITS))
