"""The accounts of the books under the bookkeeper's own codes."""

from __future__ import annotations

from collections.abc import Callable

import polars as pl

from schemas.accounts import PACKING, RAW

Named = Callable[[str], tuple[str | None, str]]
"""An account in words to its code and its name."""


def names_of(accounts: pl.DataFrame) -> Named:
    """What each account is called in ``accounts``; one that is not there has no code and goes by its words."""
    known = {what: (code, name) for what, code, name in accounts.select("what", "code", "name").iter_rows()}
    return lambda what: known.get(what, (None, what))


def label(named: Named, what: str) -> str:
    """An account in one cell: ``1010 Clay and glaze materials``, or its words where it has no code."""
    code, name = named(what)
    return what if code is None else f"{code} {name}"


def packing_materials(form_materials: pl.DataFrame, glazes: pl.DataFrame) -> set[str]:
    """The materials that pieces take when they are sold, and in no other way."""
    at_sale = pl.col("stage").is_null()
    sold, made = (form_materials.filter(when)["material"].to_list() for when in (at_sale, ~at_sale))
    return set(sold).difference(made, glazes["material"])


def stock_account(material: str, packing: set[str]) -> str:
    """The account of the stock of a clay or material."""
    return PACKING if material in packing else RAW
