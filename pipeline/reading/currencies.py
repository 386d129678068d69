"""Signs and letters of currencies beside an amount of money."""

from __future__ import annotations

import re

SIGNS: dict[str, tuple[str, ...]] = {
    "€": ("EUR",),
    "£": ("GBP", "EGP", "GIP", "SHP"),
    "US$": ("USD",),
    "A$": ("AUD",),
    "AU$": ("AUD",),
    "C$": ("CAD",),
    "CA$": ("CAD",),
    "NZ$": ("NZD",),
    "R$": ("BRL",),
    "$": ("USD", "AUD", "CAD", "NZD", "HKD", "SGD", "MXN", "TWD", "CLP", "COP", "ARS"),
    "¥": ("JPY", "CNY"),
    "₹": ("INR",),
    "₩": ("KRW",),
    "₺": ("TRY",),
    "₪": ("ILS",),
    "kr": ("SEK", "NOK", "DKK", "ISK"),
    "kr.": ("DKK", "ISK", "SEK", "NOK"),
    "Fr.": ("CHF",),
    "SFr.": ("CHF",),
    "zł": ("PLN",),
    "Kč": ("CZK",),
    "Ft": ("HUF",),
    "lei": ("RON",),
    "R": ("ZAR",),
}
"""The currencies that a sign may stand for, the commonest first. From memory."""

CODES = frozenset(
    (
        "AED", "ARS", "AUD", "BDT", "BGN", "BHD", "BRL", "CAD", "CHF", "CLP", "CNY", "COP",
        "CZK", "DKK", "EGP", "EUR", "GBP", "GIP", "HKD", "HUF", "IDR", "ILS", "INR", "ISK",
        "JOD", "JPY", "KES", "KRW", "KWD", "LKR", "MAD", "MXN", "MYR", "NGN", "NOK", "NPR",
        "NZD", "OMR", "PEN", "PHP", "PKR", "PLN", "RON", "RSD", "SAR", "SEK", "SGD", "SHP",
        "THB", "TND", "TRY", "TWD", "UAH", "USD", "UYU", "VND", "ZAR",
    )
)  # fmt: skip
"""Letters of currencies. Source: ISO 4217, from memory."""

WORDS = {**{sign.casefold(): may_be for sign, may_be in SIGNS.items()}, **{code.casefold(): (code,) for code in CODES}}

_SIGN = "|".join(re.escape(sign) for sign in sorted(WORDS, key=len, reverse=True))
BEFORE = rf"(?i)^([+-]?)\s*({_SIGN})\s*([+-]?)\s*(?=[0-9.,])"
AFTER = rf"(?i)(?<=[0-9.,])\s*({_SIGN})$"
"""Not compiled here: most sheets have no sign of a currency, and their settings ask for the letters alone."""


def without_currency(cell: str) -> tuple[str, str | None]:
    """An amount without its currency, and the sign or letters that stood beside it, None if none did."""
    if found := re.match(BEFORE, cell):
        return found[1] + found[3] + cell[found.end() :], found[2]
    if found := re.search(AFTER, cell):
        return cell[: found.start()], found[1]
    return cell, None


def may_be(sign: str) -> tuple[str, ...]:
    """The currencies that a sign or its letters may stand for."""
    return WORDS[sign.casefold()]


def is_known(currency: str) -> bool:
    """Whether a currency, by its letters, is one whose signs are known."""
    return currency.casefold() in WORDS
