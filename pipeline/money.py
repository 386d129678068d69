"""Exact rounding and sharing of amounts: money, kilograms, percents.

Nothing here goes through a binary float, and no rounding or sharing depends on the thread's decimal context, so an
amount comes out the same wherever it is worked out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from math import lcm

from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings


def amount(value: Decimal | Fraction | int, digits: int) -> Decimal:
    """A value rounded to ``digits`` decimal places, halves away from zero, as a spreadsheet's ROUND does.

    The result has just ``digits`` places (``2.50``, not ``2.5``) and nought has no sign. Raises ValueError or
    OverflowError if the value is not a finite number.
    """
    return product(value, digits=digits)


def product(*values: Decimal | Fraction | int, digits: int) -> Decimal:
    """The exact product of some values, rounded as ``amount`` does it.

    Quicker than a product of fractions, which would be brought to its lowest terms for every row.
    """
    return _placed(product_units(*values, digits=digits), digits)


def product_units(*values: Decimal | Fraction | int, digits: int) -> int:
    """The same in units of the last of the ``digits`` decimal places."""
    top, bottom = 1, 1
    for value in values:
        over, under = value.as_integer_ratio()
        top *= over
        bottom *= under
    units: int = (2 * abs(top) * 10**digits + bottom) // (2 * bottom)
    return units if top >= 0 else -units


def at_price(number: Decimal | Fraction | int, price: Decimal | Fraction | None, digits: int) -> Decimal | None:
    """So many of something at a price, rounded; None where there are some and the price is not known."""
    if price is None:
        return None if number else amount(0, digits)
    return product(number, price, digits=digits)


def net_price(price: Decimal, settings: Settings) -> Decimal:
    """A price that holds the tax without it, to the six places that prices have: 16.00 at 20 % is 13.333333."""
    return amount(Fraction(price) / settings.with_tax, MONEY_DIGITS)


TYPED_DIGITS = 4
"""Decimal places of a price as people type it; so many are sure to come back from six places without tax."""


def exact_price(price: Decimal | None, kind: str, settings: Settings) -> Fraction | None:
    """A price without tax as exactly as it was typed, so that so many times it is what dividing the whole sum gives.

    ``kind`` says whether it is one of sales or of purchases. 3 at 18.79 with 20 % in it are 56.37, without it 46.975
    and so 46.98; three times 15.658333, the price to six places, would be 46.974999 and a penny less.
    """
    if price is None or not settings.holds_tax(kind):
        return None if price is None else Fraction(price)
    return Fraction(amount(Fraction(price) * settings.with_tax, TYPED_DIGITS)) / settings.with_tax


def at_tax(
    net: Decimal | None, exact: Fraction | None, kind: str, settings: Settings
) -> tuple[Decimal | None, Decimal | None]:
    """The tax on a sum without it, and the two together; None where the sum is not known.

    ``net`` is ``exact``, rounded. The tax is reckoned on the rounded sum; where the prices of its ``kind`` hold the
    tax it is instead what the price as it was typed has beyond the net, so that the gross is what is paid.
    """
    if net is None or exact is None:
        return None, None
    if settings.holds_tax(kind):
        gross = amount(exact * settings.with_tax, settings.minor_digits)
        return gross - net, gross
    tax = amount(Fraction(net) * (settings.with_tax - 1), settings.minor_digits)
    return tax, net + tax


def share_out(total: Decimal, weights: Sequence[Decimal | Fraction | int], digits: int) -> list[Decimal]:
    """Split a total in proportion to weights, so that the rounded shares add up to it exactly.

    Method of the largest remainder (Hamilton's): each gets its exact share rounded down to ``digits`` places; the units
    left over go, one each, to the largest remainders, of equal ones to the earlier. So each share is within one unit of
    the exact one. If every weight is nought the shares are equal; no weights give no shares. A total below nought is
    split as its opposite would be.

    Raises ValueError if the total has more than ``digits`` decimal places or a weight is below nought.
    """
    top, bottom = total.as_integer_ratio()
    if 10**digits % bottom:
        raise ValueError(f"{total} cannot be shared out in units of {digits} decimal places")
    shares = share_units(abs(top) * 10**digits // bottom, _whole_parts(weights))
    return [_placed(share if total >= 0 else -share, digits) for share in shares]


def share_units(units: int, parts: Sequence[int]) -> list[int]:
    """``share_out`` of a whole number of units, none below nought, by weights that are whole numbers."""
    if not any(parts):
        parts = [1] * len(parts)
    all_parts = sum(parts)
    shares = [units * part // all_parts for part in parts]
    remainders = [units * part % all_parts for part in parts]
    by_remainder = sorted(range(len(parts)), key=lambda place: -remainders[place])
    for place in by_remainder[: units - sum(shares)]:
        shares[place] += 1
    return shares


def _whole_parts(weights: Sequence[Decimal | Fraction | int]) -> list[int]:
    """Weights as whole numbers in the same proportion. Raises ValueError if one is below nought."""
    ratios = [weight.as_integer_ratio() for weight in weights]
    if any(top < 0 for top, _ in ratios):
        raise ValueError("a weight is below nought")
    common = lcm(*(bottom for _, bottom in ratios))
    return [top * (common // bottom) for top, bottom in ratios]


def _placed(units: int, digits: int) -> Decimal:
    """So many units of the last decimal place; made from text because that alone ignores the decimal context."""
    return Decimal(f"{units}E-{digits}")


def known_sum(amounts: Iterable[Decimal | None]) -> Decimal | None:
    """The sum of the amounts that are known; None where some are not and the others come to nought.

    So a cost of which nothing is known is not nought, and one of which a part is known is told as far as it is. The sum
    is as Python adds decimals: exact up to 28 digits.
    """
    given = list(amounts)
    total = sum((each for each in given if each is not None), Decimal(0))
    return None if not total and None in given else total
