"""The tab of equivalent units: how the cost of each line is spread over part-made, lost and finished pieces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

import polars as pl

from pipeline.books.content import NO_CONTENT, Contents
from pipeline.books.method import method
from pipeline.books.process import Lot, Spread, oldest_first, weighted_average
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.content import ELEMENTS
from pipeline.writing.book.grid import Grid, Place, letter
from pipeline.writing.book.lots import NOISE
from pipeline.writing.book.seconds import NORMAL
from pipeline.writing.book.tables import BY_ROW, Head, Table, add_table, formula_of
from schemas.fields import MONEY_DIGITS
from schemas.settings import AVERAGE, Settings
from schemas.sheets_out.costs_put_in import FIRING, MATERIALS, OTHER, OVERHEAD, PAID
from schemas.sheets_out.part_made import CLOSING, LOST, OPENING

FINISHED = "finished"

NOTHING = Decimal(0)

KINDS = {"materials": (MATERIALS, OTHER), "conversion": (PAID, FIRING, OVERHEAD)}
"""The kinds of cost of each element."""


class _Line(NamedTuple):
    """A line's element of cost, and where it went; rows are those of part-made goods, nearest to finished first."""

    goods: int
    names: tuple[str, str, str | None]
    element: str
    opening: list[dict[str, Any]]
    closing: list[dict[str, Any]]
    lost: list[dict[str, Any]]
    made: float
    put_in: Decimal
    seconds: Decimal
    spread: Spread


class Units:
    """The reckoning of every line that has part-made pieces at the close, or lost some: its figures."""

    def __init__(
        self, part_made: pl.DataFrame, results: Mapping[str, pl.DataFrame], inside: Contents, settings: Settings
    ) -> None:
        """``part_made`` is numbered, and has the number of each row's line on the tab of finished goods."""
        self.lines: list[_Line] = []
        self.numbers: set[int] = set()
        """The numbers of the rows of part-made goods of which the values are worked out here."""
        self.average = settings.stock_value == AVERAGE
        rows: dict[int, list[dict[str, Any]]] = {}
        for row in part_made.iter_rows(named=True):
            if row["order"] is not None and row["goods"] is not None:
                row["content"] = inside.get((row["form"], row["stage"]), NO_CONTENT)
                rows.setdefault(row["goods"], []).append(row)
        self._inside, self._digits = inside, settings.minor_digits
        self._finished = results["finished_goods"]
        for goods, own in rows.items():
            at = {when: _nearest_first(row for row in own if row["at"] == when) for when in (OPENING, CLOSING, LOST)}
            if at[CLOSING] or at[LOST]:
                self.numbers |= {row["number"] for row in (*at[CLOSING], *at[LOST])}
                self.lines += self._elements(goods, at)

    def _elements(self, goods: int, at: Mapping[str, list[dict[str, Any]]]) -> Iterator[_Line]:
        line = self._finished.row(goods - 1, named=True)
        put_in = {
            "materials": line["materials"],
            "conversion": line["paid_labour"] + line["firing"] + line["overhead"],
        }
        lost = sum((row["value"] for row in at[LOST]), NOTHING)
        fetched = line["seconds_value"] - (lost - line["abnormal_loss"])
        off = min(put_in["materials"], fetched)
        seconds = {"materials": off, "conversion": min(put_in["conversion"], fetched - off)}
        how = weighted_average if self.average else oldest_first
        made = Fraction(line["made"])
        for name in ELEMENTS:
            spread = how(
                [_lot(row, name) for row in at[OPENING]],
                put_in[name] - seconds[name],
                [_lot(row, name) for row in at[CLOSING]],
                [Fraction(str(row[f"{name}_units"])) for row in at[LOST]],
                Lot(made, made),
                self._digits,
            )
            yield _Line(
                goods, (line["order"], line["form"], line["glaze"]), name, at[OPENING], at[CLOSING], at[LOST],
                line["made"], put_in[name], seconds[name], spread,
            )  # fmt: skip


def _nearest_first(rows: Iterator[dict[str, Any]]) -> list[dict[str, Any]]:
    return sorted(rows, key=lambda row: -row["content"].step)


