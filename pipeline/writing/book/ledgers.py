"""The tabs for the bookkeeper: purchases, the ledger of materials, sales."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date

import polars as pl

from pipeline.books.method import method
from pipeline.books.period import unsold
from pipeline.stock import RECLAIM
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.journal import ENTRY, PAID_OFF
from pipeline.writing.book.lots import IN_STOCK
from pipeline.writing.book.money import known_sum_of
from pipeline.writing.book.prices import TAX_RATE, Prices, exact_formula
from pipeline.writing.book.tables import BY_ROW, LINE, Head, Table, exact, formula_of, heads, table_tab, with_line
from pipeline.writing.shown import FORMULA_PLACES
from schemas.settings import AVERAGE, SOLD, Settings
from schemas.settings import BOUGHT as TAXED
from schemas.sheets_out.materials_ledger import MaterialsLedger
from schemas.sheets_out.purchases import Purchases
from schemas.sheets_out.sales import Sales

PACKS, SUPPLIES = "packs to buy", "materials to buy"
"""The tabs that purchases are read from."""

NUMBER = Head("number", "no.", "plain", "The lot's number, by which purchases and lots find it.")
LEDGER_NUMBER = Head("ledger", "ledger no.", "plain", "The number of its row on the materials ledger.")
STOCK = Head("stock", "stock account", "text", "The account of the stock, as the journal has it in words.")
FROM_TAB = Head("tab", "from the tab", "text", "The tab that the purchase is read from.")
FROM_ROW = Head("at", "its row there", "plain", "Which row of that tab's table, counted from 1.")

BOUGHT = 3
"""Columns of the purchases that say what is bought: the supplier, what it is, the lot. They stand on both pages."""

WITH_TAX = "Net + tax = gross, with the tax rate of the tab of prices, each row rounded; prices here are without tax."

TAX_OUT = 'IF({net}="","",{gross}-{net})'
"""The tax of prices that hold it: what is paid beyond the net."""

Numbers = Mapping[tuple[str, str | None], int]
"""By material and lot the lot's number on the materials ledger."""


def ledger_numbers(materials_ledger: pl.DataFrame) -> Numbers:
    """The number of each lot, counted from 1."""
    return {key: at for at, key in enumerate(materials_ledger.select("material", "lot").iter_rows(), 1)}


def numbers_of(lots: Iterable[tuple[str, str | None]], numbers: Numbers, settings: Settings) -> pl.Series:
    """The number of each of these lots; on average all lots of a material but reclaim have one."""
    average = settings.stock_value == AVERAGE
    keys = ((material, AVERAGE if average and lot != RECLAIM else lot) for material, lot in lots)
    return pl.Series("ledger", [numbers.get(key) for key in keys], dtype=pl.Int64)


