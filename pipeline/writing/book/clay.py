"""The tabs of the clay: what to buy, in which packs, and what to wedge on which day."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid, Place
from pipeline.writing.book.money import unrounded_head
from pipeline.writing.book.prices import Prices, exact_formula
from pipeline.writing.book.shares import Amount, Shares, unrounded_share
from pipeline.writing.book.tables import (
    BY_ROW,
    Head,
    Table,
    changed,
    exact,
    formula_of,
    heads,
    placed,
    table_tab,
)
from pipeline.writing.shown import FORMULA_PLACES
from schemas.settings import BOUGHT as PAID
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
    clay_to_buy: pl.DataFrame, packs_to_buy: pl.DataFrame, prices: Prices, shares: Shares, settings: Settings
) -> tuple[Tab, Table, Tab, Table, pl.DataFrame]:
    """The tab of the clays and its table, the tab of the packs, its table and what that holds.

    Each reads from the other: packs cover what is short of a clay, and what is bought of it is all its packs. Where a
    table stands does not hang on its formulas, so both are placed without, and then made with them.
    """
    numbers = clay_to_buy.select("clay").with_row_index("number", offset=1).cast({"number": pl.Int64})
    clays = numbers.join(exact(ClayToBuy, clay_to_buy, settings), on="clay", validate="1:1", maintain_order="left")
    packs = numbers.join(exact(PacksToBuy, packs_to_buy, settings), on="clay", validate="1:m", maintain_order="left")
    last = pl.int_range(pl.len()).over("number") == pl.len().over("number") - 1
    packs = packs.with_columns(certain_kg=pl.when(~last).then("covers_kg"))
    packs = _with_carriage(packs, packs_to_buy, prices, shares, settings)
    _, clays_at = _clay_tab(clays, settings, {})
    _, packs_at = _packs_tab(packs, settings, {})
    clay_tab, table = _clay_tab(clays, settings, _clay_formulas(packs_at.place, settings))
    packs_tab, bought = _packs_tab(packs, settings, _packs_formulas(packs_at.place, clays_at.place, settings))
    return clay_tab, table, packs_tab, bought, packs


def _with_carriage(
    packs: pl.DataFrame, packs_to_buy: pl.DataFrame, prices: Prices, shares: Shares, settings: Settings
) -> pl.DataFrame:
    """The packs with their unrounded shares of the carriage of each supplier, and the formulas of price and carriage.

    The rows of ``packs`` are those of ``packs_to_buy``, in the order of the clays, which both have.
    """
    digits = settings.minor_digits
    suppliers = [name for name in packs_to_buy["supplier"].unique(maintain_order=True) if prices.has("carriage", name)]
    number_of = {name: number for number, name in enumerate(suppliers, 1)}
    numbered = packs.with_columns(
        pl.Series("supplier_number", [number_of.get(name) for name in packs["supplier"]], dtype=pl.Int64)
    )
    of_order = numbered.group_by("supplier_number").agg(pl.col("carriage").sum(), pl.col("bought_kg").sum().round(10))
    totals = {number: (carriage, weight) for number, carriage, weight in of_order.iter_rows()}
    at = shares.add(
        [
            Amount("carriage", name, number, f"ROUND(N({prices.price('carriage', name)}),{digits})", totals[number][0])
            for name, number in number_of.items()
        ]
    )
    values: list[float | None] = []
    formulas: list[tuple[str, str, str, str]] = []
    for place, (clay, number, weight) in enumerate(numbered.select("clay", "supplier_number", "bought_kg").iter_rows()):
        key = ("pack", place) if prices.has("pack", place) else ("newest", clay)
        price = prices.price(*key)
        each = exact_formula(prices.typed(*key), PAID, settings)
        cost = f"ROUND({{packs}}*{each},{digits})+{{carriage}}"
        if number is None:
            values.append(None)
            formulas.append((price, cost, "", ""))
        else:
            row = at[number]
            values.append(unrounded_share(totals[number][0], weight, totals[number][1], digits))
            formulas.append(
                (price, cost, shares.rounded(row, "{carriage_unrounded}"), shares.unrounded(row, "{bought_kg}"))
            )
    names = ("pack_price", "cost", "carriage", "carriage_unrounded")
    made = pl.DataFrame(formulas, schema={formula_of(name): pl.String for name in names}, orient="row")
    return pl.concat([numbered, made], how="horizontal").with_columns(
        pl.Series("carriage_unrounded", values, dtype=pl.Float64)
    )


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


def _packs_tab(packs: pl.DataFrame, settings: Settings, formulas: dict[str, str]) -> tuple[Tab, Table]:
    """The packs; a changed need, pack or price moves packs and cost."""
    grid = Grid("packs to buy")
    grid.head_beside(
        "Packs of clay to buy",
        "One row is a clay at one price.",
        BOUGHT,
        "They are the cheapest whole packs, with carriage once a supplier. Together "
        "they cover what is short of the clay; of several rows all but the last cover what they hold for certain. If a "
        "changed need or price would make other packs the cheapest, plan again; advice and savings are of the prices "
        "as planned.",
    )
    unit = "kg" if settings.units == "metric" else US_FOR["kg"]
    certain = Head(
        "certain_kg",
        f"for certain {unit}",
        "kg",
        "Covered whatever is short; the last row covers all the rest.",
    )
    totals = ("covers_kg", "packs", "bought_kg", "carriage", "cost")
    own = dict.fromkeys(("pack_price", "carriage", "cost"), BY_ROW)
    head = [NUMBER, *heads(PacksToBuy, settings, formulas=formulas | own, totals=totals)]
    head += [Head("supplier_number", "supplier no.", "plain", "The supplier's number on the tab of shares.")]
    head += [unrounded_head(settings, "carriage")]
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
