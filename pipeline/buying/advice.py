"""What price breaks save, or would save, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from pipeline.buying.offers import MICRO, Price
from pipeline.buying.orders import Bought
from pipeline.money import amount


@dataclass(frozen=True, slots=True)
class Advice:
    """A sentence on a price break, and the money that it is about."""

    words: str
    saves: Decimal


def advice(row: Bought, order: Sequence[Bought], digits: int) -> Advice | None:
    """What is worth knowing of the price breaks of a row of an order; None if nothing is.

    Either more is bought than is short, because that costs less than just enough: then it saves the difference. Or a
    lower price holds from so many packs on: then the packs that are missing cost less now than bought later at the
    price of today, if the clay will be used.

    36 packs at 13.80, and 13.00 from 40 on: four more come to 520.00 for 496.80, so 23.20 more now for 55.20 later.
    """
    just = -(-row.covers_mg // row.offer.pack_mg)
    then = row.offer.price_of(just)
    if just < row.packs and then is not None:
        saves = just * then.pack + _carriage(row, order, then) - _cost(row, order)
        if saves > 0:
            return Advice(
                f"{_more(row.packs - just, 'than needed')}: from {row.price.least} on a pack costs "
                f"{_money(row.price.pack, digits)}, and {row.packs} cost less than {just} at "
                f"{_money(then.pack, digits)}",
                _rounded(saves, digits),
            )
    following = next((price for price in row.offer.prices if price.least > row.packs), None)
    if following is None:
        return None
    missing = following.least - row.packs
    dearer = following.least * following.pack + _carriage(row, order, following) - _cost(row, order)
    saves = missing * row.price.pack - dearer
    if saves <= 0:
        return None
    return Advice(
        f"{_more(missing, 'would make')} {following.least}, from which a pack costs "
        f"{_money(following.pack, digits)}: {_money(dearer, digits)} more now, instead of "
        f"{_money(missing * row.price.pack, digits)} later",
        _rounded(saves, digits),
    )


def _more(packs: int, what: str) -> str:
    return f"{packs} pack{'' if packs == 1 else 's'} more {what}"


def _cost(row: Bought, order: Sequence[Bought]) -> int:
    return row.packs * row.price.pack + _carriage(row, order, row.price)


def _carriage(row: Bought, order: Sequence[Bought], price: Price) -> int:
    """The carriage of the supplier's whole order, were the row bought at a price."""
    others = (other for other in order if other is not row and other.offer.supplier == row.offer.supplier)
    return max(price.carriage, *(other.price.carriage for other in others), 0)


def _rounded(micro: int, digits: int) -> Decimal:
    return amount(Fraction(micro, MICRO), digits)


def _money(micro: int, digits: int) -> str:
    return f"{_rounded(micro, digits)}"
