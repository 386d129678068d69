"""The tabs of the money: what each line costs and earns, and the materials behind it."""

from __future__ import annotations

import polars as pl

from pipeline.alike import once_each
from pipeline.taken_at import EACH_PIECE
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.lots import Lots
from pipeline.writing.book.prices import Prices, exact_formula
from pipeline.writing.book.shares import Shares, unrounded_share
from pipeline.writing.book.tables import (
    BY_ROW,
    LINE,
    Head,
    Table,
    changed,
    exact,
    formula_of,
    heads,
    table_tab,
    with_line,
)
from pipeline.writing.shown import FORMULA_PLACES
from schemas.settings import SOLD, Settings
from schemas.sheets_out.job_costs import JobCosts
from schemas.sheets_out.materials_cost import MaterialsCost

WHOSE = 5
"""Columns that say which line it is: the line, the order, the customer, the form, the glaze. Twenty columns on one page
would be too small to read, so the costs print on two, with these on each."""

OVERHEAD_RATE = "overhead_rate"
"""The workbook's name for the cell that holds the overhead that an hour of work bears."""

WANTED_RATE = "wanted_hourly_rate"
"""The workbook's name for the cell that holds what an hour of own time should earn."""

ENERGY_PRICE = "energy_price"
"""The workbook's name for the cell that holds the price of a kilowatt-hour."""

LOT_NUMBER = Head("lot_number", "lot no.", "plain", "The number on the tab of lots; blank of what is in none.")
OF_LOTS = Head("of_lots", "of lots", "amount", "The cost, if it is of a lot.", 'IF({lot_number}="",0,{cost})', "SUM")
STAGE_NUMBER = Head("stage_number", "piece costs no.", "plain", "The form and stage on the tab of what a piece costs.")


def materials_tab(
    materials_cost: pl.DataFrame,
    orders: pl.DataFrame,
    lots: Lots,
    shares: Shares,
    prices: Prices,
    stage_numbers: pl.Series,
    settings: Settings,
) -> tuple[Tab, Table, pl.DataFrame]:
    """Every material of every line; a changed price moves the line's cost on the costs tab. The frame is what the table
    holds.

    ``stage_numbers`` has the number of each row's form and stage on the tab of what a piece costs.
    """
    digits = settings.minor_digits
    grid = Grid("materials")
    grid.head(
        "Materials",
        "One row is a lot of a material that a line takes. Its cost is its share, by weight, of what is taken of the "
        "lot, so that the rows of a lot add up to it; rounding = cost - quantity x unit cost.",
    )
    numbers = lots.numbers()
    amounts = lots.amounts(numbers)
    at = shares.add(amounts)
    total = {each.number: each.value for each in amounts}
    head = heads(
        MaterialsCost,
        settings,
        formulas={
            "unit_cost": BY_ROW,
            "cost": BY_ROW,
            "rounding": f"{{cost}}-ROUND({{quantity}}*{{unit_cost}},{digits})",
        },
        totals=("rounding", "cost"),
    )
    if settings.units == "us":
        # What was round by the kilogram is not by the pound: all its places would only be noise.
        head = changed(changed(head, "quantity", kind="kg"), "unit_cost", kind="rate")
    else:
        head = changed(head, "quantity", kind="quantity")
    frame = with_line(exact(MaterialsCost, materials_cost, settings).with_columns(numbers), orders)
    places = FORMULA_PLACES[settings.units]
    spread_of = dict(frame.group_by("lot_number").agg(pl.col("quantity").sum().round(places)).iter_rows())
    alone = f"ROUND({{quantity}}*{{unit_cost}},{digits})"
    of_lot = {
        number: (lots.unit_cost(number), shares.rounded(row, "{unrounded}"), shares.unrounded(row, "{quantity}"))
        for number, row in at.items()
    }
    names = [formula_of(name) for name in ("unit_cost", "cost", "unrounded")]

    def shared(form: str, material: str, quantity: float, number: int | None) -> dict[str, str | float | None]:
        if number is None:
            each = f"N({prices.price('other_cost', form)})" if material == EACH_PIECE else ""
            return dict(zip(names, (each, alone, ""), strict=True))
        share = unrounded_share(total[number], quantity, spread_of[number], digits)
        return {"unrounded": share, **dict(zip(names, of_lot[number], strict=True))}

    kinds = pl.Struct({"unrounded": pl.Float64, **dict.fromkeys(names, pl.String)})
    frame = frame.with_columns(
        stage_numbers,
        *once_each(frame.select("form", "material", "quantity", "lot_number"), shared, kinds).struct.unnest(),
        of_lots=pl.when(pl.col("lot_number").is_null()).then(pl.lit(0, pl.Decimal(38, 6))).otherwise("cost"),
    )
    tab, table = table_tab(
        grid, [LINE, *head, LOT_NUMBER, unrounded_head(settings), OF_LOTS, STAGE_NUMBER], frame, settings, frozen=2
    )
    return tab, table, frame