def _lot(row: Mapping[str, Any], element: str) -> Lot:
    good, units = Fraction(str(row["pieces"])) * row["content"].good, Fraction(str(row[f"{element}_units"]))
    return Lot(good, units, row[element] or NOTHING)


def units_tab(
    reckoned: Units, part_made: Place, tables: Mapping[str, Table], settings: Settings
) -> tuple[Tab, list[Table]]:
    """The tab, and its tables of the costs and of where they go, if there is anything to spread.

    ``part_made`` is where part-made goods stand; ``tables`` has costs put in and seconds.
    """
    grid = Grid("equivalent units")
    how = (
        "Every unit bears the same: (opening + put in - what normal seconds fetch) / all units."
        if reckoned.average
        else "What was part-made keeps its cost and is finished first; the units worked since bear what is put in."
    )
    grid.head(
        "Equivalent units: how cost is spread over part-made, lost and finished pieces",
        f"One row is the materials or the conversion (paid work, firing, overhead) of a line. {how} Below, one row is "
        "where a part of it goes. Running totals are rounded and the finished pieces bear the rest, so that all "
        f"adds up. {method(settings)}",
    )
    money = f" {settings.currency}".rstrip()
    lines = reckoned.lines
    spread_rows = sum(len(line.closing) + len(line.lost) + 1 for line in lines)
    kept_rows = sum(len(parts) for line in lines for parts in line.spread.working.kept)
    heads = (_cost_heads(money), _goes_heads(money), _kept_heads(money))
    firsts = [grid.next_row + 2]
    firsts.append(firsts[0] + max(len(lines), 1) + 3)
    firsts.append(firsts[1] + max(spread_rows, 1) + 3)
    places = [
        Place(grid.name, {column.name: letter(at) for at, column in enumerate(head)}, first, first + max(rows, 1) - 1)
        for head, first, rows in zip(heads, firsts, (len(lines), spread_rows, kept_rows), strict=True)
    ]
    frames = (
        _costs(reckoned, part_made, places[1], tables, settings),
        _goes(reckoned, part_made, places, settings),
        _kept(reckoned, part_made),
    )
    drawn: list[Table] = []
    for at, (head, frame) in enumerate(zip(heads, frames, strict=True)):
        if at > 1 and not frame.height:
            break
        if at:
            grid.add()
        drawn.append(add_table(grid, head, frame, settings))
    # Not to be sorted or filtered: running totals go from row to row.
    return grid.tab(), drawn


def _cost_heads(money: str) -> list[Head]:
    whole = "{put_in}-{seconds}+{opening}"
    return [
        Head("number", "no.", "plain", "The number by which the rows below find it."),
        Head("goods", "goods no.", "plain", "The number of the line on the tab of finished goods."),
        Head("order", "order", "text", "The order."),
        Head("form", "form", "text", "The form."),
        Head("glaze", "glaze", "text", "The glaze."),
        Head("element", "element", "text", "Materials, or conversion: paid work, firing and overhead."),
        Head("put_in", f"put in{money}", "amount", "What is put in while the books last.", BY_ROW, "SUM"),
        Head("seconds", f"less seconds{money}", "amount", "What its normal seconds fetch.", BY_ROW, "SUM"),
        Head("opening", f"opening{money}", "amount", "What was in it when the books opened.", BY_ROW, "SUM"),
        Head("whole", f"to account for{money}", "amount", "All that goes into the pieces.", whole, "SUM"),
        Head("spread", f"borne by units{money}", "amount", "What the units bear alike.", BY_ROW, "SUM"),
        Head("units", "units", "quantity", "The units that bear it.", BY_ROW),
        Head("rate", f"a unit{money}", "price", "What one bears.", "IF({units}>0,{spread}/{units},0)"),
    ]


