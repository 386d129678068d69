"""The tab of prices and rates: each stands there once, to be typed over, and every sum of money follows it."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

import polars as pl

from pipeline.job import Job
from pipeline.money import TYPED_DIGITS, amount
from pipeline.stock import oldest_first, price_of_kg
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.tables import BY_ROW, INPUTS, TYPE_HERE, Head, add_table, formula_of
from schemas.fields import MONEY_DIGITS
from schemas.settings import BOUGHT, SOLD, Settings
from schemas.units import US_FOR, us_factor

TAX_RATE = "tax_pct"
"""The workbook's name for the cell that holds the tax on sales and purchases, in per cent."""

RATES = (
    ("tax_pct", "tax on sales and purchases, %"),
    ("energy_price", "a kilowatt-hour"),
    ("overhead_per_hour", "overhead for an hour of work"),
    ("overhead_per_month", "overhead of a month"),
    ("wanted_hourly_rate", "wanted for an hour of own time"),
)
"""The settings that are prices, by their names in the sheet and in words."""

SIZE, TYPED, PRICE = "D", "F", "G"
"""The columns of what it is the price of, of the price as the sheets have it, and of that without tax."""

Key = tuple[Hashable, ...]
"""What a price is known by: ``tax_pct`` and the other rates; ``lot``, item, lot and price of a kilogram; ``newest`` or
``oldest`` and item; ``pack`` and its place among the packs to buy; ``carriage`` and supplier; ``other_cost`` or
``second_price`` and form; ``wear``, firing and kiln; ``rate``, worker, whether it is own time, and the rate."""


class _Row(NamedTuple):
    keys: tuple[Key, ...]
    what: str
    item: str
    which: str | None
    size: float | None
    unit: str | None
    price: Decimal | None
    sheet: str
    row: int | None
    kind: str = ""


@dataclass(frozen=True)
class Prices:
    """The tab, and the cell of each price, for a formula on any tab."""

    tab: Tab
    rows: Mapping[Key, int]
    blank: frozenset[int]

    def price(self, *key: Hashable) -> str:
        """The cell of a price without tax, to six places."""
        return f"'{self.tab.name}'!${PRICE}${self.rows[key]}"

    def typed(self, *key: Hashable) -> str:
        """The cell of a price as the sheets have it."""
        return f"'{self.tab.name}'!${TYPED}${self.rows[key]}"

    def size(self, *key: Hashable) -> str:
        """The cell of what it is the price of: the kilograms of a pack, the kilowatt-hours of a firing."""
        return f"'{self.tab.name}'!${SIZE}${self.rows[key]}"

    def known(self, *key: Hashable) -> bool:
        """Whether somebody gave that price."""
        return self.rows[key] not in self.blank

    def has(self, *key: Hashable) -> bool:
        """Whether there is such a price."""
        return key in self.rows


