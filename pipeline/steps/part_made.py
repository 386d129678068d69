"""Part-made goods when the books open and when they close, and what was lost beyond the normal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import polars as pl

from pipeline.books.content import NO_CONTENT, Content, Contents, contents
from pipeline.books.flow import Flow, Goods, flows
from pipeline.books.opening import Worth, part_made_worth
from pipeline.books.period import closes, opens
from pipeline.books.process import Lot, Spread, oldest_first, weighted_average
from pipeline.job import Job
from pipeline.lines import LINE
from pipeline.money import amount
from schemas.settings import AVERAGE
from schemas.sheet import shaped, types
from schemas.sheets_out.costs_put_in import MATERIALS, OTHER
from schemas.sheets_out.part_made import CLOSING, LOST, OPENING, PartMade

NOTHING = Decimal(0)

PLACES = 6
"""Decimal places of pieces and units: what is lost may be a part of a piece."""

ELEMENTS = (0, 1)
"""Materials and conversion, as a ``Worth`` has them."""


def part_made(
    job: Job,
    pieces: pl.DataFrame,
    schedule: pl.DataFrame,
    job_costs: pl.DataFrame,
    piece_costs: pl.DataFrame,
    costs_put_in: pl.DataFrame,
) -> pl.DataFrame:
    """Part-made goods by line and last stage done at both ends of the books, and the abnormal loss, in equivalent
    units.

    A piece that has had a stage stands for so much of a finished one, in materials and in conversion (paid work,
    firing, overhead), as ``piece_costs`` have put into it up to there. What is in a line at the opening and what is put
    in since, less what normal seconds fetch, is spread over its units, finished, part-made and lost: on average, or
    oldest first, as ``stock_value`` says; the finished pieces bear the rest. So the good pieces bear what is normally
    lost, and what is lost beyond it is set apart. Pieces that no order needs stay as they were. Sources: process
    costing in any textbook of cost accounting; IAS 2, Inventories, paragraphs 12, 16 and 25.

    900 pieces with 70 % of their materials in them are 630 units; at 3.60 a unit 2,268.00.
    """
    settings = job.settings
    moved = flows(job, pieces, schedule, job_costs)
    rows: list[tuple[Any, ...]] = []
    if any(flow.opening or flow.closing or flow.lost for flow in moved.values()):
        inside, last = contents(piece_costs, settings), closes(schedule, settings)
        worth = part_made_worth(moved, inside, job.opening_balances, settings.minor_digits)
        put_in = _put_in(costs_put_in)
        for line, flow in moved.items():
            before = {stage: worth[line, stage] for stage in flow.opening}
            rows += _rows(OPENING, opens(settings), line, flow.opening, before, inside)
            if line[0] is None:
                rows += _rows(CLOSING, last, line, flow.closing, before, inside)
            elif flow.closing or flow.lost:
                after = _after(line, flow, before, put_in.get(line, (NOTHING, NOTHING)), inside, job)
                rows += _rows(CLOSING, last, line, flow.closing, after[0], inside)
                rows += _rows(LOST, last, line, flow.lost, after[1], inside)
    found = pl.DataFrame(rows, schema=types(PartMade), orient="row")
    return shaped(PartMade, found.sort(pl.col("at").replace_strict(TURN), maintain_order=True) if rows else found)


TURN = {OPENING: 0, CLOSING: 1, LOST: 2}


def _put_in(costs_put_in: pl.DataFrame) -> dict[Goods, Worth]:
    """What is put into each line, materials and conversion; what is not known is nought, and told."""
    material = pl.col("what").is_in([MATERIALS, OTHER])
    cost = pl.col("cost").fill_null(NOTHING)
    sums = costs_put_in.group_by(LINE).agg(
        materials=cost.filter(material).sum(), conversion=cost.filter(~material).sum()
    )
    return {(order, form, glaze): (one, other) for order, form, glaze, one, other in sums.iter_rows()}


def _after(
    line: Goods, flow: Flow, before: Mapping[str, Worth | None], put_in: Worth, inside: Contents, job: Job
) -> tuple[dict[str, Worth], dict[str, Worth]]:
    """What is in the part-made pieces at the close and in those lost, by stage."""
    form, digits = line[1], job.settings.minor_digits
    spread = weighted_average if job.settings.stock_value == AVERAGE else oldest_first
    opening, closing, lost = (
        sorted(stages, key=lambda stage: -inside[form, stage].step)
        for stages in (flow.opening, flow.closing, flow.lost)
    )
    # What seconds fetch comes off the materials, and off the rest where it is more than those.
    off = min(put_in[0], flow.seconds_value)
    less = (put_in[0] - off, put_in[1] - min(put_in[1], flow.seconds_value - off))
    made = Fraction(flow.made)
    found: list[Spread] = []
    for element in ELEMENTS:
        had = [_lot(flow.opening[stage], inside[form, stage], element, before[stage]) for stage in opening]
        has = [_lot(flow.closing[stage], inside[form, stage], element) for stage in closing]
        gone = [_units(flow.lost[stage], inside[form, stage], element) for stage in lost]
        found.append(spread(had, less[element], has, gone, Lot(made, made), digits))
    one, other = found
    return (
        dict(zip(closing, zip(one.closing, other.closing, strict=True), strict=True)),
        dict(zip(lost, zip(one.lost, other.lost, strict=True), strict=True)),
    )


def _units(pieces: Fraction | int, content: Content, element: int) -> Fraction:
    """Equivalent units: the finished pieces that so many stand for, to the places that the sheet shows."""
    return Fraction(amount(_shown(pieces) * content.percents[element] / 100, PLACES))


def _shown(pieces: Fraction | int) -> Fraction:
    return Fraction(amount(pieces, PLACES))


def _lot(pieces: int, content: Content, element: int, worth: Worth | None = None) -> Lot:
    value = NOTHING if worth is None else worth[element]
    return Lot(pieces * content.good, _units(pieces, content, element), value)


def _rows(
    at: str,
    day: date,
    line: Goods,
    stages: Mapping[str, Fraction | int],
    worth: Mapping[str, Worth | None],
    inside: Contents,
) -> Iterator[tuple[Any, ...]]:
    for stage, pieces in stages.items():
        if not pieces:
            continue
        content, inner = inside.get((line[1], stage), NO_CONTENT), worth[stage]
        percents = (float(percent) for percent in content.percents)
        units = (float(_units(pieces, content, element)) for element in ELEMENTS)
        money = (None, None, None) if inner is None else (*inner, sum(inner))
        yield (at, day, *line, stage, float(_shown(pieces)), *percents, *units, *money)
