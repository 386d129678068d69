"""The cheapest order of all clays that are short, carriage counted once a supplier."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from pipeline.buying.cheapest import Packs, cheapest_packs
from pipeline.buying.offers import Offer, Price

Terms = Mapping[str | None, int | None]
"""By supplier the dearest carriage that an order may come to; None if nothing is bought there."""


@dataclass(frozen=True, slots=True)
class Bought:
    """Packs of a clay to buy from one supplier, of what is short the part that they are for, and at what price."""

    clay: str
    offer: Offer
    price: Price
    packs: int
    covers_mg: int

    @property
    def bought_mg(self) -> int:
        """Clay in the packs."""
        return self.packs * self.offer.pack_mg


def cheapest_order(short_mg: Mapping[str, int], offers: Mapping[str, Sequence[Offer]]) -> list[Bought]:
    """What to buy, clay by clay in the order of ``short_mg``, so that all of it costs least.

    One order goes to a supplier, whatever clays are in it, and its carriage counts once: the highest of the prices that
    it is bought at. So clays are chosen together: for every way of fixing for each supplier the most that carriage may
    come to, each clay has cheapest packs of its own. A way is passed over only if what it comes to at least is more
    than what is known to be enough.

    Raises ValueError if a clay that is short has no offer that can be bought.
    """
    wanted = {clay: mg for clay, mg in short_mg.items() if mg > 0}
    levels = _levels(offers[clay] for clay in wanted)
    open_to_all: dict[str | None, int | None] = {supplier: carriages[-1] for supplier, carriages in levels.items()}

    @cache
    def packs_of(clay: str, terms: tuple[int | None, ...]) -> Packs | None:
        within = [offer.within(most) for offer, most in zip(offers[clay], terms, strict=True)]
        return cheapest_packs(wanted[clay], within)

    def choice(terms: Terms) -> dict[str, Packs] | None:
        found = {}
        for clay in wanted:
            own = packs_of(clay, tuple(terms[offer.supplier] for offer in offers[clay]))
            if own is None:
                return None
            found[clay] = own
        return found

    best: tuple[tuple[int, int], dict[str, Packs]] | None = None
    choosing = [supplier for supplier, carriages in levels.items() if carriages != [0]]
    ways: list[tuple[int, Terms]] = [(0, open_to_all)]
    while ways:
        fixed, terms = ways.pop()
        chosen = choice(terms)
        if chosen is None:
            continue
        carriage = sum(terms[supplier] or 0 for supplier in choosing[:fixed])
        merit = (carriage + sum(packs.cost for packs in chosen.values()), _offers_used(chosen))
        if best is not None and merit[0] > best[0][0]:
            continue
        if fixed < len(choosing):
            supplier = choosing[fixed]
            for most in (*reversed(levels[supplier]), None):
                ways.append((fixed + 1, {**terms, supplier: most}))
        elif best is None or merit < best[0]:
            best = merit, chosen
    if best is None:
        raise ValueError("a clay that is short cannot be bought")
    return [row for clay, packs in best[1].items() for row in _rows(clay, wanted[clay], offers[clay], packs)]


def carriage_of(bought: Sequence[Bought]) -> dict[str | None, int]:
    """The carriage of each supplier's order: the highest of its prices, once."""
    found: dict[str | None, int] = {}
    for row in bought:
        found[row.offer.supplier] = max(found.get(row.offer.supplier, 0), row.price.carriage)
    return found


def _levels(offers: Iterator[Sequence[Offer]]) -> dict[str | None, list[int]]:
    """Every carriage that a supplier's order may come to, from the least."""
    found: dict[str | None, set[int]] = {}
    for offer in (offer for own in offers for offer in own):
        found.setdefault(offer.supplier, set()).update(price.carriage for price in offer.prices)
    return {supplier: sorted(carriages) for supplier, carriages in found.items()}


def _offers_used(chosen: Mapping[str, Packs]) -> int:
    return sum(packs.offers_used for packs in chosen.values())


def _rows(clay: str, short: int, offers: Sequence[Offer], packs: Packs) -> Iterator[Bought]:
    """A row an offer, the one first that comes first; each covers all that it holds, the last what is still short."""
    used = [(offer, count) for offer, count in zip(offers, packs.counts, strict=True) if count]
    used.sort(key=lambda row: -row[0].pack_mg)
    for at, (offer, count) in enumerate(used):
        price = offer.price_of(count)
        if price is None:  # cheapest_packs takes no fewer than a price allows
            raise ValueError(f"{count} packs of {clay} have no price")
        covers = short if at == len(used) - 1 else count * offer.pack_mg
        short -= covers
        yield Bought(clay, offer, price, count, covers)