def prices_tab(job: Job, packs_to_buy: pl.DataFrame, materials_to_buy: pl.DataFrame) -> Prices:
    """Every price and rate that the plan's money rests on; those of the orders stand on the tab of the orders."""
    grid = Grid("prices")
    grid.head(
        "Prices and rates",
        f"One row is a price or a rate, as the sheets have it; it stands here once. {INPUTS} The prices of what is "
        "ordered, and the deposits, are typed over on the tab of the orders. A price stands as the sheets have it, and "
        "without the tax that it may hold, by the setting prices_with_tax. What is bought, and how much of it, stays "
        "as it was planned: if a changed price would make other packs the cheapest, plan again.",
    )
    settings = job.settings
    rows = [
        *_rates(settings),
        *_clay(job, packs_to_buy),
        *_materials(job, materials_to_buy),
        *_forms(job),
        *_firings(job),
        *_workers(job),
    ]
    money = f" {settings.currency}".rstrip()
    head = [
        Head("what", "what", "text", "The kind of price."),
        Head("item", "of", "text", "What it is the price of."),
        Head("which", "which", "text", "The lot, supplier, kiln or kind of time."),
        Head("size", "for so many", "quantity", "The kilograms of a pack, the kilowatt-hours of a firing, and so on."),
        Head("unit", "unit", "text", "What that is counted in."),
        Head("typed", f"price{money} ({TYPE_HERE})", "price", "Type over it what it has become.", typed=True),
        Head("price", f"without tax{money}", "price", "The price without the tax that it may hold.", BY_ROW),
        Head("sheet", "from the sheet", "text", "The sheet that it was read from."),
        Head("row", "its row there", "plain", "The row of that sheet, as the spreadsheet numbers it."),
    ]
    first = grid.next_row + 2
    frame = pl.DataFrame(
        [_cells(row, settings) for row in rows],
        schema={
            "what": pl.String,
            "item": pl.String,
            "which": pl.String,
            "size": pl.Float64,
            "unit": pl.String,
            "typed": pl.Decimal(38, MONEY_DIGITS),
            "price": pl.Decimal(38, MONEY_DIGITS),
            "sheet": pl.String,
            "row": pl.Int64,
            formula_of("price"): pl.String,
        },
        orient="row",
    )
    table = add_table(grid, head, frame, settings)
    return Prices(
        # Not to be sorted or filtered: formulas name these cells one by one.
        grid.tab(freeze=(table.area.first_row + 1, 2), typed=True),
        {key: at for at, row in reversed(list(enumerate(rows, first))) for key in row.keys},
        frozenset(at for at, row in enumerate(rows, first) if row.price is None),
    )


def _cells(row: _Row, settings: Settings) -> tuple[object, ...]:
    """A row's cells, and the formula of the price without tax."""
    typed = typed_price(row.price, row.kind, settings)
    size = _shown(row.size, row.unit, settings)
    formula = price_formula("{typed}", row.kind, settings)
    return (row.what, row.item, row.which, *size, typed, row.price, row.sheet, row.row, formula)


def typed_price(price: Decimal | None, kind: str, settings: Settings) -> Decimal | None:
    """A price as the sheets have it, of one without tax; ``kind`` is that of sales, of purchases, or none."""
    if price is None or not _holds(kind, settings):
        return price
    return amount(Fraction(price) * settings.with_tax, TYPED_DIGITS)


def _holds(kind: str, settings: Settings) -> bool:
    """Whether a price holds the tax; a rate is of no kind, and never does."""
    return kind != "" and settings.holds_tax(kind)


def price_formula(typed: str, kind: str, settings: Settings) -> str:
    """The formula of a price without tax, to six places, of one as the sheets have it; blank of a blank."""
    found = f"ROUND({exact_formula(typed, kind, settings)},{MONEY_DIGITS})" if _holds(kind, settings) else typed
    return f'IF({typed}="","",{found})'


def exact_formula(typed: str, kind: str, settings: Settings) -> str:
    """The formula of a price or sum without tax, as exactly as it was typed."""
    return f"{typed}/(1+{TAX_RATE}/100)" if _holds(kind, settings) else typed


def _shown(size: float | None, unit: str | None, settings: Settings) -> tuple[float | None, str | None]:
    """So many of a unit as people are shown them."""
    if size is None or unit not in US_FOR or settings.units == "metric":
        return size, unit
    return size * float(us_factor(unit)), US_FOR[unit]


def _rates(settings: Settings) -> Iterator[_Row]:
    normal = settings.normal_hours_per_month
    for name, words in RATES:
        of_month = name == "overhead_per_month"
        given = getattr(settings, name)
        price = None if given is None else Decimal(str(given))
        size, unit = (normal, "h") if of_month else (None, None)
        yield _Row(((name,),), "rate", words, None, size, unit, price, "settings", None)


