"""The tabs of the clay: what to buy, and what to wedge on which day."""

from __future__ import annotations

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import Table, changed, exact, heads, table_tab
from pipeline.writing.shown import FORMULA_PLACES
from schemas.settings import Settings
from schemas.sheets_out.clay_to_buy import ClayToBuy
from schemas.sheets_out.clay_to_wedge import ClayToWedge


def clay_to_buy_tab(clay_to_buy: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What to buy; a changed need, stock, bag or price moves bags and cost."""
    grid = Grid("clay to buy")
    places = FORMULA_PLACES[settings.units]
    grid.head(
        "Clay to buy",
        "One row is a clay. Short = needed + reserve to keep - on hand - reclaim, never below 0; bags are whole bags. "
        "Left = on hand + reclaim + bought - needed.",
    )
    head = heads(
        ClayToBuy,
        settings,
        formulas={
            "short_kg": f"ROUND(MAX(0,{{needed_kg}}+{{keep_kg}}-{{on_hand_kg}}-{{reclaim_kg}}),{places})",
            # Rounded before it is rounded up: 37.5 kg in bags of 12.5 kg are 3 bags, whatever binary makes of them.
            "bags_to_buy": "ROUNDUP(ROUND({short_kg}/{bag_kg},9),0)",
            "bought_kg": f"ROUND({{bags_to_buy}}*{{bag_kg}},{places})",
            "left_kg": f"ROUND({{on_hand_kg}}+{{reclaim_kg}}+{{bought_kg}}-{{needed_kg}},{places})",
            "cost": f"ROUND({{bags_to_buy}}*{{bag_price}},{settings.minor_digits})",
        },
        totals=("needed_kg", "on_hand_kg", "short_kg", "bags_to_buy", "bought_kg", "left_kg", "cost"),
    )
    return table_tab(grid, head, exact(ClayToBuy, clay_to_buy, settings), settings)


def wedging_tab(clay_to_wedge: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What to weigh and wedge, by date."""
    grid = Grid("wedging")
    grid.head(
        "Clay to wedge",
        "One row is a form on the day when its balls are begun. The total is the clay of the balls, added clay "
        "(handles, lids, knobs, spouts) and spare clay.",
    )
    head = heads(ClayToWedge, settings, totals=("balls", "added_kg", "spare_kg", "total_kg", "minutes"))
    head = changed(head, "parts", widest=PARTS_WIDTH)
    return table_tab(grid, head, exact(ClayToWedge, clay_to_wedge, settings), settings, paints=[NEW_DAY])


PARTS_WIDTH = 60.0
"""Characters of a blend's parts, so that those of two clays stay on one line."""

NEW_DAY = ("{date}<>{date_above}", "new day")
"""A line above the first row of each date."""
