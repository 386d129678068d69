"""The journal."""

from __future__ import annotations

import polars as pl

from schemas.accounts import ACCOUNTS
from schemas.fields import Money, amount, choice, day, text, whole
from schemas.sheet import Sheet


class Journal(Sheet):
    """One side of an entry: an account debited or credited; the debits of an entry are its credits."""

    class Config:
        """An account stands once on a side of an entry."""

        unique = ["entry", "what"]

    entry: int = whole("number of the entry, by date", needed=True, ge=1)
    date: pl.Date = day(
        "the day of a delivery; of what is summed up over the books, their last day; of the opening, their first",
        needed=True,
    )
    for_what: str = text("what the entry is for", needed=True)
    what: str = choice("the account in words", ACCOUNTS, needed=True)
    code: str = text("its code in `accounts`; blank if it has none there")
    account: str = text("its name in `accounts`, or else the words", needed=True)
    debit: Money = amount("debit; blank if the account is credited", gt=0)
    credit: Money = amount("credit; blank if the account is debited", gt=0)