def _clay(job: Job, packs_to_buy: pl.DataFrame) -> Iterator[_Row]:
    yield from _lots(job.clay_stock, "clay", "bag", "clay_stock")
    listed = set(job.clay_prices["clay"])
    offers = ("clay", "supplier", "pack_kg", "from_packs")
    carriage_at = {tuple(offer): money for *offer, money in job.clay_prices.select(*offers, "carriage").iter_rows()}
    carriage: dict[str, Decimal] = {}
    for at, (*offer, price) in enumerate(packs_to_buy.select(*offers, "pack_price").iter_rows()):
        clay, supplier, pack_kg, _ = offer
        if clay in listed:
            yield _Row(
                (("pack", at),), "clay to buy", clay, supplier, pack_kg, "kg", price, "clay_prices", None, BOUGHT
            )
            carriage[supplier] = max(carriage.get(supplier, Decimal(0)), carriage_at[tuple(offer)])
    for supplier, whole in carriage.items():
        key = ("carriage", supplier)
        yield _Row((key,), "carriage of an order", supplier, None, None, None, whole, "clay_prices", None, BOUGHT)


def _materials(job: Job, materials_to_buy: pl.DataFrame) -> Iterator[_Row]:
    yield from _lots(job.materials, "material", "pack", "materials")
    stocked = set(job.materials["material"])
    for material, pack_kg, price in materials_to_buy.select("material", "pack_kg", "pack_price").iter_rows():
        if material not in stocked:
            yield _Row(
                (("newest", material),), "material to buy", material, None, pack_kg, "kg", price, "glazes", None, BOUGHT
            )


def _lots(stock: pl.DataFrame, item: str, pack: str, sheet: str) -> Iterator[_Row]:
    """The lots of a stock in the order of its sheet; those of one number and price stand once."""
    columns = (item, "lot", f"{pack}_kg", f"{pack}_price", "row")
    ages: dict[str, list[Key]] = {}
    for name, lot, kg, price, _ in oldest_first(stock).select(columns).iter_rows():
        ages.setdefault(name, []).append(lot_key(name, lot, kg, price))
    seen: set[Key] = set()
    for name, lot, kg, price, row in stock.select(columns).iter_rows():
        key = lot_key(name, lot, kg, price)
        if key not in seen:
            seen.add(key)
            oldest = (("oldest", name),) if ages[name][0] == key else ()
            newest = (("newest", name),) if ages[name][-1] == key else ()
            yield _Row((key, *oldest, *newest), f"{item} in stock", name, lot, kg, "kg", price, sheet, row, BOUGHT)


def lot_key(name: str, lot: str | None, kg: float, price: Decimal | None) -> Key:
    """What the price of a lot is known by."""
    return ("lot", name, lot, amount(price_of_kg(price or Decimal(0), kg), MONEY_DIGITS))


def _forms(job: Job) -> Iterator[_Row]:
    made = pl.concat([job.orders["form"], job.work_log["form"]]).unique()
    columns = ("form", "other_cost", "seconds_pct", "second_price", "row")
    for form, other, share, second, row in (
        job.forms.filter(pl.col("form").is_in(made.implode())).select(columns).rows()
    ):
        for key, what, size, unit, price, kind in (
            ("other_cost", "packaging and the like", 1.0, "piece", other, BOUGHT),
            ("second_price", "a second fetches", share, "% of losses", second, SOLD),
        ):
            yield _Row(((key, form),), what, form, None, size, unit, price, "forms", row, kind)


def _firings(job: Job) -> Iterator[_Row]:
    for firing, kiln, kwh, wear, row in job.firings.select("firing", "kiln", "kwh", "other_cost", "row").iter_rows():
        yield _Row((("wear", firing, kiln),), "wear of a firing", firing, kiln, kwh, "kWh", wear, "firings", row)


def _workers(job: Job) -> Iterator[_Row]:
    columns = ("worker", "own_time", "hourly_rate")
    hours = job.labour_hours.unique(columns, keep="first", maintain_order=True)
    for worker, own, rate, row in hours.select(*columns, "row").iter_rows():
        key = ("rate", worker, own, rate)
        yield _Row(
            (key,), "an hour of work", worker, "own time" if own else "paid", 1.0, "h", rate, "labour_hours", row
        )
