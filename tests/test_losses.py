"""Pieces to start, against printed yield chains and an independent binomial distribution (scipy)."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, comb, prod
from time import perf_counter

import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from pipeline.losses import good_expected, pieces_to_start, pieces_to_start_each, whole_up

PERCENTS = st.integers(0, 9000).map(lambda hundredths: hundredths / 100)
"""Losses of 0 to 90 %, as people write them."""

CHANCES = PERCENTS.map(lambda loss: (100 - loss) / 100)
COVERS = st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.975, 0.99, 0.999])


def chance(*loss_pct: float) -> float:
    """The product of the yields of stages with these losses."""
    return prod((100 - loss) / 100 for loss in loss_pct)


def test_a_textbook_chain_of_three_operations() -> None:
    # Tompkins et al., Facilities Planning, chapter 2, as in course notes: 97,000 wanted; scrap 4 %, 1 % and 3 %.
    # Backwards 97,000 / 0.97 = 100,000; / 0.99 = 101,010.1; / 0.96 = 105,218.9, so 105,219.
    assert pieces_to_start(97_000, chance(4, 1, 3), 0, None) == 105_219


def test_rounding_up_once_and_not_at_every_stage() -> None:
    # A published exercise: 1,000 wanted; 3 %, 5 % and 7 % defective; its answer 1,167 (1,166.87). Rounding up at every
    # stage would give 1,169.
    assert pieces_to_start(1_000, chance(3, 5, 7), 0, None) == 1_167


def test_a_rolled_yield() -> None:
    # Arithmetic: 0.97 x 0.98 x 0.96 x 0.95 = 0.86695; 60 / 0.86695 = 69.2.
    assert chance(3, 2, 4, 5) == pytest.approx(0.86695, abs=1e-5)
    assert pieces_to_start(60, chance(3, 2, 4, 5), 0, None) == 70


@pytest.mark.parametrize(
    ("quantity", "chance_good", "pieces"),
    [
        (90, 0.9, 100),  # 90 / 0.9 is just 100
        (3, 0.1, 30),
        (7, 0.7 * 0.1, 100),  # 0.06999999999999999 in floats, and 7 divided by that is 100.00000000000001
        (63, 0.9 * 0.7, 100),
        (1_000_000, 0.8, 1_250_000),
        (1, 1.0, 1),
        (1, 0.999999, 2),  # even so small a loss takes a second piece
        (100_000, 0.99999, 100_002),  # 100,001.00001: what is forgiven is smaller yet
    ],
)
def test_float_noise_starts_no_extra_piece(quantity: int, chance_good: float, pieces: int) -> None:
    assert pieces_to_start(quantity, chance_good, 0, None) == pieces


def test_least_extra_and_nothing_wanted() -> None:
    assert pieces_to_start(6, 0.95, 2, None) == 8  # 6 / 0.95 = 6.3, so 7; but two spares are wanted
    assert pieces_to_start(60, 0.80, 2, None) == 75  # 60 / 0.80 = 75 is more than two spares already
    assert pieces_to_start(6, 0.95, 3, 0.90) == 9  # 8 for nine times in ten; but three spares are wanted
    assert pieces_to_start(0, 0.9, 5, None) == 0
    assert pieces_to_start(0, 0.9, 5, 0.9) == 0


@pytest.mark.parametrize("chance_good", [0.0, -0.1, 1.01, float("nan")])
def test_a_chance_that_is_none_is_refused(chance_good: float) -> None:
    with pytest.raises(ValueError, match="chance"):
        pieces_to_start(5, chance_good, 0, None)


@pytest.mark.parametrize("cover", [0.0, 1.0, 90.0])
def test_a_cover_that_is_no_probability_is_refused(cover: float) -> None:
    with pytest.raises(ValueError, match="cover"):
        pieces_to_start(5, 0.9, 0, cover)


def test_ten_good_of_ten_to_fourteen() -> None:
    # Binomial tables in any statistics text, p = 0.9: at least 10 good of n = 10 ... 14 has the probability 0.3487,
    # 0.6974, 0.8891, 0.9658, 0.9908. So a cover just below each needs that n and one just above it the next.
    for pieces, probability in [(10, 0.3487), (11, 0.6974), (12, 0.8891), (13, 0.9658), (14, 0.9908)]:
        assert pieces_to_start(10, 0.9, 0, probability - 1e-4) == pieces
        assert pieces_to_start(10, 0.9, 0, probability + 1e-4) == pieces + 1


@pytest.mark.parametrize("pieces", range(10, 40))
def test_ten_good_of_coin_tosses_in_whole_numbers(pieces: int) -> None:
    # Of the 2 ** n ways in which n coins fall, comb(n, j) show j heads: the chance of ten or more is a ratio of whole
    # numbers.
    exact = sum(comb(pieces, good) for good in range(10, pieces + 1)) / 2**pieces
    assert pieces_to_start(10, 0.5, 0, exact * (1 - 1e-8)) == pieces
    assert pieces_to_start(10, 0.5, 0, exact + 1e-8 * min(exact, 1 - exact)) == pieces + 1


def test_a_tie_is_enough() -> None:
    # Arithmetic: one good of one at 0.9 comes out nine times in ten; one of two at 1/2 three times in four, of three
    # seven times in eight (floats, adding up, fall short of it); one of three at 0.9 all but once in a thousand.
    assert pieces_to_start(1, 0.9, 0, 0.9) == 1
    assert pieces_to_start(1, 0.5, 0, 0.75) == 2
    assert pieces_to_start(1, 0.5, 0, 0.875) == 3
    assert pieces_to_start(1, 0.9, 0, 0.999) == 3


# Arithmetic: the fewest pieces for k good ones, sure 90 / 95 / 99 times in a hundred, and k / p rounded up.
TABLE = """
k    .80                .85                .90                .95                .98
1    2/2/3(2)           2/2/3(2)           1/2/2(2)           1/1/2(2)           1/1/2(2)
6    9/10/12(8)         9/9/10(8)          8/8/9(7)           7/7/8(7)           7/7/7(7)
12   18/19/20(15)       16/17/19(15)       15/16/17(14)       14/14/15(13)       13/13/14(13)
24   34/35/37(30)       31/32/34(29)       29/30/31(27)       27/27/29(26)       25/26/27(25)
50   68/69/73(63)       63/64/67(59)       59/60/62(56)       55/56/57(53)       52/53/54(52)
100  132/135/139(125)   124/125/129(118)   116/117/120(112)   108/109/111(106)   104/105/106(103)
200  260/263/269(250)   244/246/251(236)   229/231/235(223)   215/216/219(211)   207/208/210(205)
"""


def table_rows() -> list[tuple[int, float, list[int]]]:
    head, *rows = [line.split() for line in TABLE.strip().splitlines()]
    return [
        (int(row[0]), float(column), [int(number) for number in cell.rstrip(")").replace("(", "/").split("/")])
        for row in rows
        for column, cell in zip(head[1:], row[1:], strict=True)
    ]


@pytest.mark.parametrize(("quantity", "chance_good", "pieces"), table_rows())
def test_the_table_of_pieces_to_start(quantity: int, chance_good: float, pieces: list[int]) -> None:
    covers = (0.90, 0.95, 0.99, None)
    assert [pieces_to_start(quantity, chance_good, 0, cover) for cover in covers] == pieces


@settings(max_examples=300)
@given(
    quantity=st.one_of(st.integers(1, 300), st.integers(1, 1_000_000)),
    chance_good=st.one_of(CHANCES, st.floats(0.01, 1)),
    cover=st.one_of(COVERS, st.floats(0.001, 0.9999)),
)
def test_the_fewest_by_an_independent_binomial(quantity: int, chance_good: float, cover: float) -> None:
    pieces = pieces_to_start(quantity, chance_good, 0, cover)
    # P(fewer than quantity are good); floats cannot tell a tie within 1e-9, so there either answer is right.
    assert binom.cdf(quantity - 1, pieces, chance_good) <= 1 - cover + 1e-9
    if pieces > quantity:
        assert binom.cdf(quantity - 1, pieces - 1, chance_good) > 1 - cover - 1e-9


@given(quantity=st.integers(0, 1_000_000), losses=st.lists(PERCENTS, max_size=6))
def test_on_average_as_exact_fractions_have_it(quantity: int, losses: list[float]) -> None:
    exact = quantity / prod((1 - Fraction(str(loss)) / 100 for loss in losses), start=Fraction(1))
    pieces = pieces_to_start(quantity, chance(*losses), 0, None)
    # The fractions' answer, unless they pass a whole number by less than a million-millionth part of themselves.
    assert pieces in {ceil(exact), ceil(exact - exact / 10**12)}
    if quantity:
        assert good_expected(pieces, chance(*losses)) >= quantity


@given(quantity=st.integers(0, 1_000_000), losses=st.permutations([4.0, 1.0, 3.0, 12.5, 0.3]))
def test_the_order_of_the_stages_makes_no_difference(quantity: int, losses: list[float]) -> None:
    assert pieces_to_start(quantity, chance(*losses), 0, None) == pieces_to_start(
        quantity, chance(4, 1, 3, 12.5, 0.3), 0, None
    )


@given(
    quantity=st.integers(0, 500),
    losses=st.tuples(PERCENTS, PERCENTS),
    covers=st.tuples(COVERS, COVERS),
    extra=st.integers(0, 5),
)
def test_more_loss_or_more_certainty_never_lowers_the_start(
    quantity: int, losses: tuple[float, float], covers: tuple[float, float], extra: int
) -> None:
    less, more = sorted(losses)
    low, high = sorted(covers)
    fewer = pieces_to_start(quantity, chance(less), extra, low)
    assert fewer <= pieces_to_start(quantity, chance(more), extra, low)
    assert fewer <= pieces_to_start(quantity, chance(less), extra, high)
    assert pieces_to_start(quantity, chance(less), extra, None) <= pieces_to_start(quantity, chance(more), extra, None)
    assert fewer >= (quantity + extra if quantity else 0)
    assert pieces_to_start(quantity, 1.0, 0, low) == pieces_to_start(quantity, 1.0, 0, None) == quantity


@given(
    lines=st.lists(st.tuples(st.integers(0, 1000), CHANCES, st.integers(0, 9)), max_size=20),
    cover=st.one_of(st.none(), COVERS),
)
def test_many_lines_as_one_by_one(lines: list[tuple[int, float, int]], cover: float | None) -> None:
    schema = {"quantity": pl.Int64, "chance_good": pl.Float64, "least_extra": pl.Int64}
    frame = pl.DataFrame(lines, schema=schema, orient="row")
    each = pieces_to_start_each(frame["quantity"], frame["chance_good"], frame["least_extra"], [cover] * frame.height)
    assert each.dtype == pl.Int64
    assert each.to_list() == [pieces_to_start(*line, cover) for line in lines]


def test_good_pieces_to_expect() -> None:
    assert good_expected(100, 0.9) == 90
    assert good_expected(10, 0.87) == 8  # 8.7, rounded down
    assert good_expected(100, 0.57) == 57  # 56.99999999999999 in floats
    assert good_expected(0, 0.9) == 0
    assert good_expected(24, 1.0) == 24


def test_whole_up() -> None:
    # 0.1 x 3 is 0.30000000000000004 in floats; thirty tenths of it are 9 pieces, not 10.
    assert whole_up(pl.Series([0.1 * 3 * 30, 8.2, 0.0])).to_list() == [9, 9, 0]
    assert pl.select(whole_up(pl.lit(0.1 * 3 * 30))).item() == 9


def test_a_hundred_thousand_lines_are_quick() -> None:
    quantity = pl.Series([row % 200 + 1 for row in range(100_000)])
    chance_good = pl.Series([(80 + row % 19) / 100 for row in range(100_000)])
    least_extra = pl.Series([2] * 100_000)
    pieces_to_start_each(quantity, chance_good, least_extra, [None] * 100_000)
    for cover, seconds in ((None, 0.1), (0.9, 2.0)):  # about 0.002 s and 0.1 s
        begun = perf_counter()
        pieces_to_start_each(quantity, chance_good, least_extra, [cover] * 100_000)
        assert perf_counter() - begun < seconds


def test_a_million_is_right_and_quick() -> None:
    # 0.9 ** 1,000,000 is nought in floats. The pieces that it takes have mean 1,000,000 / 0.9 = 1,111,111 and standard
    # deviation sqrt(1,000,000 x 0.1) / 0.9 = 351; nine times in ten they stay below 1,111,111 + 1.2816 x 351.4.
    begun = perf_counter()
    assert pieces_to_start(1_000_000, 0.9, 0, 0.9) == pytest.approx(1_111_561, abs=2)
    assert perf_counter() - begun < 0.5  # about 0.004 s
