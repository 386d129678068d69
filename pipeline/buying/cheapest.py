"""The cheapest whole packs that hold enough of one clay: exact, in whole numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pipeline.buying.offers import Offer, Price


@dataclass(frozen=True, slots=True)
class Packs:
    """Packs of some clay: what they cost without carriage, and how many of each offer, in the order of offers."""

    cost: int
    counts: tuple[int, ...]

    @property
    def offers_used(self) -> int:
        """Of how many offers something is bought."""
        return sum(count > 0 for count in self.counts)

    def more(self, at: int, count: int, cost: int) -> Packs:
        """The same with so many more of an offer, at a cost each."""
        counts = self.counts
        return Packs(self.cost + count * cost, (*counts[:at], counts[at] + count, *counts[at + 1 :]))


Starts = Mapping[int, Packs]
"""By what is still short, in milligrams (nought or less: it is enough), the best packs that lead there."""


@dataclass(frozen=True, slots=True)
class _Rate:
    """What clay costs at least: so much money for so much."""

    money: int
    mg: int

    def too_dear(self, packs: Packs, left: int, best: int | None) -> bool:
        """Whether packs and the rest at this rate come to more than what is known to be enough."""
        return best is not None and packs.cost * self.mg + max(left, 0) * self.money > best * self.mg


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
        rest = _best_rate(offers[order[place + 1]]) if place + 1 < len(order) else None
        reached = {left: packs for left, packs in starts.items() if left <= 0 or rest is not None}
        short = {left: packs for left, packs in starts.items() if left > 0}
        for price in offers[at].prices:
            for left, packs in _bought(short, at, offers[at], price, rest, best):
                if left <= 0 and (best is None or packs.cost < best):
                    best = packs.cost
                _keep(reached, left, packs)
        starts = {
            left: packs
            for left, packs in reached.items()
            if left <= 0 or (rest is not None and not rest.too_dear(packs, left, best))
        }
    enough = [(packs, left) for left, packs in starts.items() if left <= 0]
    return min(enough, key=lambda found: _merit(*found))[0] if enough else None


def _merit(packs: Packs, left: int) -> tuple[int, int, int]:
    return packs.cost, packs.offers_used, left


def _keep(found: dict[int, Packs], left: int, packs: Packs) -> None:
    """Lists packs, unless better ones lead to the same."""
    if left not in found or _merit(packs, left) < _merit(found[left], left):
        found[left] = packs


def _dearness(offer: Offer) -> Fraction:
    """The least price of a milligram."""
    return min(Fraction(price.pack, offer.pack_mg) for price in offer.prices)


def _best_rate(offer: Offer) -> _Rate:
    return _Rate(min(price.pack for price in offer.prices), offer.pack_mg)


def _enough(left: int, offer: Offer, price: Price) -> int:
    """The fewest packs at a price that hold what is left."""
    return max(price.least, -(-left // offer.pack_mg))


def _alone(left: int, offer: Offer) -> Iterator[int]:
    """What it costs to buy all of one offer, at each price at which that can be."""
    for price in offer.prices:
        packs = _enough(left, offer, price)
        if price.most is None or packs <= price.most:
            yield packs * price.pack


def _bought(
    short: Starts, at: int, offer: Offer, price: Price, rest: _Rate | None, best: int | None
) -> Iterator[tuple[int, Packs]]:
    """What may be short after packs of one offer are bought at one price, and the packs. What is short then is bought
    of the other offers, at no less than ``rest``; without any, packs of this one have to be enough.
    """
    if rest is None:
        for left, packs in short.items():
            count = _enough(left, offer, price)
            if price.most is None or count <= price.most:
                yield left - count * offer.pack_mg, packs.more(at, count, price.pack)
    elif _goes_on(price, offer):
        yield from _step_by_step(short, at, offer, price, rest, best)
    else:
        for left, packs in short.items():
            for count in range(price.least, min(price.most or 0, _enough(left, offer, price)) + 1):
                yield left - count * offer.pack_mg, packs.more(at, count, price.pack)


def _goes_on(price: Price, offer: Offer) -> bool:
    """Whether any number of packs above those that the price holds for costs no more each: then it may be counted on
    for all of them, as the lower price gives the same packs for less.
    """
    if price.most is None:
        return True
    following = next((other for other in offer.prices if other.least == price.most + 1), None)
    return following is not None and following.pack <= price.pack and _goes_on(following, offer)


def _step_by_step(
    short: Starts, at: int, offer: Offer, price: Price, rest: _Rate, best: int | None
) -> Iterator[tuple[int, Packs]]:
    """The least number of packs, then one more at a time. Starts that differ by whole packs run into one another, and
    from there on the better one alone goes on, so that each amount is met once.
    """
    pack = offer.pack_mg
    here: dict[int, Packs] = {}
    for left, packs in short.items():
        _keep(here, left - price.least * pack, packs.more(at, price.least, price.pack))
    least = min(_Rate(price.pack, pack), rest, key=lambda rate: Fraction(rate.money, rate.mg))
    for left in sorted(here, reverse=True):
        now = left
        while now in here:
            packs = here.pop(now)
            yield now, packs
            if now <= 0 or least.too_dear(packs, now, best):
                break
            now -= pack
            _keep(here, now, packs.more(at, 1, price.pack))
