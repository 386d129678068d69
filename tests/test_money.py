"""Rounding and sharing out, against printed apportionments and the decimal standard's own rounding."""

from __future__ import annotations

from decimal import Decimal, localcontext
from fractions import Fraction
from itertools import pairwise
from time import perf_counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.money import amount, known_sum, share_out

WEIGHTS = st.lists(
    st.one_of(
        st.integers(0, 10**9),
        st.fractions(0, 1000, max_denominator=997),
        st.decimals(0, 10**6, places=3, allow_nan=False),
    ),
    min_size=1,
    max_size=30,
)
TOTALS = st.decimals(-(10**9), 10**9, places=2, allow_nan=False)


@pytest.mark.parametrize(
    ("value", "digits", "rounded"),
    [
        # Halves away from zero: the ROUND_HALF_UP of the General Decimal Arithmetic specification (M. Cowlishaw), from
        # memory; a binary float gives 2.67 and 1.00 for two of them, and half-even 0.12, 1.00, 0, 2 and -2.
        ("0.125", 2, "0.13"),
        ("0.135", 2, "0.14"),
        ("2.675", 2, "2.68"),
        ("1.005", 2, "1.01"),
        ("0.5", 0, "1"),
        ("1.5", 0, "2"),
        ("2.5", 0, "3"),
        ("-2.5", 0, "-3"),
        ("-1.005", 2, "-1.01"),
        # Places are kept, and what rounds to nought has no sign.
        ("2.5", 2, "2.50"),
        ("-0.004", 2, "0.00"),
        ("1E+3", 2, "1000.00"),
        # Kilograms to the gram.
        ("12.3455", 3, "12.346"),
    ],
)
def test_amounts_round_halves_away_from_zero(value: str, digits: int, rounded: str) -> None:
    assert str(amount(Decimal(value), digits)) == rounded


def test_a_fraction_and_a_whole_number_round_as_well() -> None:
    assert str(amount(Fraction(2, 3), 2)) == "0.67"
    assert str(amount(Fraction(-1, 200), 2)) == "-0.01"  # half a hundredth, away from zero
    assert str(amount(7, 2)) == "7.00"


def test_tenths_add_up_exactly() -> None:
    # IEEE 754 doubles give 0.30000000000000004.
    assert amount(Decimal("0.1") + Decimal("0.2"), 17) == Decimal("0.3")
    assert amount(Fraction(1, 10) + Fraction(2, 10), 17) == Decimal("0.3")


def test_the_decimal_context_makes_no_difference() -> None:
    with localcontext() as context:
        context.prec = 3
        assert str(amount(Decimal("123456789.125"), 2)) == "123456789.13"
        assert [str(share) for share in share_out(Decimal("12345.67"), [1, 1], 2)] == ["6172.84", "6172.83"]


@pytest.mark.parametrize(("value", "error"), [("NaN", ValueError), ("Infinity", OverflowError)])
def test_what_is_not_a_number_is_refused(value: str, error: type[Exception]) -> None:
    with pytest.raises(error):
        amount(Decimal(value), 2)


@given(value=st.decimals(-(10**12), 10**12, places=6), digits=st.integers(0, 6))
def test_amounts_are_the_decimal_module_s_half_up(value: Decimal, digits: int) -> None:
    with localcontext() as context:
        context.prec = 50
        context.rounding = "ROUND_HALF_UP"
        assert amount(value, digits) == value.quantize(Decimal(1).scaleb(-digits))


def test_seats_of_the_1790_census() -> None:
    # Hamilton's method, 60 seats, quota 60,265.333, 8 left over. Source: electowiki, "Hamilton method".
    people = {
        "Virginia": 630560, "Massachusetts": 475327, "Pennsylvania": 432879, "North Carolina": 353523,
        "New York": 331589, "Maryland": 278514, "Connecticut": 236841, "South Carolina": 206236,
        "New Jersey": 179570, "New Hampshire": 141822, "Vermont": 85533, "Georgia": 70835,
        "Kentucky": 68705, "Rhode Island": 68446, "Delaware": 55540,
    }  # fmt: skip
    seats = share_out(Decimal(60), list(people.values()), 0)
    assert seats == [11, 8, 7, 6, 6, 5, 4, 3, 3, 2, 1, 1, 1, 1, 1]


