"""The tabs of the goods: what is put into them, what is part-made and finished, and what goods cost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import polars as pl

from pipeline.books.method import method
from pipeline.job import Job
from pipeline.lines import LINE as KEY
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.money import known_sum_of
from pipeline.writing.book.tables import (
    BY_ROW,
    LINE,
    LONG_WORDS,
    Head,
    Table,
    changed,
    exact,
    formula_of,
    heads,
    table_tab,
    with_line,
)
from schemas.accounts import FINISHED, PACKING, PART_MADE, RAW
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings
from schemas.sheets_out.cost_of_goods import CostOfGoods
from schemas.sheets_out.costs_put_in import FIRING, MATERIALS, OTHER, OVERHEAD, PAID, CostsPutIn
from schemas.sheets_out.finished_goods import FinishedGoods
from schemas.sheets_out.part_made import CLOSING, OPENING, PartMade

GOODS = Head("goods", "goods no.", "plain", "The number of its row on the tab of finished goods.")
NUMBER = Head("number", "no.", "plain", "The number by which the rows of other tabs find the row.")

WHOSE = 5
"""Columns that say which goods they are, on each page."""


def goods_numbers(finished_goods: pl.DataFrame, frame: pl.DataFrame) -> pl.Series:
    """The number of each row's line on the tab of finished goods."""
    rows = finished_goods.select(*KEY, "lot").iter_rows()
    at = {key: number for number, (*key_, lot) in enumerate(rows, 1) if lot is None for key in [tuple(key_)]}
    return pl.Series("goods", [at.get(key) for key in frame.select(KEY).iter_rows()], dtype=pl.Int64)


def put_in_tab(
    job: Job,
    results: Mapping[str, pl.DataFrame],
    tables: Mapping[str, Table],
    stage_numbers: pl.Series,
    accounts: pl.Series,
    *,
    cut: bool,
) -> tuple[Tab, Table]:
    """What is put into the lines while the books last.

    ``tables`` has materials, labour and firing costs; ``stage_numbers`` the number of each row's form and stage on the
    tab of what a piece costs, ``accounts`` the account that it comes out of.
    """
    settings, frame = job.settings, results["costs_put_in"]
    grid = Grid("costs put in")
    grid.head(
        "Costs put into the pieces",
        "One row is a lot of a material, a stage's paid work, a kiln load or the overhead of an order line, from the "
        "opening of the books to their close. "
        + (_closed_early(settings) if cut else "Figures are read from the tabs of materials, labour and firings.")
        + f" {method(settings)}",
    )
    head = heads(CostsPutIn, settings, formulas={} if cut else {"unit_cost": BY_ROW, "cost": BY_ROW}, totals=("cost",))
    account = Head("account", "out of the account", "text", "The account of the journal that it comes out of.")
    shown = with_line(exact(CostsPutIn, frame, settings), job.orders).with_columns(
        goods_numbers(results["finished_goods"], frame), accounts
    )
    if not cut:
        shown = shown.with_columns(_read_from(frame, tables, stage_numbers, settings))
    return table_tab(grid, [LINE, *head, account, GOODS], shown, settings, frozen=2)


def _closed_early(settings: Settings) -> str:
    return f"The books close on {settings.books_to}, before the plan ends: what is put in by then are figures."


def _read_from(
    frame: pl.DataFrame, tables: Mapping[str, Table], stage_numbers: pl.Series, settings: Settings
) -> list[pl.Series]:
    """The formulas of costs, each read from the tab that it comes from, in the order of which the rows stand."""
    at = dict.fromkeys((MATERIALS, FIRING), 0)
    costs, prices = [], []
    labour = tables["labour"]
    for what, stage in zip(frame["what"], stage_numbers, strict=True):
        price = ""
        if what in (MATERIALS, OTHER):
            row, at[MATERIALS] = at[MATERIALS], at[MATERIALS] + 1
            cost, price = (tables["materials"].cell(name, row) for name in ("cost", "unit_cost"))
        elif what == FIRING:
            cell, at[FIRING] = tables["firing costs"].cell("cost", at[FIRING]), at[FIRING] + 1
            cost = f'IF({cell}="","",{cell})'
        elif what == PAID:
            cost = known_sum_of(
                labour, "paid_labour", ("line", "{line}"), ("stage_number", str(stage)), ("own_time", '"no"')
            )
        else:
            minutes = f"SUMIFS({labour.place.cells('minutes')},{labour.place.cells('line')},{{line}})"
            cost = f'IF(overhead_rate="","",ROUND({minutes}/60*overhead_rate,{settings.minor_digits}))'
        costs.append(cost)
        prices.append(price)
    return [
        pl.Series(formula_of("cost"), costs, dtype=pl.String),
        pl.Series(formula_of("unit_cost"), prices, dtype=pl.String),
    ]