def unrounded_head(settings: Settings, what: str = "") -> Head:
    """The column of shares before they are rounded; ``what`` is shared."""
    words = f"{what} unrounded {settings.currency}".strip()
    name = f"{what}_unrounded" if what else "unrounded"
    note = "The row's share of the amount on the tab of shares, before it is rounded."
    return Head(name, words, "price", note, BY_ROW)


def costs_tab(
    job_costs: pl.DataFrame,
    orders: pl.DataFrame,
    asked: Table,
    materials: Table,
    hours: Table,
    labour: Table,
    firings: Table,
    prices: Prices,
    settings: Settings,
) -> tuple[Tab, Table]:
    """What each line costs and earns, read from the tabs of the orders, the materials, the labour and the firings."""
    digits = settings.minor_digits
    grid = Grid("costs")
    grid.head_beside(
        "Costs and earnings",
        "One row is an order line.",
        WHOSE,
        "Book cost = materials + firing + paid labour - what the seconds fetch: for the books. Full cost = book cost + "
        "the owner's own unpaid time + overhead: for pricing; the owner's own time is no cost in the books. Overhead = "
        "hours x the rate on the overhead tab. Margin = sales - full cost. Prices and costs are taken as the sheets "
        "have them, without tax. A blank is not known. Pieces in the studio already bring only what is still to "
        "come, so figures each, and margins, are blank where there are any.",
    )
    price = asked.place.look_up("net_price", "line", "{line}")
    typed = asked.place.look_up("unit_price", "line", "{line}")
    worked = _sum_of(hours, "hours")
    each = exact_formula(typed, SOLD, settings) if settings.holds_tax(SOLD) else "{unit_price}"
    overhead = f"ROUND(ROUND({worked},4)*{OVERHEAD_RATE},{digits})"
    fetched = f"ROUND({{seconds}}*{{second_price}},{digits})"
    spent = "SUM({materials},{firing},{paid_labour})-SUM({seconds_value})"
    head = heads(
        JobCosts,
        settings,
        formulas={
            "quantity": _sum_of(asked, "quantity"),
            "materials": _sum_of(materials, "cost"),
            "firing": known_sum_of(firings, "cost", ("line", "{line}")),
            "paid_labour": known_sum_of(labour, "paid_labour", ("line", "{line}")),
            "own_labour": known_sum_of(labour, "own_labour", ("line", "{line}")),
            "overhead": f'IF({OVERHEAD_RATE}="",IF({worked}=0,0,""),{overhead})',
            "second_price": BY_ROW,
            "seconds_value": f'IF({{second_price}}="",IF({{seconds}}=0,0,""),{fetched})',
            "book_cost": f'IF(AND({spent}=0,COUNT({{materials}},{{firing}},{{paid_labour}})<3),"",{spent})',
            "full_cost": known("{book_cost}", "{own_labour}", "{overhead}"),
            "book_cost_each": _each("book_cost", digits),
            "full_cost_each": _each("full_cost", digits),
            "unit_price": f'IF({price}="","",{price})',
            "sales": f'IF({{unit_price}}="","",ROUND({{quantity}}*{each},{digits}))',
            "margin": 'IF(OR({already_begun}>0,{sales}="",{full_cost}=""),"",{sales}-{full_cost})',
            "margin_pct": 'IF({margin}="","",IF({sales}=0,"",ROUND(100*{margin}/{sales},2)))',
        },
        totals=(
            "quantity", "pieces_to_start", "already_begun", "materials", "firing", "paid_labour", "own_labour",
            "overhead", "seconds", "seconds_value", "book_cost", "full_cost", "sales", "margin",
        ),
    )  # fmt: skip
    fetch = [prices.price("second_price", form) for form in job_costs["form"]]
    frame = with_line(exact(JobCosts, job_costs, settings), orders).with_columns(
        pl.Series(formula_of("second_price"), [f'IF({cell}="","",{cell})' for cell in fetch], dtype=pl.String)
    )
    return table_tab(grid, [LINE, *head], frame, settings, frozen=2, on_each_page=WHOSE)


def _each(cost: str, digits: int) -> str:
    """A cost of one piece; blank where pieces stand in the studio already, or nothing is known of the cost."""
    return f'IF(OR({{already_begun}}>0,{{{cost}}}=""),"",ROUND({{{cost}}}/{{quantity}},{digits}))'


def _sum_of(table: Table, column: str) -> str:
    """A line's sum on another tab."""
    return f"SUMIFS({table.place.cells(column)},{table.place.cells('line')},{{line}})"


def known(*cells: str) -> str:
    """The sum of the cells that are known; blank where some are not and the others come to nought."""
    listed = ",".join(cells)
    return f'IF(AND(SUM({listed})=0,COUNT({listed})<{len(cells)}),"",SUM({listed}))'


def known_sum_of(table: Table, column: str, *keys: tuple[str, str]) -> str:
    """The same of the rows of another tab whose ``keys``, pairs of a column and a value, hold."""
    cells = table.place.cells(column)
    rows = ",".join(f"{table.place.cells(key)},{value}" for key, value in keys)
    total = f"SUMIFS({cells},{rows})"
    return f'IF(AND({total}=0,COUNTIFS({rows},{cells},">=0")<COUNTIFS({rows})),"",{total})'