def test_a_hundred_split_three_ways() -> None:
    # 100 / 3 = 33.333..., three times 33.33 is 99.99, and the last hundredth goes to the first.
    assert share_out(Decimal("100.00"), [1, 1, 1], 2) == [Decimal("33.34"), Decimal("33.33"), Decimal("33.33")]


def test_shares_of_other_things_than_money() -> None:
    # 10 kg by 1 : 2 is 3.333 and 6.667 kg.
    assert share_out(Decimal("10.000"), [1, 2], 3) == [Decimal("3.333"), Decimal("6.667")]
    # 23 pots of which 64 fill a kiln and 40 of which 88 do take 0.359375 and 0.454545 of it, together 0.813920; of what
    # they take, the first has 0.359375 / 0.813920 = 44.15 % and the second the other 55.85 %.
    weights = [Fraction(23, 64), Fraction(40, 88)]
    assert share_out(Decimal(100), weights, 2) == [Decimal("44.15"), Decimal("55.85")]


def test_edges_of_sharing() -> None:
    assert share_out(Decimal(5), [], 2) == []
    # Nothing to go by: equal shares, 0.05 over three is 0.02, 0.02, 0.01.
    assert share_out(Decimal("0.05"), [0, Decimal(0), Fraction(0)], 2) == [
        Decimal("0.02"),
        Decimal("0.02"),
        Decimal("0.01"),
    ]
    # A refund splits as a payment does.
    assert share_out(Decimal("-100.00"), [1, 1, 1], 2) == [Decimal("-33.34"), Decimal("-33.33"), Decimal("-33.33")]
    assert [str(share) for share in share_out(Decimal(0), [1, 2], 2)] == ["0.00", "0.00"]


def test_what_cannot_be_shared_out_is_refused() -> None:
    with pytest.raises(ValueError, match="decimal places"):
        share_out(Decimal("1.005"), [1, 1], 2)
    with pytest.raises(ValueError, match="below nought"):
        share_out(Decimal("1.00"), [1, -1], 2)


@given(total=TOTALS, weights=WEIGHTS)
def test_shares_add_up_and_lie_within_a_unit_of_the_exact_ones(total: Decimal, weights: list[Decimal]) -> None:
    shares = share_out(total, weights, 2)
    assert sum(shares) == total
    parts = [Fraction(weight) for weight in weights]
    if not any(parts):
        parts = [Fraction(1)] * len(parts)
    for share, part in zip(shares, parts, strict=True):
        assert abs(Fraction(share) - Fraction(total) * part / sum(parts)) < Fraction(1, 100)
    assert share_out(total, weights, 2) == shares


@given(total=TOTALS, weights=WEIGHTS)
def test_a_heavier_one_never_gets_less(total: Decimal, weights: list[Decimal]) -> None:
    shares = share_out(abs(total), weights, 2)
    pairs = sorted(zip(map(Fraction, weights), shares, strict=True))
    # Of equal weights the earlier may have one unit more, so only truly heavier ones are compared.
    for (light, less), (heavy, more) in pairwise(pairs):
        assert light == heavy or less <= more


def test_ten_thousand_shares_are_quick() -> None:
    weights = [Fraction(place % 97 + 1, place % 89 + 1) for place in range(10_000)]
    begun = perf_counter()
    shares = share_out(Decimal("123456.78"), weights, 2)
    assert perf_counter() - begun < 1  # about 0.02 s
    assert sum(shares) == Decimal("123456.78")


@pytest.mark.parametrize(
    ("amounts", "total"),
    [
        (["1.20", "0.30"], "1.50"),
        (["1.20", None], "1.20"),
        (["0.00", None], None),  # nothing is known but that a part costs nothing
        ([None], None),
        (["0.00", "0.00"], "0.00"),
        ([], "0"),
        (["1.00", "-1.00"], "0.00"),
    ],
)
def test_what_is_not_known_is_never_nought(amounts: list[str | None], total: str | None) -> None:
    found = known_sum(None if each is None else Decimal(each) for each in amounts)
    assert found == (None if total is None else Decimal(total))
