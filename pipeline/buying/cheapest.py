"""The cheapest whole packs that hold enough of one clay: exact, in whole numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import heapify, heappop, heappush

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


Starts = dict[int, Packs]
"""By what is still short, in milligrams (nought or less: it is enough), the best packs that lead there."""


def cheapest_packs(short_mg: int, offers: Sequence[Offer]) -> Packs | None:
    """The packs of the offers that together hold ``short_mg`` or more at the least cost; None if there are none.

    The price for so many packs holds for all of them, as price lists for clay have it. Of equal costs that of the
    fewest offers is taken, then that which leaves the most clay.

    Offer by offer, the one cheapest by the kilogram first: either the rest is filled up with it at its lowest price,
    once packs of the others are chosen (``_Filling``), or so few of it are bought, or none, that this price is not had,
    and the others have to do. A start is dropped only if the rest at the best price a kilogram, packs not even whole,
    would already cost more than packs that are known to be enough.
    """
    order = sorted((at for at, offer in enumerate(offers) if offer.prices), key=lambda at: _dearness(offers[at]))
    best = min((cost for at in order for cost in _by_one_or_two(short_mg, at, offers)), default=None)
    starts: Starts = {short_mg: Packs(0, (0,) * len(offers))}
    enough: list[tuple[Packs, int]] = []
    for place, at in enumerate(order):
        lowest = min(offers[at].prices, key=lambda price: (price.pack, price.least))
        short = {left: packs for left, packs in starts.items() if left > 0}
        fewer: Iterable[Price] = offers[at].prices
        if _goes_on(lowest, offers[at]):
            filling = _Filling(short_mg, offers[at], lowest)
            chosen = short
            for other in order[place + 1 :]:
                chosen = filling.with_some(chosen, other, offers[other], best)
            for left, packs in chosen.items():
                count = _enough(left, offers[at], lowest)
                enough.append((packs.more(at, count, lowest.pack), left - count * offers[at].pack_mg))
            best = min((packs.cost for packs, _ in enough), default=best)
            fewer = (price for price in fewer if price.least < lowest.least)
        for price in fewer:
            for left, packs in _counted(short, at, offers[at], price):
                _keep(starts, left, packs)
        if place + 1 < len(order) and best is not None:
            rest = _dearness(offers[order[place + 1]])
            starts = {left: packs for left, packs in starts.items() if packs.cost + max(left, 0) * rest <= best}
    enough += [(packs, left) for left, packs in starts.items() if left <= 0]
    return min(enough, key=lambda found: _merit(*found))[0] if enough else None


@dataclass(frozen=True)
class _Filling:
    """What is still short is filled up with packs of one offer, at a price by the kilogram that no other offer beats.

    So of packs of other offers that leave the same to be filled up but for whole packs of this one, those that leave
    more and are no dearer, those whole packs counted, are as good: of the others no more is bought than it takes to
    come to each remainder. (The residues of the money-changing problem; S. Boecker and Z. Liptak, "A fast and simple
    algorithm for the Money Changing Problem", Algorithmica 48, 2007.)
    """

    short_mg: int
    offer: Offer
    price: Price

    def with_some(self, starts: Mapping[int, Packs], at: int, other: Offer, best: int | None) -> Starts:
        """The starts with any number of packs of another offer, or none, without those that others are as good as."""
        reached = dict(starts)
        for price in other.prices:
            if _goes_on(price, other):
                some: Iterable[tuple[int, Packs]] = self._one_by_one(starts, at, other, price, best)
            else:
                some = _counted(starts, at, other, price)
            for left, packs in some:
                if not self._too_dear(left, packs, best):
                    _keep(reached, left, packs)
        front = _Front()
        return {
            left: reached[left]
            for left in sorted(reached, reverse=True)
            if self._keeps(front, left, reached[left], best)
        }

    def _one_by_one(
        self, starts: Mapping[int, Packs], at: int, other: Offer, price: Price, best: int | None
    ) -> Iterator[tuple[int, Packs]]:
        """The least number of packs at a price, then one more at a time, those that leave most first."""
        here: Starts = {}
        for left, packs in starts.items():
            _keep(here, left - price.least * other.pack_mg, packs.more(at, price.least, price.pack))
        front = _Front()
        heap = [-left for left in here]
        heapify(heap)
        while heap:
            left = -heappop(heap)
            packs = here.pop(left)
            if not self._keeps(front, left, packs, best):
                continue
            yield left, packs
            if left > 0:
                after = left - other.pack_mg
                if after not in here:
                    heappush(heap, -after)
                _keep(here, after, packs.more(at, 1, price.pack))

    def _keeps(self, front: _Front, left: int, packs: Packs, best: int | None) -> bool:
        """Whether packs are worth going on with, beside those that leave as much or more."""
        if self._too_dear(left, packs, best):
            return False
        pack = self.offer.pack_mg
        dearer = packs.cost * pack - (self.short_mg - left) * self.price.pack
        return front.adds(left % pack, dearer, packs.offers_used)

    def _too_dear(self, left: int, packs: Packs, best: int | None) -> bool:
        """Whether packs, and what is left at this price, come to more than what is known to be enough."""
        pack = self.offer.pack_mg
        return best is not None and packs.cost * pack + max(left, 0) * self.price.pack > best * pack


class _Front:
    """By remainder how much dearer than filled up packs are, the least for each number of offers."""

    def __init__(self) -> None:
        self._known: dict[int, dict[int, int]] = {}

    def adds(self, remainder: int, dearer: int, offers: int) -> bool:
        """Whether these packs are better than those noted: less dear, or no dearer and of fewer offers. Notes them."""
        known = self._known.setdefault(remainder, {})
        if any(least < dearer or (least == dearer and used <= offers) for used, least in known.items()):
            return False
        known[offers] = dearer
        return True


def _merit(packs: Packs, left: int) -> tuple[int, int, int]:
    return packs.cost, packs.offers_used, left


def _keep(found: Starts, left: int, packs: Packs) -> None:
    """Lists packs, unless better ones lead to the same."""
    if left not in found or _merit(packs, left) < _merit(found[left], left):
        found[left] = packs


def _dearness(offer: Offer) -> Fraction:
    """The least price of a milligram."""
    return min(Fraction(price.pack, offer.pack_mg) for price in offer.prices)


def _enough(left: int, offer: Offer, price: Price) -> int:
    """The fewest packs at a price that hold what is left."""
    return max(price.least, -(-left // offer.pack_mg))


def _alone(left: int, offer: Offer) -> Iterator[int]:
    """What it costs to buy all of one offer, at each price at which that can be."""
    for price in offer.prices:
        packs = _enough(left, offer, price)
        if price.most is None or packs <= price.most:
            yield packs * price.pack


def _by_one_or_two(left: int, at: int, offers: Sequence[Offer]) -> Iterator[int]:
    """What it costs to buy all of one offer, or whole packs of it and what is left then of another."""
    yield from _alone(left, offers[at])
    others = [other for place, other in enumerate(offers) if place != at]
    packs, rest = divmod(left, offers[at].pack_mg)
    price = offers[at].price_of(packs)
    if price is not None and packs <= (price.most or packs):
        yield from (packs * price.pack + cost for other in others for cost in _alone(rest, other))


def _counted(starts: Mapping[int, Packs], at: int, offer: Offer, price: Price) -> Iterator[tuple[int, Packs]]:
    """Every number of packs of an offer at one price, up to what is enough."""
    for left, packs in starts.items():
        most = _enough(left, offer, price)
        for count in range(price.least, (most if price.most is None else min(price.most, most)) + 1):
            yield left - count * offer.pack_mg, packs.more(at, count, price.pack)


def _goes_on(price: Price, offer: Offer) -> bool:
    """Whether any number of packs above those that the price holds for costs no more each: then it may be counted on
    for all of them, as the lower price gives the same packs for less.
    """
    if price.most is None:
        return True
    following = next((other for other in offer.prices if other.least == price.most + 1), None)
    return following is not None and following.pack <= price.pack and _goes_on(following, offer)
