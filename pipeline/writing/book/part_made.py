"""The tab of part-made goods: each value a formula on what was carried over, put in, and spread over units."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from decimal import Decimal

import polars as pl

from pipeline.books.content import Contents
from pipeline.books.method import method
from pipeline.job import Job
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.content import ELEMENTS
from pipeline.writing.book.goods import GOODS, goods_numbers
from pipeline.writing.book.grid import Grid, Place, letter
from pipeline.writing.book.lots import NOISE
from pipeline.writing.book.opening import alike_numbers, sum_alike
from pipeline.writing.book.shares import Amount, Shares, Spread, unrounded_share
from pipeline.writing.book.tables import BY_ROW, Head, Table, exact, formula_of, heads, table_tab
from pipeline.writing.book.units import Units, units_tab
from schemas.accounts import PART_MADE
from schemas.sheets_out.part_made import CLOSING, OPENING, PartMade

NUMBER = Head("number", "no.", "plain", "The number by which the rows of other tabs find the row.")
STAGE = Head("stage_number", "piece costs no.", "plain", "The form and stage on the tab of what a piece costs.")
SHARED = Head("shared", "shares no.", "plain", "The number of what was carried over of it, on the tab of shares.")

WHICH = 7
"""Columns that say which goods they are, on each page."""

UNITS_PLACES = 6
"""Decimal places of equivalent units."""


def part_made_tabs(
    job: Job,
    results: Mapping[str, pl.DataFrame],
    inside: Contents,
    tables: Mapping[str, Table],
    shares: Shares,
) -> tuple[Tab, Table, Tab, list[Table], list[Spread]]:
    """Part-made goods at both ends of the books and the abnormal loss; the tab on which their cost is spread, with its
    tables; and where what was carried over is shared. ``tables`` has piece costs, opening balances, costs put in and
    seconds.
    """
    settings, part_made = job.settings, results["part_made"]
    grid = Grid("part-made")
    grid.head_beside(
        "Part-made goods and abnormal loss",
        "One row is the pieces of a line that have had the same last stage.",
        WHICH,
        "Units are the finished pieces that they stand for: pieces x what they have of a finished one, on the tab of "
        "piece costs. What is in them at the close or was lost is worked out on the tab of equivalent units; at the "
        "opening they are worth what was carried over of the form at that stage, or else what the plan's own pieces "
        f"cost so far. {method(settings)}",
    )
    each = {f"{name}_{what}": BY_ROW for name in ELEMENTS for what in ("pct", "units")}
    value = 'IF(COUNT({materials},{conversion})=0,"",{materials}+{conversion})'
    head = heads(PartMade, settings, formulas=each | dict.fromkeys(ELEMENTS, BY_ROW) | {"value": value})
    money = f" {settings.currency}".rstrip()
    note = "The row's share of what was carried over, before it is rounded."
    unrounded = [Head(f"{name}_unrounded", f"{name} unrounded{money}", "price", note, BY_ROW) for name in ELEMENTS]
    head = [NUMBER, *head, GOODS, STAGE, SHARED, *unrounded]
    first = grid.next_row + 2
    letters = {column.name: letter(at) for at, column in enumerate(head)}
    place = Place(grid.name, letters, first, first + max(part_made.height, 1) - 1)

    stages = {key: at for at, key in enumerate(results["piece_costs"].select("form", "stage").iter_rows(), 1)}
    frame = exact(PartMade, part_made, settings).with_columns(
        goods_numbers(results["finished_goods"], part_made),
        pl.Series(
            "stage_number", [stages.get(key) for key in part_made.select("form", "stage").rows()], dtype=pl.Int64
        ),
        number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64),
    )
    reckoned = Units(frame, results, inside, settings)
    unit_tab, drawn = units_tab(reckoned, place, tables, settings)
    frame, kinds = _opening(frame, job, inside, tables, shares)
    frame = _formulas(frame, tables["piece costs"].place, place, drawn[1].place, reckoned)
    tab, table = table_tab(grid, head, frame, settings, frozen=2, on_each_page=WHICH)
    spreads = [Spread(table, frame, "shared", "pieces", f"{name}_unrounded") for name in kinds]
    return tab, table, unit_tab, drawn, spreads


def _opening(
    frame: pl.DataFrame, job: Job, inside: Contents, tables: Mapping[str, Table], shares: Shares
) -> tuple[pl.DataFrame, list[str]]:
    """The rows with their shares of what their form and stage is worth at the opening, and the formulas of these."""
    settings = job.settings
    there: dict[tuple[str, str], list[int]] = defaultdict(list)
    for at, form, stage in (
        frame.with_row_index("row").filter(pl.col("at") == OPENING).select("row", "form", "stage").rows()
    ):
        there[form, stage].append(at)
    carried, groups = _carried(job.opening_balances), alike_numbers(job.opening_balances)
    number: list[int | None] = [None] * frame.height
    amounts: dict[str, list[Amount]] = {name: [] for name in ELEMENTS}
    for count, ((form, stage), rows) in enumerate(there.items(), 1):
        numbers, content = carried.get((form, stage)), inside.get((form, stage))
        if numbers is None and (content is None or not content.known):
            continue
        for name in ELEMENTS:
            whole = sum(frame[name].gather(rows).drop_nulls(), Decimal(0))
            formula = _worth(name, numbers, groups, frame["stage_number"][rows[0]], tables)
            amounts[name].append(
                Amount(f"part-made at the opening, {name}", f"{form}, {stage}", count,
                       f"ROUND(ROUND({{weight}}*{formula},{NOISE}),{settings.minor_digits})", whole)
            )  # fmt: skip
        for at in rows:
            number[at] = count
    added = [pl.Series("shared", number, dtype=pl.Int64)]
    pieces = frame["pieces"].to_list()
    spread: dict[int, float] = defaultdict(float)
    for count_of, some in zip(number, pieces, strict=True):
        if count_of is not None:
            spread[count_of] += some
    for name in ELEMENTS:
        totals = {each.number: each.value for each in amounts[name]}
        at = shares.add(amounts[name])
        values = [
            None if no is None else unrounded_share(totals[no], some, spread[no], settings.minor_digits)
            for no, some in zip(number, pieces, strict=True)
        ]
        unrounded = f"{name}_unrounded"
        added += [
            pl.Series(unrounded, values, dtype=pl.Float64),
            pl.Series(
                formula_of(unrounded),
                ["" if no is None else shares.unrounded(at[no], "{pieces}") for no in number],
                dtype=pl.String,
            ),
            pl.Series(
                formula_of(name),
                ["" if no is None else shares.rounded(at[no], f"{{{unrounded}}}") for no in number],
                dtype=pl.String,
            ),
        ]
    return frame.with_columns(added), list(ELEMENTS)


def _carried(opening_balances: pl.DataFrame) -> dict[tuple[str, str], list[int]]:
    """By form and stage the rows of what was carried over, numbered as on their tab, if their value is known."""
    found: dict[tuple[str, str], list[int]] = defaultdict(list)
    names = ("what", "item", "stage", "quantity", "value")
    for at, (what, item, stage, quantity, value) in enumerate(opening_balances.select(names).iter_rows(), 1):
        if what == PART_MADE and item is not None and quantity > 0 and value is not None:
            found[item, stage].append(at)
    return dict(found)


def _worth(name: str, numbers: list[int] | None, groups: Sequence[int], stage: int, tables: Mapping[str, Table]) -> str:
    """The formula of what a piece at the opening has in it: what it was carried over at, or what the plan's cost."""
    if numbers is None:
        return tables["piece costs"].place.look_up(f"{name}_upto", "number", str(stage))
    opening = tables["opening balances"]
    materials, value, pieces = (
        sum_alike(opening, each, groups, numbers) for each in ("materials", "value", "quantity")
    )
    return f"({materials})/({pieces})" if name == "materials" else f"({value}-({materials}))/({pieces})"


