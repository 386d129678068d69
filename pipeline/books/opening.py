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


class Carried(NamedTuple):
    """Goods that the last books closed with; ``lot`` is `seconds` or None."""

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
    rows = opening_balances.filter(pl.col("what") == FINISHED, pl.col("item").is_not_null())
    return [
        Carried(order, form, glaze, lot, Fraction(str(pieces)), value or Decimal(0))
        for order, form, glaze, lot, pieces, value in rows.select(
            "order", "item", "glaze", "lot", "quantity", "value"
        ).iter_rows()
    ]


def finished_worth(
    moved: Flows, inside: Contents, carried: Sequence[Carried], digits: int
) -> tuple[dict[Goods, Decimal | None], list[Carried]]:
    """The worth of each line's finished pieces at the opening (None where nobody knows it), and what of the goods
    carried over stays as it is.

    A line's pieces come out of those carried over for it, then of those for no order; any beyond them are worth what
    the plan's own costs of a finished piece are. What is carried over for a line of this plan and is not there is gone.
    """
    left = list(carried)
    found: dict[Goods, Decimal | None] = {}
    for line, flow in moved.items():
        if not flow.finished:
            continue
        order, form, glaze = line
        wanted, value, known = flow.finished, Decimal(0), True
        for place, goods in enumerate(left):
            fits = goods.form == form and goods.lot is None and goods.order in (order, None)
            if not (wanted and fits and goods.glaze in (glaze, None) and goods.pieces):
                continue
            some = min(Fraction(wanted), goods.pieces)
            worth = amount(Fraction(goods.value) * some / goods.pieces, digits)
            left[place] = goods._replace(pieces=goods.pieces - some, value=goods.value - worth)
            value, wanted = value + worth, wanted - int(some)
        if wanted:
            each = next((inner.each for (of, _), inner in inside.items() if of == form and inner.finished), None)
            known = each is not None
            value += amount(wanted * sum(each), digits) if each is not None else Decimal(0)
        found[line] = value if known or value else None
    gone = {line for line in moved if line[0] is not None}
    kept = [
        goods
        for goods in left
        if goods.lot is not None or (goods.pieces and (goods.order, goods.form, goods.glaze) not in gone)
    ]
    return found, kept
