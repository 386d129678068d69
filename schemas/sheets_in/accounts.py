"""The bookkeeper's own account codes."""

from __future__ import annotations

from schemas.accounts import ACCOUNTS
from schemas.fields import choice, text
from schemas.sheet import Sheet


class Accounts(Sheet):
    """An account of the books, and its code in the bookkeeper's chart of accounts."""

    class Config:
        """An account stands once."""

        unique = ["what"]

    what: str = choice("the account in words", ACCOUNTS, example="raw materials", needed=True)
    code: str = text("its code in the bookkeeper's chart of accounts", example="1410", default="the words, and a doubt")
    name: str = text("its name there", example="Stock of materials", default="as `what`")