def _formulas(frame: pl.DataFrame, costs: Place, own: Place, units: Place, reckoned: Units) -> pl.DataFrame:
    """The rows with the formulas that differ from row to row."""
    found: dict[str, list[str]] = {
        name: [] for element in ELEMENTS for name in (f"{element}_pct", f"{element}_units", element)
    }
    opened = {
        (order, form, glaze, stage): number
        for at, order, form, glaze, stage, number in frame.select(
            "at", "order", "form", "glaze", "stage", "number"
        ).rows()
        if at == OPENING
    }
    known = {name: frame[formula_of(name)].to_list() for name in ELEMENTS}
    for row in frame.iter_rows(named=True):
        for name in ELEMENTS:
            known_stage = row["stage_number"] is not None
            found[f"{name}_pct"].append(costs.look_up(f"{name}_pct", "number", "{stage_number}") if known_stage else "")
            found[f"{name}_units"].append(f"ROUND({{pieces}}*{{{name}_pct}}/100,{UNITS_PLACES})")
            formula = known[name][row["number"] - 1]
            if row["number"] in reckoned.numbers:
                formula = (
                    f'SUMIFS({units.cells("value")},{units.cells("part")},{{number}},{units.cells("element")},"{name}")'
                )
            elif row["at"] == CLOSING and row["order"] is None:
                # Pieces that no order needs stay as they were.
                before = own.look_up(name, "number", str(opened[None, row["form"], row["glaze"], row["stage"]]))
                formula = f'IF({before}="","",{before})'
            found[name].append(formula)
    return frame.with_columns(pl.Series(formula_of(name), cells, dtype=pl.String) for name, cells in found.items())
