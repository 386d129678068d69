"""The tabs of the goods: what is put into them, what is part-made and finished, and what goods cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import polars as pl

from pipeline.books.method import method
from pipeline.books.opening import FinishedKey, Take
from pipeline.job import Job
from pipeline.lines import LINE as KEY
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.closed import Closed
from pipeline.writing.book.content import ELEMENTS
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.lots import NOISE
from pipeline.writing.book.money import known_sum_of
from pipeline.writing.book.opening import sum_of_numbers
from pipeline.writing.book.seconds import MORE, NORMAL
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
from schemas.sheets_out.finished_goods import SECONDS, FinishedGoods
from schemas.sheets_out.part_made import CLOSING, LOST, OPENING

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
    taken: Closed | None,
) -> tuple[Tab, Table, pl.DataFrame]:
    """What is put into the lines while the books last. The frame is what the table holds.

    ``tables`` has materials, labour and firing costs; ``stage_numbers`` the number of each row's form and stage on the
    tab of what a piece costs, ``accounts`` the account that it comes out of, ``taken`` the materials that are taken if
    the books close before the plan ends.
    """
    settings, frame = job.settings, results["costs_put_in"]
    grid = Grid("costs put in")
    grid.head(
        "Costs put into the pieces",
        "One row is a lot of a material, a stage's paid work, a kiln load or the overhead of an order line, from the "
        "opening of the books to their close. "
        + (
            f"The books close on {settings.books_to}, before the plan ends: materials are taken of the lots that are "
            "there by then, on the tab of lots at the close; labour and firings are those of their tabs done by then."
            if taken
            else "Costs are read from the tabs of materials, labour and firings."
        )
        + f" {method(settings)}",
    )
    head = heads(CostsPutIn, settings, formulas={"unit_cost": BY_ROW, "cost": BY_ROW}, totals=("cost",))
    account = Head("account", "out of the account", "text", "The account of the journal that it comes out of.")
    shown = with_line(exact(CostsPutIn, frame, settings), job.orders).with_columns(
        goods_numbers(results["finished_goods"], frame), accounts
    )
    extra = [account, GOODS]
    if taken:
        shown, more = taken.share(shown, settings)
        extra += more
    shown = shown.with_columns(_read_from(frame, results["firing_costs"], tables, stage_numbers, taken, settings))
    tab, table = table_tab(grid, [LINE, *head, *extra], shown, settings, frozen=2)
    return tab, table, shown


def _read_from(
    frame: pl.DataFrame,
    firing_costs: pl.DataFrame,
    tables: Mapping[str, Table],
    stage_numbers: pl.Series,
    taken: Closed | None,
    settings: Settings,
) -> list[pl.Series]:
    """The formulas of costs, each read from the tab that it comes from, in the order of which the rows stand."""
    materials = iter(range(frame.height))
    fired = iter(
        at
        for at, unloaded in enumerate(firing_costs["unload_on"])
        if taken is None or (unloaded is not None and settings.books_to is not None and unloaded <= settings.books_to)
    )
    costs, prices = [], []
    labour = tables["labour"]
    for what, stage in zip(frame["what"], stage_numbers, strict=True):
        price = ""
        if what in (MATERIALS, OTHER):
            at = next(materials)
            cost, price = (
                taken.formulas[at]
                if taken
                else (tables["materials"].cell("cost", at), tables["materials"].cell("unit_cost", at))
            )
        elif what == FIRING:
            cell = tables["firing costs"].cell("cost", next(fired))
            cost = f'IF({cell}="","",{cell})'
        elif what == PAID:
            paid = "paid_then" if taken else "paid_labour"
            cost = known_sum_of(labour, paid, ("line", "{line}"), ("stage_number", str(stage)), ("own_time", '"no"'))
        elif taken:
            cost = f'IF(overhead_rate="","",ROUND({{quantity}}*overhead_rate,{settings.minor_digits}))'
        else:
            minutes = f"SUMIFS({labour.place.cells('minutes')},{labour.place.cells('line')},{{line}})"
            cost = f'IF(overhead_rate="","",ROUND({minutes}/60*overhead_rate,{settings.minor_digits}))'
        costs.append(cost)
        prices.append(price)
    return [
        pl.Series(formula_of("cost"), costs, dtype=pl.String),
        pl.Series(formula_of("unit_cost"), prices, dtype=pl.String),
    ]


def finished_tab(
    finished_goods: pl.DataFrame,
    orders: pl.DataFrame,
    tables: Mapping[str, Table],
    takes: Sequence[Take],
    finished_stage: Mapping[str, int],
    settings: Settings,
) -> tuple[Tab, Table]:
    """Each line from what was part-made and put in to what is finished, sold and left.

    ``tables`` has costs put in, part-made, seconds, opening balances, piece costs and sales; ``takes`` are what was
    finished before, ``finished_stage`` has the number of each form's last stage on the tab of piece costs.
    """
    put_in, part_made, seconds = (tables[name] for name in ("costs put in", "part-made", "seconds"))
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

    def fetched(key: str, *kinds: str) -> str:
        value, number, kind = (seconds.place.cells(name) for name in ("value", key, "kind"))
        return "+".join(f'SUMIFS({value},{number},{{number}},{kind},"{each}")' for each in kinds)

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
            "seconds_value": fetched("goods", NORMAL, MORE),
            "abnormal_loss": f"{stood(LOST)}-{fetched('goods', MORE)}",
            "closing_part_made": stood(CLOSING),
            "made_value": BY_ROW,
            "sold": BY_ROW,
            "closing": "{opening}+{made}-{sold}",
            "opening_value": BY_ROW,
            "sold_value": 'IF({sold}=0,0,{opening_value}+{made_value})',
            "closing_value": "{opening_value}+{made_value}-{sold_value}",
        },
        totals=(
            "opening_part_made", "materials", "paid_labour", "firing", "overhead", "seconds_value", "abnormal_loss",
            "closing_part_made", "made_value", "opening", "made", "sold", "closing", "opening_value", "sold_value",
            "closing_value",
        ),
    )  # fmt: skip
    opened = _opened(takes, tables, finished_stage, settings)
    sold = (tables["sales"].place.look_up("sold", "line", str(line)) for line in range(1, orders.height + 1))
    sold_of = dict(zip(orders.select(KEY).iter_rows(), sold, strict=True))
    rows = finished_goods.select("order", "form", "glaze", "lot").rows()
    of_row = {SECONDS: fetched("stock", NORMAL, MORE)}
    frame = exact(FinishedGoods, finished_goods, settings).with_columns(
        pl.Series(
            formula_of("made_value"),
            [of_row.get(lot or "", made if order is not None else "") for order, _, _, lot in rows],
            dtype=pl.String,
        ),
        pl.Series(
            formula_of("sold"),
            [f"MIN({sold_of[line]},{{opening}}+{{made}})" if (line := row[:-1]) in sold_of else "" for row in rows],
            dtype=pl.String,
        ),
        pl.Series(formula_of("opening_value"), [opened.get(row, "") for row in rows], dtype=pl.String),
        number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64),
    )
    return table_tab(grid, [NUMBER, *head], frame, settings, frozen=2, on_each_page=WHOSE)


def _opened(
    takes: Sequence[Take], tables: Mapping[str, Table], finished_stage: Mapping[str, int], settings: Settings
) -> dict[FinishedKey, str]:
    """The formula of what each row is worth at the opening: its part of what was carried over, by pieces, or so many at
    what the plan's own cost."""
    digits, found = settings.minor_digits, dict[FinishedKey, str]()
    opening, costs = tables["opening balances"], tables["piece costs"].place
    for take in takes:
        if take.carried is None:
            if take.value is None:
                continue
            each = "+".join(
                costs.look_up(f"{name}_upto", "number", str(finished_stage[take.goods[1]])) for name in ELEMENTS
            )
            formula = f"ROUND(ROUND({float(take.last)!r}*({each}),{NOISE}),{digits})"
        else:
            value, pieces = (sum_of_numbers(opening, name, [take.carried + 1]) for name in ("value", "quantity"))
            upto, since = (
                value if at == take.whole else f"ROUND(ROUND({value}*{float(at)!r}/{pieces},{NOISE}),{digits})"
                for at in (take.last, take.first)
            )
            formula = f"{upto}-{since}" if take.first else upto
        found[take.goods] = f"{found[take.goods]}+{formula}" if take.goods in found else formula
    return found


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