def purchases_tab(
    purchases: pl.DataFrame,
    materials_to_buy: pl.DataFrame,
    numbers: Numbers,
    packs: Table,
    supplies: Table,
    prices: Prices,
    posted: Iterable[pl.Series],
    last: date | None,
    settings: Settings,
) -> tuple[Tab, Table]:
    """What to buy of whom; packs and prices are read from the tabs of what to buy. ``posted`` are each row's entry of
    the journal, ``entry``, and account of stock, ``stock``; ``last`` is the day on which the books close, if that is
    before the plan ends."""
    grid = Grid("purchases")
    grid.head_beside("Purchases", "One row is a purchase.", BOUGHT, WITH_TAX, method(settings))
    digits = settings.minor_digits
    rows = materials_to_buy["packs_to_buy"].to_list()
    asked = [at for at, count in enumerate(rows, 1) if count]
    of_clay = purchases.height - len(asked)
    frame = exact(Purchases, purchases, settings).with_columns(
        pl.Series("tab", [PACKS] * of_clay + [SUPPLIES] * len(asked), dtype=pl.String),
        pl.Series("at", [*range(1, of_clay + 1), *asked], dtype=pl.Int64),
        numbers_of(purchases.select("description", "lot").iter_rows(), numbers, settings),
    )

    def read(on_packs: str, on_supplies: str) -> str:
        found = (
            f"INDEX({table.place.cells(name)},{{at}})" for table, name in ((packs, on_packs), (supplies, on_supplies))
        )
        return f'IF({{tab}}="{PACKS}",{",".join(found)})'

    price, cost = read("pack_price", "pack_price"), read("cost", "cost")
    head = heads(
        Purchases,
        settings,
        formulas={
            "quantity": read("packs", "packs_to_buy"),
            "pack_kg": read("pack_kg", "pack_kg"),
            "unit_price": f'IF({price}="","",{price})',
            "carriage": f'IF({{tab}}="{PACKS}",INDEX({packs.place.cells("carriage")},{{at}}),0)',
            "net": f'IF({cost}="","",{cost})',
            **_with_tax(digits),
            **({"gross": BY_ROW, "tax": TAX_OUT} if settings.holds_tax(TAXED) else {}),
        },
        totals=("quantity", "carriage", "net", "tax", "gross"),
    )
    typed = (
        prices.typed("pack", at - 1) if tab == PACKS and prices.has("pack", at - 1) else prices.typed("newest", item)
        for tab, at, item in frame.select("tab", "at", "description").iter_rows()
    )
    paid = [f'IF({{net}}="","",ROUND({{quantity}}*{cell}+{{carriage}}*(1+{TAX_RATE}/100),{digits}))' for cell in typed]
    frame = frame.with_columns(pl.Series(formula_of("gross"), paid, dtype=pl.String))
    frame = frame.with_columns(posted)
    more = [FROM_TAB, FROM_ROW, LEDGER_NUMBER, STOCK, ENTRY]
    if last is not None:
        came = f'IF(OR({{needed_by}}="",{{needed_by}}<=DATE({last.year},{last.month},{last.day})),"yes","no")'
        more.append(Head("in_books", "in the books", "text", "Whether it comes in before the books close.", came))
        frame = with_in_books(frame, last)
    return table_tab(grid, [*head, *more], frame, settings, frozen=2, on_each_page=BOUGHT)


def with_in_books(purchases: pl.DataFrame, last: date) -> pl.DataFrame:
    """Purchases with whether they come in before the books close: those without a day do."""
    came = pl.col("needed_by").is_null() | (pl.col("needed_by") <= last)
    return purchases.with_columns(in_books=pl.when(came).then(pl.lit("yes")).otherwise(pl.lit("no")))


def ledger_tab(
    materials_ledger: pl.DataFrame, purchases: Table, lots: Table, settings: Settings, *, cut: bool
) -> tuple[Tab, Table]:
    """Every lot from what there is to what is left; ``lots`` are those that are there when the books close. If that is
    before the plan ends (``cut``), only those purchases count that have come in."""
    grid = Grid("materials ledger")
    source = f"Opening and used are read from the tab of {lots.place.tab}, what is bought from the purchases."
    if cut:
        source += f" The books close on {settings.books_to}: what comes in later is not bought yet."
    grid.head(
        "Materials ledger",
        "One row is a lot of a clay or material. Opening + bought + reclaimed - used = closing. Method of valuing the "
        f"stock: {settings.stock_value}, at cost without tax, carriage with it; keep to one method from year to year. "
        f"{source}",
    )
    places, digits = FORMULA_PLACES[settings.units], settings.minor_digits
    number, origin, there, price = (lots.place.cells(name) for name in ("ledger", "source", "there", "price"))
    in_stock = f'{number},{{number}},{origin},"{IN_STOCK}"'
    of_lot = f"{number},{{number}}"
    unpriced = f"SUMPRODUCT(({number}={{number}})*({there}>0)*ISTEXT({price}))"
    used = f"SUMIFS({lots.place.cells('cost')},{of_lot})"
    bought = purchases.place.cells
    values = ("opening_value", "bought_value", "used_value", "closing_value")
    weights = ("opening_kg", "bought_kg", "reclaimed_kg", "used_kg", "closing_kg")
    came = f',--({bought("in_books")}="yes")' if cut else ""
    in_books = [("in_books", '"yes"')] if cut else []
    formulas = {
        "opening_kg": f"ROUND(SUMIFS({there},{in_stock}),{places})",
        "bought_kg": f"ROUND(SUMPRODUCT(--({bought('ledger')}={{number}}){came},{bought('quantity')},"
        f"{bought('pack_kg')}),{places})",
        "used_kg": f"ROUND(SUMIFS({lots.place.cells('taken')},{of_lot}),{places})",
        "closing_kg": f"ROUND({{opening_kg}}+{{bought_kg}}+{{reclaimed_kg}}-{{used_kg}},{places})",
        "opening_value": f'IF({unpriced}>0,"",ROUND(SUMIFS({lots.place.cells("value")},{in_stock}),{digits}))',
        "bought_value": known_sum_of(purchases, "net", ("ledger", "{number}"), *in_books),
        "used_value": f'IF(AND({{opening_value}}="",{used}=0),"",{used})',
        "closing_value": f'IF({{opening_value}}="","",ROUND({{opening_value}}+{{bought_value}}-{{used_value}},'
        f"{digits}))",
    }
    head = heads(
        MaterialsLedger,
        settings,
        formulas=formulas,
        totals=(*weights, *values),
    )
    frame = exact(MaterialsLedger, materials_ledger, settings).with_columns(
        number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64)
    )
    return table_tab(grid, [NUMBER, *head], frame, settings, frozen=3)


