"""How cells are meant that a sheet leaves open, and what is known of where they come from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from schemas.units import Unit


class Ways(NamedTuple):
    """How cells are meant that a sheet leaves open; None where that was not chosen.

    ``currency`` is that of all money, by its letters or its sign, and ``currency_from`` says where it stands.
    """

    decimal_mark: str | None = None
    date_order: str | None = None
    currency: str = ""
    currency_from: str = ""


class Source(NamedTuple):
    """Where a sheet's cells come from: the units that headings give to columns, and what the file is like.

    ``typed`` is true of a workbook, whose plain numbers are numbers and say nothing of the marks that people type; a
    number of thousandths has a nought more there, so that ``1.234`` is text.
    """

    units: Mapping[str, Unit] = {}
    semicolons: bool = False
    typed: bool = False
