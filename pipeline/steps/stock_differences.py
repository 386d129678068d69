"""Where the sheets differ from what the last books closed with."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

import polars as pl

from pipeline.accounts import packing_materials, stock_account
from pipeline.job import Job
from schemas.accounts import BALANCES, DEPOSITS, FINISHED, PACKING, PART_MADE, RAW
from schemas.sheet import shaped, types
from schemas.sheets_out.part_made import OPENING
from schemas.sheets_out.stock_differences import StockDifferences

NOTHING = Decimal(0)

Key = tuple[str, str | None, str | None, str | None]
"""What it is, item, order, last stage."""

MICRO = 6
"""Decimal places to which quantities are compared: a binary number cannot hold 0.1."""


def stock_differences(
    job: Job, materials_ledger: pl.DataFrame, part_made: pl.DataFrame, finished_goods: pl.DataFrame
) -> pl.DataFrame:
    """What the books open with, held against what the last ones closed with, ``opening_balances``; only where the two
    are not the same.

    Clay and materials are held against each other material by material, since lots are renamed when they come in;
    part-made goods by form and stage; finished ones by form. Of deposits only what is missing is told: more of them is
    money that came in since. Without ``opening_balances`` there is nothing to differ from.

    42.5 kg worth 46.92 carried over, and 40 kg worth 44.16 counted: 2.76 less.
    """
    everything = compared(job, materials_ledger, part_made, finished_goods)
    unlike = (pl.col("now") - pl.col("carried")).round(MICRO) != 0
    return everything.filter(unlike | (pl.col("difference") != 0))


def compared(
    job: Job, materials_ledger: pl.DataFrame, part_made: pl.DataFrame, finished_goods: pl.DataFrame
) -> pl.DataFrame:
    """The same of all that is held against each other, whether it differs or not."""
    rows: list[tuple[object, ...]] = []
    if not job.opening_balances.is_empty():
        carried = _sums(job.opening_balances.filter(pl.col("lot").is_null() | (pl.col("what") != FINISHED)), job)
        now = _now(job, materials_ledger, part_made, finished_goods)
        for key in sorted(carried.keys() | now.keys(), key=_place):
            before, worth = carried.get(key, (0.0, NOTHING))
            there, value = now.get(key, (0.0, NOTHING))
            what, item, order, stage = key
            if what == DEPOSITS:
                value = min(value, worth)
                if not worth:
                    continue
            unit = {RAW: "kg", PACKING: "kg", DEPOSITS: None}.get(what, "piece")
            rows.append((what, item, order, None, stage, unit, before, there, worth, value, value - worth))
    return shaped(StockDifferences, pl.DataFrame(rows, schema=types(StockDifferences), orient="row"))


def _place(key: Key) -> tuple[int, list[str]]:
    """Materials before goods before deposits, each by its name."""
    return BALANCES.index(key[0]), [name or "" for name in key[1:]]


def compared_rows(
    job: Job, materials_ledger: pl.DataFrame, part_made: pl.DataFrame, finished_goods: pl.DataFrame
) -> dict[Key, dict[str, list[int]]]:
    """By what is held against each other the rows that are, counted from 1, of each sheet's tab; without those of
    which there is nothing at the opening."""
    packing = packing_materials(job.form_materials, job.glazes)
    found: dict[Key, dict[str, list[int]]] = {}

    def add(tab: str, number: int, what: str, item: str | None, order: str | None, stage: str | None) -> None:
        found.setdefault(_key(what, item, order, stage, packing), {}).setdefault(tab, []).append(number)

    balances = job.opening_balances.select("what", "item", "order", "stage", "lot").iter_rows()
    for number, (what, item, order, stage, lot) in enumerate(balances, 1):
        if lot is None or what != FINISHED:
            add("opening balances", number, what, item, order, stage)
    for number, (item, there) in enumerate(materials_ledger.select("material", "opening_kg").iter_rows(), 1):
        if there:
            add("materials ledger", number, RAW, item, None, None)
    for number, (at, form, stage) in enumerate(part_made.select("at", "form", "stage").iter_rows(), 1):
        if at == OPENING:
            add("part-made", number, PART_MADE, form, None, stage)
    for number, (form, lot, there) in enumerate(finished_goods.select("form", "lot", "opening").iter_rows(), 1):
        if lot is None and there:
            add("finished goods", number, FINISHED, form, None, None)
    for number, order in enumerate(job.orders["order"], 1):
        add("orders", number, DEPOSITS, None, order, None)
    return found


Row = tuple[str, str | None, str | None, str | None, float, Decimal | None]


def _sums(opening_balances: pl.DataFrame, job: Job) -> dict[Key, tuple[float, Decimal]]:
    names = ("what", "item", "order", "stage", "quantity", "value")
    return _added(opening_balances.select(names).iter_rows(), job)


def _now(
    job: Job, materials_ledger: pl.DataFrame, part_made: pl.DataFrame, finished_goods: pl.DataFrame
) -> dict[Key, tuple[float, Decimal]]:
    """The same of what the sheets have now."""
    stock = materials_ledger.select("material", "opening_kg", "opening_value").iter_rows()
    goods = part_made.filter(pl.col("at") == OPENING).select("form", "stage", "pieces", "value").iter_rows()
    shelf = finished_goods.filter(pl.col("lot").is_null()).select("form", "opening", "opening_value").iter_rows()
    rows: list[Row] = [(RAW, item, None, None, *there) for item, *there in stock]
    rows += [(PART_MADE, form, None, stage, *there) for form, stage, *there in goods]
    rows += [(FINISHED, form, None, None, *there) for form, *there in shelf]
    rows += [
        (DEPOSITS, None, order, None, 0.0, paid) for order, paid in job.orders.select("order", "deposit").iter_rows()
    ]
    return _added(rows, job)


def _added(rows: Iterable[Row], job: Job) -> dict[Key, tuple[float, Decimal]]:
    """Quantities and values by what is held against each other; what has none has nought."""
    packing = packing_materials(job.form_materials, job.glazes)
    found: dict[Key, tuple[float, Decimal]] = {}
    for what, item, order, stage, quantity, value in rows:
        key = _key(what, item, order, stage, packing)
        count, worth = found.get(key, (0.0, NOTHING))
        found[key] = (round(count + (0.0 if what == DEPOSITS else quantity), MICRO), worth + (value or NOTHING))
    return {key: sums for key, sums in found.items() if any(sums)}


def _key(what: str, item: str | None, order: str | None, stage: str | None, packing: set[str]) -> Key:
    """What a row is held against others by."""
    if what == DEPOSITS:
        return what, None, order, None
    if what in (RAW, PACKING):
        return stock_account(item or "", packing), item, None, None
    return what, item, None, stage