def _goes_heads(money: str) -> list[Head]:
    return [
        Head("number", "no.", "plain", "The number by which the rows below find it."),
        Head("unit", "cost no.", "plain", "The line and element above whose cost it bears."),
        Head("part", "part-made no.", "plain", "The row on the tab of part-made goods; none of finished ones."),
        Head("what", "what", "text", "Where it goes: into closing or finished goods, or lost."),
        Head("stage", "stage", "text", "The last stage that they have had."),
        Head("element", "element", "text", "Materials, or conversion."),
        Head("units", "units", "quantity", "The finished pieces that they stand for.", BY_ROW),
        Head("had", "of these before", "quantity", "The units that were in them at the opening.", BY_ROW),
        Head("had_value", f"value of these{money}", "price", "What these were worth.", BY_ROW),
        Head("since", "units since", "quantity", "The units worked while the books last.", BY_ROW),
        Head("good", "good pieces", "quantity", "The good pieces expected; they bear it if no unit is worked since."),
        Head("weight", "units that bear", "quantity", "The units by which it bears cost.", BY_ROW),
        Head("upto", f"running total{money}", "price", "Of closing and lost goods, not rounded.", BY_ROW),
        Head("value", f"value{money}", "amount", "What it bears.", BY_ROW, "SUM"),
    ]  # fmt: skip


def _kept_heads(money: str) -> list[Head]:
    return [
        Head("taker", "no. above", "plain", "The row above that keeps a part of what was part-made."),
        Head("part", "part-made no.", "plain", "The opening row on the tab of part-made goods that it is a part of."),
        Head("share", "part of it", "quantity", "How much of it, by good pieces: the nearest to finished first."),
        Head("units", "units", "quantity", "The units in that.", BY_ROW),
        Head("value", f"value{money}", "price", "What that is worth.", BY_ROW),
    ]


def _costs(
    reckoned: Units, part_made: Place, goes: Place, tables: Mapping[str, Table], settings: Settings
) -> pl.DataFrame:
    put_in, seconds = tables["costs put in"].place, tables["seconds"].place
    cost, goods, what = (put_in.cells(name) for name in ("cost", "goods", "what"))
    fetched = f'SUMIFS({seconds.cells("value")},{seconds.cells("goods")},{{goods}},{seconds.cells("kind")},"{NORMAL}")'
    rows = []
    for number, line in enumerate(reckoned.lines, 1):
        spent = "+".join(f'SUMIFS({cost},{goods},{{goods}},{what},"{kind}")' for kind in KINDS[line.element])
        rest = fetched if line.element == ELEMENTS[0] else f"{fetched}-{{seconds_above}}"
        opening = sum((row[line.element] or NOTHING for row in line.opening), NOTHING)
        whole = line.put_in - line.seconds + opening
        weights = sum(line.spread.working.weights)
        rows.append(
            (
                *(number, line.goods, *line.names, line.element, line.put_in, line.seconds, opening, whole),
                whole if reckoned.average else line.put_in - line.seconds,
                *(float(weights), float(line.spread.working.rate)),
                *(spent, f"MIN({{put_in}},{rest})"),
                f"SUMIFS({part_made.cells(line.element)},{part_made.cells('goods')},{{goods}},"
                f'{part_made.cells("at")},"{OPENING}")',
                "{whole}" if reckoned.average else "{put_in}-{seconds}",
                f"SUMIFS({goes.cells('weight')},{goes.cells('unit')},{{number}})",
            )
        )
    names = ("put_in", "seconds", "opening", "spread", "units")
    money = dict.fromkeys(("put_in", "seconds", "opening", "whole", "spread"), pl.Decimal(38, MONEY_DIGITS))
    schema: dict[str, Any] = {"number": pl.Int64, "goods": pl.Int64,
              "order": pl.String, "form": pl.String, "glaze": pl.String,
              "element": pl.String, **money, "units": pl.Float64, "rate": pl.Float64,
              **{formula_of(name): pl.String for name in names}}  # fmt: skip
    return pl.DataFrame(rows, schema=schema, orient="row")