def part_made_tab(part_made: pl.DataFrame, finished_goods: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """Part-made goods at both ends of the books, and the abnormal loss."""
    grid = Grid("part-made")
    grid.head(
        "Part-made goods and abnormal loss",
        "One row is the pieces of a line that have had the same last stage. Units are the finished pieces that they "
        f"stand for. {method(settings)} What is in them was spread by the plan: if a price has changed, plan again.",
    )
    head = heads(
        PartMade,
        settings,
        formulas={"value": 'IF(COUNT({materials},{conversion})=0,"",{materials}+{conversion})'},
        totals=("pieces", "materials_units", "conversion_units", "materials", "conversion", "value"),
    )
    frame = exact(PartMade, part_made, settings).with_columns(goods_numbers(finished_goods, part_made))
    return table_tab(grid, [*head, GOODS], frame, settings, frozen=1)


def finished_tab(
    finished_goods: pl.DataFrame, put_in: Table, part_made: Table, settings: Settings
) -> tuple[Tab, Table]:
    """Each line from what was part-made and put in to what is finished, sold and left."""
    grid = Grid("finished goods")
    grid.head_beside(
        "Finished goods",
        "One row is an order line, or a form's seconds.",
        WHOSE,
        "Made = opening part-made + put in - what seconds fetch - abnormal loss - closing part-made. Closing = opening "
        f"+ made - sold. {method(settings)}",
    )

    def of(*whats: str) -> str:
        cost, goods, what = (put_in.place.cells(name) for name in ("cost", "goods", "what"))
        return "+".join(f'SUMIFS({cost},{goods},{{number}},{what},"{each}")' for each in whats)

    def stood(at: str) -> str:
        value, goods, when = (part_made.place.cells(name) for name in ("value", "goods", "at"))
        return f'SUMIFS({value},{goods},{{number}},{when},"{at}")'

    made = (
        "{opening_part_made}+{materials}+{paid_labour}+{firing}+{overhead}-{seconds_value}-{abnormal_loss}"
        "-{closing_part_made}"
    )
    head = heads(
        FinishedGoods,
        settings,
        formulas={
            "opening_part_made": stood(OPENING),
            "materials": of(MATERIALS, OTHER),
            "paid_labour": of(PAID),
            "firing": of(FIRING),
            "overhead": of(OVERHEAD),
            "closing_part_made": stood(CLOSING),
            "made_value": BY_ROW,
            "closing": "{opening}+{made}-{sold}",
            "sold_value": 'IF({sold}=0,0,{opening_value}+{made_value})',
            "closing_value": "{opening_value}+{made_value}-{sold_value}",
        },
        totals=(
            "opening_part_made", "materials", "paid_labour", "firing", "overhead", "seconds_value", "abnormal_loss",
            "closing_part_made", "made_value", "opening", "made", "sold", "closing", "opening_value", "sold_value",
            "closing_value",
        ),
    )  # fmt: skip
    numbered = exact(FinishedGoods, finished_goods, settings).with_columns(
        pl.when(pl.col("order").is_not_null() & pl.col("lot").is_null())
        .then(pl.lit(made))
        .otherwise(pl.lit(""))
        .alias(formula_of("made_value")),
        number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64),
    )
    return table_tab(grid, [NUMBER, *head], numbered, settings, frozen=2, on_each_page=WHOSE)


def cost_of_goods_tab(
    cost_of_goods: pl.DataFrame, ledger: Table, put_in: Table, finished: Table, differing: Table, settings: Settings
) -> tuple[Tab, Table]:
    """The statement, each line a formula over the other tabs; its last line is the table's total."""
    grid = Grid("cost of goods")
    grid.head(
        "Cost of goods made and sold",
        f"One row is a line of the statement; what is taken off is below nought. {method(settings)}",
    )

    def total(table: Table, column: str) -> str:
        return f"N({table.total(column)})"

    def spent(what: str) -> str:
        return f'SUMIFS({put_in.place.cells("cost")},{put_in.place.cells("what")},"{what}")'

    def differ(*whats: str) -> str:
        money, what = (differing.place.cells(name) for name in ("difference", "what"))
        return "+".join(f'SUMIFS({money},{what},"{each}")' for each in whats)

    opening, bought, used = (total(ledger, f"{name}_value") for name in ("opening", "bought", "used"))
    raw, part, shelf = differ(RAW, PACKING), differ(PART_MADE), differ(FINISHED)
    formulas = {
        "opening raw materials": f"{opening}-({raw})",
        "stock differences in raw materials": raw,
        "purchases": bought,
        "less closing raw materials": f"-({opening}+{bought}-{used})",
        "raw materials used": "SUM({amount@1}:{amount@4})",
        "other costs of pieces": spent(OTHER),
        "paid labour": spent(PAID),
        "works overhead: firing": spent(FIRING),
        "works overhead: absorbed": spent(OVERHEAD),
        "opening part-made goods": f"{total(finished, 'opening_part_made')}-({part})",
        "stock differences in part-made goods": part,
        "less closing part-made goods": f"-{total(finished, 'closing_part_made')}",
        "less abnormal loss": f"-{total(finished, 'abnormal_loss')}",
        "cost of goods made": "SUM({amount@5}:{amount@13})",
        "opening finished goods": f"{total(finished, 'opening_value')}-({shelf})",
        "stock differences in finished goods": shelf,
        "less closing finished goods": f"-{total(finished, 'closing_value')}",
        "cost of goods sold": "SUM({amount@14}:{amount@17})",
    }
    first = grid.next_row + 2
    rows = [f"ROUND({_on_rows(formulas[what], first)},{MONEY_DIGITS})" for what in cost_of_goods["what"]]
    head = heads(CostOfGoods, settings, formulas={"amount": BY_ROW})
    head = changed(head, "found_in", widest=LONG_WORDS)
    frame = exact(CostOfGoods, cost_of_goods, settings).with_columns(
        pl.Series(formula_of("amount"), rows, dtype=pl.String)
    )
    # Not to be sorted or filtered: its lines add up others.
    tab, table = table_tab(grid, head, frame, settings)
    sold = {"amount": cost_of_goods["amount"][-1]} if cost_of_goods.height else {}
    return tab, replace(table, totals=sold, total_row=table.area.last_row)


def _on_rows(formula: str, first: int) -> str:
    """A formula of lines of the statement, ``{amount@3}`` for the third, with their cells."""
    for line in range(30, 0, -1):
        formula = formula.replace(f"{{amount@{line}}}", f"$C${first + line - 1}")
    return formula
