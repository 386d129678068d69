"""The tabs of the money: what each line costs and earns, and the materials behind it."""

from __future__ import annotations

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import LINE, Table, exact, heads, table_tab, with_line
from schemas.settings import Settings
from schemas.sheets_out.job_costs import JobCosts
from schemas.sheets_out.materials_cost import MaterialsCost

OVERHEAD_RATE = "overhead_per_hour"
"""The workbook's name for the cell that holds the overhead on an hour of work."""


def materials_tab(materials_cost: pl.DataFrame, orders: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """Every material of every line; a changed price moves the line's cost on the costs tab."""
    grid = Grid("materials")
    grid.head(
        "Materials",
        "One row is a lot of a material that a line takes. Cost = quantity x unit cost, rounded, "
        "and the rounding that makes the rows of a lot add up to it.",
    )
    head = heads(
        MaterialsCost,
        settings,
        formulas={"cost": f"ROUND({{quantity}}*{{unit_cost}},{settings.minor_digits})+{{rounding}}"},
        totals=("rounding", "cost"),
    )
    frame = with_line(exact(MaterialsCost, materials_cost), orders)
    return table_tab(grid, [LINE, *head], frame, settings, frozen=2)


def costs_tab(
    job_costs: pl.DataFrame, orders: pl.DataFrame, asked: Table, materials: Table, hours: Table, settings: Settings
) -> tuple[Tab, Table]:
    """What each line costs and earns, read from the tabs of the orders, the materials and the stage hours."""
    digits = settings.minor_digits
    grid = Grid("costs")
    grid.head(
        "Costs and earnings",
        "One row is an order line. Book cost = materials + firing + paid labour: for the books. Full cost = book cost "
        "+ the owner's own unpaid time + overhead: for pricing; the owner's own time is no cost in the books. "
        "Overhead = hours x the rate on the summary. Margin = sales - full cost. Prices and costs are taken as the "
        "sheets have them; no tax is reckoned. Pieces in progress bring only what is still to come.",
    )
    price = asked.place.look_up("unit_price", "line", "{line}")
    head = heads(
        JobCosts,
        settings,
        formulas={
            "quantity": _sum_of(asked, "quantity"),
            "materials": _sum_of(materials, "cost"),
            "paid_labour": f"{_sum_of(hours, 'labour_cost')}-{_sum_of(hours, 'own_labour')}",
            "own_labour": _sum_of(hours, "own_labour"),
            "overhead": f"ROUND(ROUND({_sum_of(hours, 'hours')},4)*{OVERHEAD_RATE},{digits})",
            "book_cost": "{materials}+{firing}+{paid_labour}",
            "full_cost": "{book_cost}+{own_labour}+{overhead}",
            "book_cost_each": f"ROUND({{book_cost}}/{{quantity}},{digits})",
            "full_cost_each": f"ROUND({{full_cost}}/{{quantity}},{digits})",
            "unit_price": f'IF({price}="","",{price})',
            "sales": f'IF({{unit_price}}="","",ROUND({{quantity}}*{{unit_price}},{digits}))',
            "margin": 'IF({sales}="","",{sales}-{full_cost})',
            "margin_pct": 'IF({sales}="","",IF({sales}=0,"",ROUND(100*{margin}/{sales},2)))',
        },
        totals=(
            "quantity", "pieces_to_start", "materials", "firing", "paid_labour", "own_labour", "overhead",
            "book_cost", "full_cost", "sales", "margin",
        ),
    )  # fmt: skip
    return table_tab(grid, [LINE, *head], with_line(exact(JobCosts, job_costs), orders), settings, frozen=2)


def _sum_of(table: Table, column: str) -> str:
    """A line's sum on another tab."""
    return f"SUMIFS({table.place.cells(column)},{table.place.cells('line')},{{line}})"
