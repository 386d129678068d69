"""The tabs of the clay: what to buy, in which packs, and what to wedge on which day."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid, Place
from pipeline.writing.book.tables import Head, Table, changed, exact, heads, placed, table_tab
from pipeline.writing.shown import FORMULA_PLACES
from schemas.settings import Settings
from schemas.sheets_out.clay_to_buy import ClayToBuy
from schemas.sheets_out.clay_to_wedge import ClayToWedge
from schemas.sheets_out.packs_to_buy import PacksToBuy
from schemas.units import US_FOR

NUMBER = Head("number", "no.", "plain", "The clay's number, by which the tabs of clay to buy and of packs find it.")
"""Formulas look clays up by it: looked up by its name, a clay with a ``*`` in it would find another."""

BOUGHT = 3
"""Columns that say what is bought: the number, the clay, the supplier. The packs print on two pages,
with these on each."""

ON_PACKS = frozenset({"bag_kg", "bag_price"})
"""What stands on the tab of the packs, where a changed pack or price moves the cost."""


def clay_tabs(
    clay_to_buy: pl.DataFrame, packs_to_buy: pl.DataFrame, settings: Settings
) -> tuple[Tab, Table, Tab, Table]:
    """The tab of the clays and its table, the tab of the packs and its table.

    Each reads from the other: packs cover what is short of a clay, and what is bought of it is all its packs. Where a
    table stands does not hang on its formulas, so both are placed without, and then made with them.
    """
    numbers = clay_to_buy.select("clay").with_row_index("number", offset=1).cast({"number": pl.Int64})
    clays = numbers.join(exact(ClayToBuy, clay_to_buy, settings), on="clay", validate="1:1", maintain_order="left")
    packs = numbers.join(exact(PacksToBuy, packs_to_buy, settings), on="clay", validate="1:m", maintain_order="left")
    last = pl.int_range(pl.len()).over("number") == pl.len().over("number") - 1
    packs = packs.with_columns(certain_kg=pl.when(~last).then("covers_kg"))
    _, clays_at = _clay_tab(clays, settings, {})
    _, packs_at = _packs_tab(packs, settings, {})
    clay_tab, table = _clay_tab(clays, settings, _clay_formulas(packs_at.place, settings))
    packs_tab, bought = _packs_tab(packs, settings, _packs_formulas(packs_at.place, clays_at.place, settings))
    return clay_tab, table, packs_tab, bought


def _clay_tab(clays: pl.DataFrame, settings: Settings, formulas: Mapping[str, str]) -> tuple[Tab, Table]:
    """What to buy; a changed need or stock moves what is short."""
    grid = Grid("clay to buy")
    grid.head(
        "Clay to buy",
        "One row is a clay. Short = needed + reserve to keep - on hand - reclaim, never below 0. Bags, bought and cost "
        "are those of its packs on the next tab. Left = on hand + reclaim + bought - needed.",
    )
    totals = ("needed_kg", "on_hand_kg", "short_kg", "bags_to_buy", "bought_kg", "left_kg", "cost")
    head = heads(ClayToBuy, settings, formulas=formulas, totals=totals, without=ON_PACKS)
    return table_tab(grid, [NUMBER, *head], clays, settings, frozen=2)


def _clay_formulas(packs: Place, settings: Settings) -> dict[str, str]:
    places = FORMULA_PLACES[settings.units]
    return {
        "short_kg": f"ROUND(MAX(0,{{needed_kg}}+{{keep_kg}}-{{on_hand_kg}}-{{reclaim_kg}}),{places})",
        "bags_to_buy": _sum_of(packs, "packs"),
        "bought_kg": f"ROUND({_sum_of(packs, 'bought_kg')},{places})",
        "left_kg": f"ROUND({{on_hand_kg}}+{{reclaim_kg}}+{{bought_kg}}-{{needed_kg}},{places})",
        "cost": _sum_of(packs, "cost"),
    }


def _packs_tab(packs: pl.DataFrame, settings: Settings, formulas: Mapping[str, str]) -> tuple[Tab, Table]:
    """The packs; a changed need, pack or price moves packs and cost."""
    grid = Grid("packs to buy")
    grid.head_beside(
        "Packs of clay to buy",
        "One row is a clay at one price.",
        BOUGHT,
        "They are the cheapest whole packs, with carriage once a supplier. Together "
        "they cover what is short of the clay; of several rows all but the last cover what they hold for certain. If a "
        "changed need or price would make other packs the cheapest, plan again.",
    )
    unit = "kg" if settings.units == "metric" else US_FOR["kg"]
    certain = Head(
        "certain_kg",
        f"for certain {unit}",
        "kg",
        "Covered whatever is short; the last row covers all the rest.",
    )
    totals = ("covers_kg", "packs", "bought_kg", "carriage", "cost")
    head = [NUMBER, *heads(PacksToBuy, settings, formulas=formulas, totals=totals)]
    return table_tab(grid, placed(head, certain, after="lot"), packs, settings, frozen=2, on_each_page=BOUGHT)


def _packs_formulas(packs: Place, clays: Place, settings: Settings) -> dict[str, str]:
    places = FORMULA_PLACES[settings.units]
    short = clays.look_up("short_kg", "number", "{number}")
    rest = f"ROUND(MAX(0,{short}-{_sum_of(packs, 'certain_kg')}),{places})"
    return {
        "covers_kg": f'IF({{certain_kg}}="",{rest},{{certain_kg}})',
        # Rounded before it is rounded up: 37.5 kg in bags of 12.5 kg are 3 bags, whatever binary makes of them.
        "packs": "IF({covers_kg}=0,0,MAX({from_packs},ROUNDUP(ROUND({covers_kg}/{pack_kg},9),0)))",
        "bought_kg": f"ROUND({{packs}}*{{pack_kg}},{places})",
        "cost": f"ROUND({{packs}}*{{pack_price}},{settings.minor_digits})+{{carriage}}",
    }


def _sum_of(packs: Place, column: str) -> str:
    """The sum of a column over the packs of a clay."""
    return f"SUMIFS({packs.cells(column)},{packs.cells('number')},{{number}})"


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
