"""The tab of lots: what there is of each at which price, and what is taken of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.alike import once_each
from pipeline.clay import MG
from pipeline.job import Job
from pipeline.money import amount
from pipeline.stock import IN_BUCKET, RECLAIM, TO_BUY, Lot, average_price, clay_lots, material_lots
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.prices import Prices
from pipeline.writing.book.shares import Amount
from pipeline.writing.book.tables import BY_ROW, Head, Table, add_table, formula_of
from pipeline.writing.shown import FORMULA_PLACES
from schemas.fields import MONEY_DIGITS
from schemas.settings import AVERAGE
from schemas.units import US_FOR, us_factor

IN_STOCK, BOUGHT, RECLAIMED = "in stock", "bought", "reclaimed"
"""Where a lot comes from."""

NOISE = 9
"""Decimal places beyond which a product of a price and a number is only binary noise: it may not decide on a coin."""

PRICE_USED, TAKEN_VALUE = "J", "L"
"""The columns of the price that is counted for what is taken of a lot, and of what that comes to."""


@dataclass(frozen=True, slots=True)
class _Row:
    """A lot: its first ``Lot``, how much there is of all of its name and price, and where it is counted with others."""

    material: str
    lot: Lot
    mg: int
    source: str
    pool: int = 0

    @property
    def money(self) -> Fraction:
        return self.lot.kg_price * self.mg / MG


class Lots:
    """The lots of clay and materials, of which the cells are known before the tab is made."""

    def __init__(
        self,
        job: Job,
        results: Mapping[str, pl.DataFrame],
        ledger: Mapping[tuple[str, str | None], int],
        packs_to_buy: pl.DataFrame,
        name: str = "lots",
    ) -> None:
        """``ledger`` has the number of each lot on the materials ledger, ``packs_to_buy`` the rows of its tab, of which
        ``results`` may have only those that have come in."""
        self._settings = job.settings
        self._average = job.settings.stock_value == AVERAGE
        self._ledger = ledger
        self._materials_cost = results["materials_cost"]
        clays = clay_lots(job.clay_stock, results["clay_to_buy"], results["packs_to_buy"])
        others = material_lots(job.materials, results["materials_to_buy"], results["glaze_batches"])
        self._averages = {name: average_price(own) for name, own in (clays | others).items()}
        self._packs = list(packs_to_buy.select("clay", "lot").iter_rows())
        used = Counter(self._materials_cost["material"])
        self._rows = _counted(_rows(clays | others, used), self._average)
        self._by_key: dict[tuple[str | Decimal | None, ...], int] = {
            (row.material, AVERAGE)
            if self._pooled(row)
            else (row.material, row.lot.name, amount(row.lot.kg_price, MONEY_DIGITS)): row.pool
            for row in self._rows
        }
        self._clays = frozenset(clays)
        self._grid = Grid(name)
        self._grid.head(
            "Lots of clay and materials",
            "One row is a lot, in the order in which lots are used. Price of one = price / pack on the tab of prices; "
            "of clay that is bought, cost / weight of its packs, carriage with it. Method of valuing the stock: "
            f"{self._settings.stock_value}. What is taken of a lot comes to weight x price, rounded once, and is "
            "shared over the lines that take it.",
        )
        self._first = self._grid.next_row + 2

    def numbers(self) -> pl.Series:
        """The number of the lot that each row of ``materials_cost`` is counted with; none of what is in no lot."""

        def number(material: str, lot: str | None, unit_cost: Decimal | None) -> int | None:
            pooled = self._average and lot != RECLAIM
            return self._by_key.get((material, AVERAGE) if pooled else (material, lot, unit_cost))

        taken = self._materials_cost.select("material", "lot", "unit_cost")
        return once_each(taken, number, pl.Int64).alias("lot_number")

    def unit_cost(self, number: int) -> str:
        """The formula of the price of one of what is taken of a lot."""
        price = f"'{self._grid.name}'!${PRICE_USED}${self._first + number - 1}"
        if self._settings.units == "metric":
            return f"ROUND({price},{MONEY_DIGITS})"
        # Rounded by the kilogram, as the sheets have it, and shown by the pound.
        factor = repr(float(us_factor("kg")))
        return f"ROUND({price}*{factor},{MONEY_DIGITS})/{factor}"

    def amounts(self, numbers: pl.Series) -> list[Amount]:
        """What is taken of each lot, to be shared over those who take it."""
        cost = self._materials_cost.with_columns(numbers).group_by("lot_number").agg(pl.col("cost").sum())
        taken = dict(cost.select("lot_number", "cost").iter_rows())
        return [
            Amount(
                "materials",
                row.material if self._average else f"{row.material} {row.lot.name or ''}".rstrip(),
                number,
                f"'{self._grid.name}'!${TAKEN_VALUE}${self._first + number - 1}",
                taken[number],
            )
            for number, row in enumerate(self._rows, 1)
            if number in taken
        ]

    def tab(self, materials: Table, taken: pl.DataFrame, packs: Table, prices: Prices) -> tuple[Tab, Table]:
        """The finished tab; ``taken`` has ``lot_number``, ``quantity`` as shown and ``cost`` of the materials."""
        settings = self._settings
        of_pool = {
            number: (weight, cost)
            for number, weight, cost in taken.group_by("lot_number")
            .agg(pl.col("quantity").sum().round(FORMULA_PLACES[settings.units]), pl.col("cost").sum())
            .iter_rows()
        }
        unit = "kg" if settings.units == "metric" else US_FOR["kg"]
        factor = 1.0 if settings.units == "metric" else float(us_factor("kg"))
        columns = (
            "number", "pool", "ledger", "material", "lot", "source", "there", "price", "value", "used", "taken", "cost",
        )  # fmt: skip
        cells: list[tuple[object, ...]] = []
        for number, row in enumerate(self._rows, 1):
            formula, known = self._price(row, packs, prices)
            weight, cost = of_pool.get(number, (0.0, Decimal(0)))
            own = row.pool == number
            price = float(row.lot.kg_price) / factor if known else None
            value = None if not known and row.mg else self._value(row)
            used = self._averages[row.material] if self._pooled(row) else row.lot.kg_price
            cells.append(
                (
                    *(number, row.pool, self._ledger.get(self._name(row)), row.material, row.lot.name, row.source),
                    *(row.mg / MG * factor, price, value, float(used) / factor if own else None),
                    *((weight, cost) if own else (None, None)),
                    *(formula, *(self._own_formulas(row, materials) if own else ("",) * 3)),
                )
            )
        frame = pl.DataFrame(
            cells,
            schema=dict.fromkeys(columns[:3], pl.Int64)
            | dict.fromkeys(columns[3:6], pl.String)
            | dict.fromkeys(columns[6:11], pl.Float64)
            | {"cost": pl.Decimal(38, 6)}
            | {formula_of(name): pl.String for name in ("price", "used", "taken", "cost")},
            orient="row",
        )
        table = add_table(self._grid, self._head(unit), frame, settings)
        return self._grid.tab(freeze=(table.area.first_row + 1, 5)), table

    def _head(self, unit: str) -> list[Head]:
        money = f" {self._settings.currency}".rstrip()
        digits = self._settings.minor_digits
        value = "{there}*{price}" if self._average else f"ROUND(ROUND({{there}}*{{price}},{NOISE}),{digits})"
        return [
            Head("number", "no.", "plain", "The lot's number, by which materials find it."),
            Head("pool", "counted with no.", "plain", "The lot with which it has one price and one sum of money."),
            Head("ledger", "ledger no.", "plain", "The number of its row on the materials ledger."),
            Head("material", "material", "text", "The clay or material."),
            Head("lot", "lot", "text", "The lot."),
            Head("source", "source", "text", "Whether it is in stock, bought for the plan, or clay reclaimed."),
            Head("there", f"there {unit}", "kg", "What there is of it, reserve and all."),
            Head("price", f"price{money} of a {unit}", "price", "Blank if nobody gave a price.", BY_ROW),
            Head("value", f"value{money}", "amount", "What that is worth.",
                 f'IF({{price}}="",IF({{there}}=0,0,""),{value})'),
            Head("used", f"price counted{money}", "price", "What one costs that is taken of it.", BY_ROW),
            Head("taken", f"taken {unit}", "kg", "What the lines take of it.", BY_ROW),
            Head("cost", f"cost of that{money}", "amount", "Taken x price counted, rounded once.", BY_ROW, "SUM"),
        ]  # fmt: skip

    def _pooled(self, row: _Row) -> bool:
        return self._average and row.source != RECLAIMED

    def _name(self, row: _Row) -> tuple[str, str | None]:
        return (row.material, AVERAGE if self._pooled(row) else row.lot.name)

    def _value(self, row: _Row) -> float:
        return float(row.money if self._average else amount(row.money, self._settings.minor_digits))

    def _price(self, row: _Row, packs: Table, prices: Prices) -> tuple[str, bool]:
        """The formula of the price of one, and whether it is known; reclaim has no price."""
        if row.source == RECLAIMED:
            return "", True
        if row.material in self._clays and (pack := (row.material, row.lot.name)) in self._packs:
            at = packs.place.first + self._packs.index(pack)
            cost, bought = (f"'{packs.place.tab}'!${packs.place.letters[name]}${at}" for name in ("cost", "bought_kg"))
            return f"{cost}/{bought}", True
        key: tuple[object, ...] = ("lot", row.material, row.lot.name, amount(row.lot.kg_price, MONEY_DIGITS))
        if row.lot.name == IN_BUCKET and prices.has("oldest", row.material):
            key = ("oldest", row.material)
        elif not prices.has(*key):
            key = ("newest", row.material)
        price = prices.price(*key)
        return f'IF({price}="","",{price}/{prices.size(*key)})', prices.known(*key)

    def _own_formulas(self, row: _Row, materials: Table) -> tuple[str, str, str]:
        """The formulas of the price counted, of what is taken and of its cost, of a lot with which others count."""
        used = "N({price})"
        if self._pooled(row) and any(other.mg for other in self._rows if other.pool == row.pool):
            there, value, pool = (self._cells(name) for name in ("G", "I", "B"))
            used = f"SUMIFS({value},{pool},{{number}})/SUMIFS({there},{pool},{{number}})"
        place = materials.place
        taken = f"SUMIFS({place.cells('quantity')},{place.cells('lot_number')},{{number}})"
        return (
            used,
            f"ROUND({taken},{FORMULA_PLACES[self._settings.units]})",
            f"ROUND(ROUND({{used}}*{{taken}},{NOISE}),{self._settings.minor_digits})",
        )

    def _cells(self, column: str) -> str:
        return f"${column}${self._first}:${column}${self._first + len(self._rows) - 1}"


def _rows(lots: Mapping[str, Sequence[Lot]], used: Mapping[str, int]) -> list[_Row]:
    """The lots with anything in them, and the last of a material that is used; those of one name and price together."""
    found: dict[tuple[object, ...], _Row] = {}
    for material, own in lots.items():
        for lot in own:
            key = (material, lot.name, amount(lot.kg_price, MONEY_DIGITS))
            there = lot.mg + lot.kept_mg
            if there or key in found or (used[material] and lot is own[-1]):
                before = found.get(key, _Row(material, lot, 0, _source(lot)))
                found[key] = replace(before, mg=before.mg + there)
    return list(found.values())


def _source(lot: Lot) -> str:
    if lot.name == RECLAIM:
        return RECLAIMED
    return BOUGHT if lot.name is not None and lot.name.startswith(TO_BUY) else IN_STOCK


def _counted(rows: Sequence[_Row], average: bool) -> list[_Row]:
    """The rows with the number of the one with which each is counted: its own, or on average its material's first."""
    first: dict[str, int] = {}
    found = []
    for number, row in enumerate(rows, 1):
        pool = first.setdefault(row.material, number) if average and row.source != RECLAIMED else number
        found.append(replace(row, pool=pool))
    return found
