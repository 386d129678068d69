"""The cheapest packs and orders, against a solver of whole-number programmes and against sums on paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random
from time import perf_counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from pipeline.buying.cheapest import Packs, cheapest_packs
from pipeline.buying.offers import MICRO, Offer, Price
from pipeline.buying.orders import Bought, carriage_of, cheapest_order
from pipeline.clay import MG

Offers = Mapping[str, Sequence[Offer]]


def priced(*breaks: tuple[int, float] | tuple[int, float, float]) -> tuple[Price, ...]:
    """Prices from pairs of the fewest packs and the price, and the carriage if there is any."""
    ends = [least - 1 for least, *_ in breaks[1:]]
    return tuple(
        Price(least, end, round(pack * MICRO), round(sum(carriage) * MICRO))
        for (least, pack, *carriage), end in zip(breaks, [*ends, None], strict=True)
    )


def offer(supplier: str, pack_kg: float, *breaks: tuple[int, float] | tuple[int, float, float]) -> Offer:
    return Offer(supplier, round(pack_kg * MG), priced(*breaks))


def spent(bought: Sequence[Bought]) -> int:
    """What an order comes to, worked out from what is bought alone."""
    for row in bought:
        assert row.price.least <= row.packs
        assert row.price.most is None or row.packs <= row.price.most
    return sum(row.packs * row.price.pack for row in bought) + sum(carriage_of(bought).values())


def least_by_milp(short: Mapping[str, int], offers: Offers) -> float:
    """The least cost in money by the solver HiGHS (scipy.optimize.milp).

    For each price a whole number of packs, and a nought or one that says whether it is used; at most one price an
    offer; for each supplier a carriage no lower than that of any price used.
    """
    cells = [
        (clay, place, own, price)
        for clay, mg in short.items()
        if mg > 0
        for place, own in enumerate(offers[clay])
        for price in own.prices
    ]
    if not cells:
        return 0.0
    suppliers = list(dict.fromkeys(own.supplier for _, _, own, _ in cells))
    count = len(cells)
    size = 2 * count + len(suppliers)
    costs = np.zeros(size)
    rows, lows, highs = [], [], []

    def rule(low: float, high: float, weights: Mapping[int, float]) -> None:
        row = np.zeros(size)
        for at, weight in weights.items():
            row[at] = weight
        rows.append(row)
        lows.append(low)
        highs.append(high)

    most = {clay: -(-mg // min(own.pack_mg for own in offers[clay])) + 100 for clay, mg in short.items()}
    for at, (clay, _, own, price) in enumerate(cells):
        costs[at] = price.pack / MICRO
        end = most[clay] if price.most is None else price.most
        rule(0, np.inf, {at: 1, count + at: -price.least})
        rule(-np.inf, 0, {at: 1, count + at: -end})
        rule(0, np.inf, {2 * count + suppliers.index(own.supplier): 1, count + at: -price.carriage / MICRO})
    for clay, mg in short.items():
        if mg > 0:
            rule(mg / MG, np.inf, {at: cell[2].pack_mg / MG for at, cell in enumerate(cells) if cell[0] == clay})
    for key in dict.fromkeys((clay, place) for clay, place, _, _ in cells):
        rule(0, 1, {count + at: 1 for at, cell in enumerate(cells) if cell[:2] == key})
    costs[2 * count :] = 1
    upper = np.concatenate([np.full(count, np.inf), np.ones(count), np.full(len(suppliers), np.inf)])
    whole = np.concatenate([np.ones(2 * count), np.zeros(len(suppliers))])
    found = milp(
        costs,
        integrality=whole,
        bounds=Bounds(0, upper),
        constraints=LinearConstraint(np.array(rows), lows, highs),
        options={"mip_rel_gap": 0},
    )
    assert found.success, found.message
    return float(found.fun)


def random_market(random: Random) -> tuple[dict[str, int], dict[str, list[Offer]]]:
    """One to three clays of one to three suppliers, in packs of common sizes, with breaks that need not make sense."""
    short, offers = {}, {}
    for clay in ("buff", "dark", "white")[: random.randint(1, 3)]:
        short[clay] = random.choice([0, 1, random.randrange(60), random.randrange(700)]) * MG + random.choice([0, 300])
        packs = random.sample(
            [(who, kg) for who in ("North", "Fen", "Hill") for kg in (5, 10, 11.34, 12.5, 25, 500)],
            random.randint(1, 4),
        )
        offers[clay] = []
        for supplier, kg in packs:
            first = random.choice([1, 1, 1, 1, 4])
            least = [first, *sorted(random.sample(range(first + 1, 45), random.randint(0, 2)))]
            offers[clay].append(
                offer(
                    supplier,
                    kg,
                    *(
                        (packs_from, round(kg * random.uniform(0.7, 1.4), 2), random.choice([0, 0, 18.0, 27.5]))
                        for packs_from in least
                    ),
                )
            )
    return short, offers


@limits(max_examples=120, deadline=None)
@given(st.randoms(use_true_random=False))
def test_no_order_is_cheaper(random: Random) -> None:
    short, offers = random_market(random)
    bought = cheapest_order(short, offers)
    for clay, mg in short.items():
        assert sum(row.bought_mg for row in bought if row.clay == clay) >= mg
        assert sum(row.covers_mg for row in bought if row.clay == clay) == mg
    # Prices and carriages are whole pence, so that two orders differ by a penny or not at all.
    assert spent(bought) / MICRO == pytest.approx(least_by_milp(short, offers), abs=1e-3)


def counts(short_kg: float, *offers: Offer) -> tuple[int, ...]:
    found = cheapest_packs(round(short_kg * MG), offers)
    assert found is not None
    return found.counts


def test_small_packs_fill_up_what_a_big_one_leaves() -> None:
    # 530 kg short. 43 bags at 13.80 are 593.40; a pallet of 500 kg at 480.00 and 3 bags at 13.80 are 521.40; two
    # pallets 960.00.
    assert counts(530, offer("North", 12.5, (1, 13.80)), offer("North", 500, (1, 480.0))) == (3, 1)


def test_more_than_is_short_is_bought_where_that_costs_less() -> None:
    # 230 kg short: 19 bags at 13.80 are 262.20, 20 at 12.60 are 252.00.
    assert counts(230, offer("North", 12.5, (1, 13.80), (20, 12.60))) == (20,)
    # 18 bags at 13.80 are 248.40: not worth it.
    assert counts(225, offer("North", 12.5, (1, 13.80), (20, 12.60))) == (18,)


def test_a_price_that_holds_only_from_so_many_packs_is_not_had_for_fewer() -> None:
    # 10 kg short: one bag of the one, dearer by the kilogram, is cheaper than the ten bags of the other.
    assert counts(10, offer("Fen", 10, (10, 5.00)), offer("North", 12.5, (1, 13.80))) == (0, 1)


def test_a_price_that_brings_carriage_is_not_counted_on_without_it() -> None:
    # 10.3 kg: three packs of 5 kg are 15.00, but the third brings 18.00 of carriage; one of 5 and one of 10 are 15.00.
    small = offer("North", 5, (1, 5.0), (2, 5.0), (3, 5.0, 18.0))
    bought = cheapest_order({"buff": 10_300_000}, {"buff": [small, offer("North", 10, (1, 10.0))]})
    assert [(row.offer.pack_mg // MG, row.packs) for row in bought] == [(10, 1), (5, 1)]


def test_carriage_of_one_supplier_is_paid_once() -> None:
    # Fen's clay is cheaper, but brings 25.00 of carriage. Buff alone: 5 x 12.00 + 25.00 = 85.00, and at North's
    # 5 x 14.00 = 70.00. Dark is Fen's alone, so the van comes anyway: then buff is 60.00 there.
    buff = [offer("North", 10, (1, 14.0)), offer("Fen", 10, (1, 12.0, 25.0))]
    dark = [offer("Fen", 10, (1, 15.0, 25.0))]

    def suppliers(short: dict[str, int]) -> list[str | None]:
        return [row.offer.supplier for row in cheapest_order(short, {"buff": buff, "dark": dark})]

    assert suppliers({"buff": 50 * MG}) == ["North"]
    assert suppliers({"buff": 50 * MG, "dark": 20 * MG}) == ["Fen", "Fen"]


def test_of_equal_costs_that_of_fewer_offers_then_that_of_more_clay() -> None:
    # 20 kg for 20.00 in either way: one pack, not two; 15 or 20 kg for 20.00: the 20.
    assert counts(15, offer("A", 10, (1, 10.0)), offer("B", 5, (1, 5.0)), offer("A", 20, (1, 15.0))) == (0, 0, 1)
    assert counts(15, offer("A", 15, (1, 20.0)), offer("A", 20, (1, 20.0))) == (0, 1)


def test_tons_of_equal_prices_take_no_time() -> None:
    # 30,001.5 kg in packs of 10, 25 and 12.5 kg at 1.00 a kilogram (the last at 1.04). No packs of 10 and 25 hold less
    # than 30,005 kg and enough; a pack of 12.5 kg for the rest brings 29,990 + 12.5 kg: 29,990.00 + 13.00 = 30,003.00.
    found = cheapest_packs(
        30_001_500_000,
        [offer("A", 10, (1, 10.0)), offer("A", 25, (1, 25.0)), offer("B", 12.5, (1, 13.0))],
    )
    assert found is not None
    assert found.cost == 30_003 * MICRO


def test_a_price_that_ends_is_not_had_for_more() -> None:
    # 5 kg at 3.00 for up to ten packs, as where more would come with a dearer carriage; 10 kg at 9.00. 100 kg: ten of
    # the one, 30.00, and five of the other, 45.00.
    small = Offer("A", 5 * MG, (Price(1, 10, 3 * MICRO),))
    assert cheapest_packs(100 * MG, [small, offer("B", 10, (1, 9.0))]) == Packs(75 * MICRO, (10, 5))


@pytest.mark.parametrize(
    "breaks",
    [
        ((1, 1.00),),  # every pack at one price by the kilogram
        ((1, 1.10), (20, 1.00), (80, 0.97)),
    ],
)
def test_ten_tons_in_five_sizes_are_quick(breaks: tuple[tuple[int, float], ...]) -> None:
    sizes = (5.01, 9.97, 11.34, 12.53, 25.07)
    offers = [offer("A", kg, *((least, kg * rate) for least, rate in breaks)) for kg in sizes]
    begun = perf_counter()
    found = cheapest_packs(10_000_300_000, offers)
    assert perf_counter() - begun < 5  # about 0.2 s; a list of all that may be short takes two minutes
    assert found is not None
    least = least_by_milp({"buff": 10_000_300_000}, {"buff": offers})
    assert found.cost / MICRO == pytest.approx(least, rel=1e-7)
    assert sum(count * own.pack_mg for count, own in zip(found.counts, offers, strict=True)) >= 10_000_300_000
