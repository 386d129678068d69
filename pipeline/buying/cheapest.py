"""The cheapest whole packs that hold enough of one clay: exact, in whole numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pipeline.buying.offers import Offer, Price


@dataclass(frozen=True, slots=True)
class Packs:
    """Packs that hold enough: what they cost without carriage, and how many of each offer, in the order of offers."""

    cost: int
    counts: tuple[int, ...]

    @property
    def offers_used(self) -> int:
        """Of how many offers something is bought."""
        return sum(count > 0 for count in self.counts)


@dataclass(frozen=True, slots=True)
class _Rate:
    """The least that a milligram costs: so much money for a pack of so much."""

    money: int
    mg: int

    def too_dear(self, cost: int, left: int, best: int | None) -> bool:
        """Whether money spent and the rest at this rate come to more than what is known to be enough."""
        return best is not None and cost * self.mg + left * self.money > best * self.mg


def cheapest_packs(short_mg: int, offers: Sequence[Offer]) -> Packs | None:
    """The packs of the offers that together hold ``short_mg`` or more at the least cost; None if there are none.

    The price for so many packs holds for all of them, as price lists for clay have it. Of equal costs that of the
    fewest offers is taken, then that which leaves the most clay.

    Offer by offer, the one cheapest by the kilogram first, it lists what may still be short, with the least money that
    leads there. A start is dropped only if the rest at the best price a kilogram, packs not even whole, would
    already cost more than packs that are known to be enough.
    """
    order = sorted((at for at, offer in enumerate(offers) if offer.prices), key=lambda at: _dearness(offers[at]))
    best = min((cost for at in order for cost in _alone(short_mg, offers[at])), default=None)
    starts: dict[int, Packs] = {short_mg: Packs(0, (0,) * len(offers))}
    for place, at in enumerate(order):
        rest = _best_rate([offers[other] for other in order[place + 1 :]])
        reached: dict[int, Packs] = {}
        for left, packs in starts.items():
            for count, cost in _ways(left, packs.cost, offers[at], rest, best):
                counts = (*packs.counts[:at], count, *packs.counts[at + 1 :])
                now = left - count * offers[at].pack_mg
                if now <= 0 and (best is None or cost < best):
                    best = cost
                found = Packs(cost, counts)
                if now not in reached or _merit(found, now) < _merit(reached[now], now):
                    reached[now] = found
        starts = reached
    enough = [(packs, left) for left, packs in starts.items() if left <= 0]
    return min(enough, key=lambda found: _merit(*found))[0] if enough else None


def _merit(packs: Packs, left: int) -> tuple[int, int, int]:
    return packs.cost, packs.offers_used, left


def _dearness(offer: Offer) -> Fraction:
    """The least price of a milligram."""
    return min(Fraction(price.pack, offer.pack_mg) for price in offer.prices)


def _best_rate(offers: Sequence[Offer]) -> _Rate | None:
    """The least price of a milligram among offers: the first, as they stand in order of it."""
    if not offers:
        return None
    cheapest = min(price.pack for price in offers[0].prices)
    return _Rate(cheapest, offers[0].pack_mg)


def _enough(left: int, offer: Offer, price: Price) -> int:
    """The fewest packs at a price that hold what is left."""
    return max(price.least, -(-left // offer.pack_mg))


def _alone(left: int, offer: Offer) -> Iterator[int]:
    """What it costs to buy all of one offer, at each price at which that can be."""
    for price in offer.prices:
        packs = _enough(left, offer, price)
        if price.most is None or packs <= price.most:
            yield packs * price.pack


def _ways(left: int, spent: int, offer: Offer, rest: _Rate | None, best: int | None) -> Iterator[tuple[int, int]]:
    """How many packs of an offer may be bought, and the cost then, where ``left`` is short; the rest is bought of the
    other offers."""
    if left <= 0:
        yield 0, spent
        return
    if rest is not None and not rest.too_dear(spent, left, best):
        yield 0, spent
    for price in offer.prices:
        most = _enough(left, offer, price)
        if price.most is None or most <= price.most:
            yield most, spent + most * price.pack
            most -= 1
        else:
            most = price.most
        if rest is None:
            continue
        counts = range(price.least, most + 1)
        # Where this price is the better one, fewer packs of it cost more in the end: from the most down.
        dearer = price.pack * rest.mg > rest.money * offer.pack_mg
        for count in counts if dearer else reversed(counts):
            cost = spent + count * price.pack
            if rest.too_dear(cost, left - count * offer.pack_mg, best):
                break
            yield count, cost
