"""A sheet in the units that people are shown: metric as its CSV, or US pounds, ounces and inches.

CSVs do not come through here: they are what other programs read, and are metric as their columns' names say. Values are
converted and not rounded, so that sums and whole bags come out as they do in kilograms; formats and words round them.
"""

from __future__ import annotations

from dataclasses import replace

import polars as pl

from schemas.settings import Units
from schemas.sheet import Column, Sheet, columns
from schemas.sheets_out.closing_balances import ClosingBalances
from schemas.sheets_out.costs_put_in import CostsPutIn
from schemas.sheets_out.materials_cost import MaterialsCost
from schemas.sheets_out.stock_count import StockCount
from schemas.sheets_out.stock_differences import StockDifferences
from schemas.units import US_FOR, us_factor

FORMULA_PLACES: dict[Units, int] = {"metric": 6, "us": 10}
"""Decimal places to which a formula rounds a weight: the milligrams of the CSVs; of pounds so many that what fills
three bags still fills three, whatever the conversion leaves in the last places."""

UNIT_IN_ROW: dict[type[Sheet], tuple[tuple[str, ...], tuple[str, ...]]] = {
    MaterialsCost: (("quantity",), ("unit_cost",)),
    CostsPutIn: (("quantity",), ("unit_cost",)),
    ClosingBalances: (("quantity",), ()),
    StockCount: (("expected",), ("unit_cost",)),
    StockDifferences: (("carried", "now"), ()),
}
"""Sheets whose rows each say their unit: the columns of how much, and of the price of one."""

OUNCES = 16
"""In a pound."""

TENTHS = 10


def shown_columns(model: type[Sheet], units: Units) -> tuple[Column, ...]:
    """A sheet's columns with the units that people are shown, in their names too: ``needed_lb`` for ``needed_kg``."""
    return tuple(_as_shown(column, units) for column in columns(model))


def shown(model: type[Sheet], frame: pl.DataFrame, units: Units) -> pl.DataFrame:
    """A sheet's columns, under their own names, in the units that people are shown.

    Where the unit stands in each row, as of materials, that and the price of one go with it.
    """
    plain = frame.select(column.name for column in columns(model))
    if units == "metric":
        return plain
    changed = [
        pl.col(column.name) * float(us_factor(column.unit)) for column in columns(model) if column.unit in US_FOR
    ]
    if model in UNIT_IN_ROW:
        unit = pl.col("unit")
        factor = unit.replace_strict({name: float(us_factor(name)) for name in US_FOR}, default=1.0)
        quantities, prices = UNIT_IN_ROW[model]
        changed += [pl.col(name) * factor for name in quantities]
        changed += [pl.col(name).cast(pl.Float64) / factor for name in prices]
        changed.append(unit.replace(US_FOR))
    return plain.with_columns(changed)


def weight_of_a_ball(grams: float, units: Units) -> str:
    """A ball's weight as a scale shows it and people say it: 380 g, or 1 lb 4 oz to a tenth of an ounce.

    Grams are whole, with a decimal below 20 g.
    """
    if units == "metric":
        return f"{grams:.0f} g" if grams >= 20 else f"{grams:.1f} g"
    pounds, tenths = divmod(round(grams * float(us_factor("g")) * TENTHS), OUNCES * TENTHS)
    ounces = f"{tenths / TENTHS:g} oz"
    if not pounds:
        return ounces
    return f"{pounds} lb {ounces}" if tenths else f"{pounds} lb"


def clay_weight(kilograms: float, units: Units) -> tuple[float, str]:
    """A weight of clay to a hundredth of the unit that people are shown, and that unit."""
    if units == "metric":
        return round(kilograms, 2), "kg"
    return round(kilograms * float(us_factor("kg")), 2), US_FOR["kg"]


def _as_shown(column: Column, units: Units) -> Column:
    if units == "metric" or column.unit not in US_FOR:
        return column
    unit = US_FOR[column.unit]
    name = column.name.removesuffix(f"_{column.unit}")
    return replace(column, name=f"{name}_{unit.replace(' ', '_')}", unit=unit)