def sales_tab(
    sales: pl.DataFrame,
    orders: pl.DataFrame,
    asked: Table,
    promised: Table,
    posted: Iterable[pl.Series],
    last: date,
    settings: Settings,
) -> tuple[Tab, Table]:
    """What each line comes to; quantities, prices and deposits are read from the orders. ``posted`` are each row's
    entry of the journal, ``entry``, and that of its deposit, ``paid_off``; the books close on the evening of ``last``.
    """
    grid = Grid("sales")
    grid.head(
        "Sales and deposits held",
        "One row is an order line, as it is sold when it is ready; without a price it is made for stock, and not sold. "
        f"{WITH_TAX} A deposit is owed to the customer until delivery and is no sale before; then it pays off a part "
        f"of the gross. {method(settings)}",
    )
    price, typed = (asked.place.look_up(name, "line", "{line}") for name in ("net_price", "unit_price"))
    digits = settings.minor_digits
    each = exact_formula(typed, SOLD, settings) if settings.holds_tax(SOLD) else "{unit_price}"
    paid = f'IF({{net}}="","",ROUND({{quantity}}*{typed},{digits}))'
    head = heads(
        Sales,
        settings,
        formulas={
            "ready": promised.place.look_up("ready", "line", "{line}"),
            "quantity": asked.place.look_up("quantity", "line", "{line}"),
            "unit_price": f'IF({price}="","",{price})',
            "net": f'IF({{unit_price}}="","",ROUND({{quantity}}*{each},{digits}))',
            **_with_tax(digits),
            **({"gross": paid, "tax": TAX_OUT} if settings.holds_tax(SOLD) else {}),
            "deposit_held": f"N({asked.place.look_up('deposit', 'line', '{line}')})",
            "still_owed": 'IF({gross}="","",{gross}-{deposit_held})',
        },
        totals=("quantity", "net", "tax", "gross", "deposit_held", "still_owed"),
    )
    by_then = f'IF(AND({{ready}}<=DATE({last.year},{last.month},{last.day}),{{unit_price}}<>""),{{quantity}},0)'
    sold = Head("sold", "pieces sold", "whole", "Those of lines delivered when the books close.", by_then, "SUM")
    still = "IF({sold}>0,0,{deposit_held})"
    money = f" {settings.currency}".rstrip()
    held = Head("held_on", f"deposit held on{money}", "amount", "That of lines not delivered yet.", still, "SUM")
    frame = with_line(exact(Sales, sales, settings), orders).with_columns(
        posted,
        sold=pl.when(unsold(last)).then(0).otherwise("quantity"),
        held_on=pl.when(unsold(last)).then("deposit_held").otherwise(pl.lit(0, sales.schema["deposit_held"])),
    )
    return table_tab(grid, [LINE, *head, sold, held, ENTRY, PAID_OFF], frame, settings, frozen=2)


def _with_tax(digits: int) -> dict[str, str]:
    return {
        "tax": f'IF({{net}}="","",ROUND({{net}}*{TAX_RATE}/100,{digits}))',
        "gross": 'IF({net}="","",{net}+{tax})',
    }
