"""The kinds of problem in the sheets that only the books need, defined once as those of the others are."""

from __future__ import annotations

from schemas.problem import ProblemKind

NO_ACCOUNT_CODE = ProblemKind(
    "no account code",
    "doubt",
    "A row of `accounts` has no code, so its account goes by its words in the books.",
    "`{value}` has no code, so it goes by these words in the books",
    "fill in `code`: what the bookkeeper's chart of accounts calls it, such as {example}",
)
CODE_TWICE = ProblemKind(
    "account code twice",
    "doubt",
    "Two accounts have the same code, so what is posted to them goes into one.",
    "`{value}` is already the code of `{account}` in row {other}",
    "leave it if the bookkeeper keeps both in one account; else give each its own code",
)
BALANCE_OF_NOTHING = ProblemKind(
    "balance of nothing",
    "stop",
    "A row of `opening_balances` does not say what clay, material or form it is of, or how far part-made goods are.",
    "{what} are carried over, and `{column}` is blank",
    "fill in `{column}` as `closing_balances` of the last period has it, or take the row out",
)
BOOKS_CLOSE_TOO_SOON = ProblemKind(
    "books close too soon",
    "stop",
    "`books_to` is before the plan begins, so the books would take in nothing.",
    "the books would close on {value}, before the plan begins on {start}",
    "type a day from {start} on, or take the row out for the plan's last day",
)

BOOK_KINDS = tuple(kind for kind in globals().values() if isinstance(kind, ProblemKind))
"""All of them, in the order in which people are told of them."""
