"""What part-made and finished goods are worth when the books open."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

import polars as pl

from pipeline.books.content import Content, Contents
from pipeline.books.flow import Flows, Goods
from pipeline.money import amount, share_out
from schemas.accounts import FINISHED, PART_MADE

Worth = tuple[Decimal, Decimal]
"""Materials and conversion."""

At = tuple[Goods, str]
"""Goods, and the last stage they have had."""


FinishedKey = tuple[str | None, str, str | None, str | None]
"""Order, form, glaze and lot, as ``finished_goods`` has them."""


class Carried(NamedTuple):
    """Goods that the last books closed with; ``lot`` is `seconds` or None, ``row`` its place in the sheet."""

    row: int
    order: str | None
    form: str
    glaze: str | None
    lot: str | None
    pieces: Fraction
    value: Decimal


def part_made_worth(
    moved: Flows, inside: Contents, opening_balances: pl.DataFrame, digits: int
) -> dict[At, Worth | None]:
    """The worth of each line's part-made pieces at the opening, by stage; None where nobody knows it.

    A form's pieces at a stage cost each what they did when the last books closed. Where those have none of them, or
    there are none, they are worth what the plan's own costs are up to that stage.

    14 pieces were carried over at 21.00; 12 are there: 18.00.
    """
    there: dict[tuple[str, str], list[tuple[Goods, int]]] = defaultdict(list)
    for line, flow in moved.items():
        for stage, pieces in flow.opening.items():
            there[line[1], stage].append((line, pieces))
    carried = _part_made_carried(opening_balances) if there else {}
    found: dict[At, Worth | None] = {}
    for (form, stage), lots in there.items():
        weights = [pieces for _, pieces in lots]
        each = carried.get((form, stage)) or _own(inside.get((form, stage)))
        if each is None:
            found |= {(line, stage): None for line, _ in lots}
            continue
        shares = [share_out(amount(sum(weights) * cost, digits), weights, digits) for cost in each]
        found |= {(line, stage): worth for (line, _), worth in zip(lots, zip(*shares, strict=True), strict=True)}
    return found


def _own(content: Content | None) -> tuple[Fraction, Fraction] | None:
    return None if content is None else content.each


def _part_made_carried(opening_balances: pl.DataFrame) -> dict[tuple[str, str], tuple[Fraction, Fraction]]:
    """By form and stage what each piece was worth when the last books closed, materials and conversion."""
    rows = opening_balances.filter(
        pl.col("what") == PART_MADE, pl.col("quantity") > 0, pl.col("value").is_not_null(), pl.col("item").is_not_null()
    )
    sums = rows.group_by("item", "stage").agg(pl.col("quantity", "materials", "value").sum())
    return {
        (form, stage): (
            Fraction(materials) / Fraction(str(pieces)),
            (Fraction(value) - Fraction(materials)) / Fraction(str(pieces)),
        )
        for form, stage, pieces, materials, value in sums.iter_rows()
    }


def finished_carried(opening_balances: pl.DataFrame) -> list[Carried]:
    """The finished goods that the last books closed with, in the order of the sheet."""
    rows = opening_balances.with_row_index("at").filter(pl.col("what") == FINISHED, pl.col("item").is_not_null())
    return [
        Carried(at, order, form, glaze, lot, Fraction(str(pieces)), value or Decimal(0))
        for at, order, form, glaze, lot, pieces, value in rows.select(
            "at", "order", "item", "glaze", "lot", "quantity", "value"
        ).iter_rows()
    ]


class Take(NamedTuple):
    """Pieces that goods take: of the ``whole`` ones carried over in a row of the sheet, from ``first`` up to ``last``;
    or, of no row, so many at what the plan's own cost. A value is None if nobody knows it."""

    goods: FinishedKey
    carried: int | None
    whole: Fraction
    first: Fraction
    last: Fraction
    value: Decimal | None


def finished_takes(moved: Flows, inside: Contents, carried: Sequence[Carried], digits: int) -> list[Take]:
    """What the finished pieces at the opening are worth, and what of the goods carried over stays as it is.

    A line's pieces come out of those carried over for it, then of those for no order; any beyond them are worth what
    the plan's own costs of a finished piece are. What is carried over for a line of this plan and is not there is gone.
    Running totals of what was carried over are rounded, so that what is taken of it adds up.

    5 of 12 pieces carried over at 50.00: 20.83.
    """
    taken = [Fraction(0)] * len(carried)
    takes: list[Take] = []

    def take(goods: FinishedKey, place: int, pieces: Fraction) -> None:
        of, first, last = carried[place], taken[place], taken[place] + pieces
        upto = [
            of.value if at == of.pieces else amount(Fraction(of.value) * at / of.pieces, digits) for at in (first, last)
        ]
        takes.append(Take(goods, of.row, of.pieces, first, last, upto[1] - (upto[0] if first else Decimal(0))))
        taken[place] = last

    for line, flow in moved.items():
        order, form, glaze = line
        wanted = Fraction(flow.finished)
        for place, goods in enumerate(carried):
            fits = goods.form == form and goods.lot is None and goods.order in (order, None)
            if wanted and fits and goods.glaze in (glaze, None) and goods.pieces > taken[place]:
                some = min(wanted, goods.pieces - taken[place])
                take((*line, None), place, some)
                wanted -= int(some)
        if wanted:
            each = next((inner.each for (of, _), inner in inside.items() if of == form and inner.finished), None)
            worth = None if each is None else amount(wanted * sum(each), digits)
            takes.append(Take((*line, None), None, wanted, Fraction(0), wanted, worth))
    gone = {line for line in moved if line[0] is not None}
    for place, goods in enumerate(carried):
        here = (goods.order, goods.form, goods.glaze)
        if goods.lot is not None or (goods.pieces > taken[place] and here not in gone):
            take((*here, goods.lot), place, goods.pieces - taken[place])
    return takes