def _goes(reckoned: Units, part_made: Place, places: list[Place], settings: Settings) -> pl.DataFrame:
    costs, own, kept = places
    digits = settings.minor_digits
    rows: list[tuple[object, ...]] = []
    for unit, line in enumerate(reckoned.lines, 1):
        working, count = line.spread.working, len(line.closing)
        stand = [*line.closing, *line.lost]
        values = [*line.spread.closing, *line.spread.lost]
        upto = Fraction(0)
        cost = {name: costs.look_up(name, "number", "{unit}") for name in ("rate", "whole")}
        worked = f"SUMIFS({own.cells('since')},{own.cells('unit')},{{unit}})"
        weight = f"IF(ROUND({worked},{NOISE})>0,{{since}},{{good}})"
        for at, (row, value) in enumerate(zip(stand, values, strict=True)):
            is_lost = at >= count
            had = (Fraction(0), Fraction(0)) if is_lost else working.before[at + 1]
            upto += working.exact[at]
            before = "" if at == 0 else "{upto_above}+"
            rows.append(
                (
                    *(len(rows) + 1, unit, row["number"], LOST if is_lost else CLOSING, row["stage"], line.element),
                    *(row[f"{line.element}_units"], *map(float, had)),
                    float(round(working.since[at + 1], NOISE)),
                    0.0 if is_lost else float(_lot(row, line.element).good),
                    *(float(working.weights[at + 1]), float(upto), value),
                    part_made.look_up(f"{line.element}_units", "number", "{part}"),
                    *(("0", "0", "{units}") if is_lost else _before(kept, reckoned.average)),
                    weight,
                    f"{before}{{had_value}}+{{weight}}*{cost['rate']}",
                    _step("{upto}", digits) + ("" if at == 0 else f"-{_step('{upto_above}', digits)}"),
                )
            )
        given = f"-{_step('{upto_above}', digits)}" if stand else ""
        rows.append(
            (
                *(len(rows) + 1, unit, None, FINISHED, None, line.element, line.made, *map(float, working.before[0])),
                *(float(round(working.since[0], NOISE)), 0.0, float(working.weights[0]), None, line.spread.made),
                "",
                *_before(kept, reckoned.average),
                *(weight, "", f"ROUND({cost['whole']}{given},{MONEY_DIGITS})"),
            )
        )
    names = ("units", "had", "had_value", "since", "weight", "upto", "value")
    schema: dict[str, Any] = {"number": pl.Int64, "unit": pl.Int64, "part": pl.Int64,
              "what": pl.String, "stage": pl.String,
              "element": pl.String,
              **dict.fromkeys(("units", "had", "had_value", "since", "good", "weight", "upto"), pl.Float64),
              "value": pl.Decimal(38, MONEY_DIGITS), **{formula_of(name): pl.String for name in names}}  # fmt: skip
    return pl.DataFrame(rows, schema=schema, orient="row")


def _before(kept: Place, average: bool) -> tuple[str, str, str]:
    """The formulas of the units at the opening, of their value, and of the units since."""
    if average:
        return "0", "0", "{units}"
    of_it = f"{kept.cells('taker')},{{number}}"
    units, value = (f"SUMIFS({kept.cells(name)},{of_it})" for name in ("units", "value"))
    return units, value, f"MAX(ROUND({{units}}-{{had}},{NOISE}),0)"


def _step(total: str, digits: int) -> str:
    """A running total, rounded to the coin."""
    return f"ROUND(ROUND({total},{NOISE}),{digits})"


def _kept(reckoned: Units, part_made: Place) -> pl.DataFrame:
    rows = []
    number = 0
    for line in reckoned.lines:
        stand = len(line.closing) + len(line.lost)
        for at, parts in enumerate(line.spread.working.kept):
            taker = number + (stand + 1 if at == 0 else at)
            for place, share in parts:
                row = line.opening[place]
                units, value = (
                    f"{{share}}*N({part_made.look_up(name, 'number', '{part}')})"
                    for name in (f"{line.element}_units", line.element)
                )
                lot = _lot(row, line.element)
                rows.append(
                    (taker, row["number"], float(share), float(share * lot.units),
                     float(share * Fraction(lot.value)), units, value)
                )  # fmt: skip
        number += stand + 1
    schema = {"taker": pl.Int64, "part": pl.Int64, **dict.fromkeys(("share", "units", "value"), pl.Float64),
              formula_of("units"): pl.String, formula_of("value"): pl.String}  # fmt: skip
    return pl.DataFrame(rows, schema=schema, orient="row")
