"""A column in words: what may be typed in it and what a blank means."""

from __future__ import annotations

from schemas.sheet import Column

KINDS = {
    "text": "words",
    "list": "words with `;` between",
    "choice": "one of its words",
    "yes_no": "`yes` or `no`",
    "whole": "whole number",
    "number": "number",
    "month": "month",
    "day": "date",
    "amount": "money",
    "price": "money",
}
"""What a cell of each kind holds."""


def may_hold(column: Column) -> str:
    """What may be typed, with its bounds: ``number above 0``, ``whole number, 1 or more``, ``bat, board``."""
    if column.options:
        return " or ".join(f"`{option}`" for option in column.options)
    kind = KINDS[column.kind]
    limits = bounds(column)
    return f"{kind}, {limits}" if limits else kind


def bounds(column: Column) -> str:
    """The bounds of a number in words, empty where there are none. Months need none: everybody knows them."""
    if column.kind == "month":
        return ""
    if column.low is not None and column.high is not None:
        return f"{column.low:g} to {column.high:g}"
    words = [
        f"{column.low:g} or more" if column.low is not None else "",
        f"above {column.above:g}" if column.above is not None else "",
        f"{column.high:g} or less" if column.high is not None else "",
        f"below {column.below:g}" if column.below is not None else "",
    ]
    return ", ".join(word for word in words if word)


def found_in(column: Column) -> str:
    """The sheets and columns in which the value must stand: ``forms.form``; empty where it is free."""
    if column.link is None:
        return ""
    return " or ".join(f"{sheet}.{name}" for sheet, name in column.link.targets)
