"""Process costing against printed problems: each is worked by the steps ``part_made`` and ``finished_goods``."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from schemas.settings import AVERAGE
from tests.shops import START
from tests.steps.process import Process, process

ON_AVERAGE = {"stock_value": AVERAGE}


def money(*amounts: str) -> tuple[Decimal, ...]:
    return tuple(Decimal(amount) for amount in amounts)


EXAM = {
    "degrees": {"blend": (70, 20), "cook": (80, 40), "pack": (100, 100)},
    "worked": {"blend": 29_000, "cook": 28_100, "pack": 28_800},
    "put_in": ("104044", "875266"),
    "opening": ("cook", 700, "1904", "8624"),
    "wanted": 29_700,
}
"""An exam problem on process costing (pastebin SdLR0hW9): 700 units are there before, 80 % complete in materials
(1,904) and 40 % in conversion (8,624); 29,000 are started, 28,800 finished, 900 left with 70 % and 20 %; 104,044 and
875,266 are added."""


def test_weighted_average_of_an_exam_problem() -> None:
    found = process(**EXAM, settings=ON_AVERAGE)  # type: ignore[arg-type]  # a problem's figures, of mixed types
    # Units: 28,800 + 900 x 70 % = 29,430 and 28,800 + 900 x 20 % = 28,980.
    assert found.made["made"] == 28_800
    assert found.units("closing") == (630, 180)
    # (1,904 + 104,044) / 29,430 = 3.60 and (8,624 + 875,266) / 28,980 = 30.50: 2,268 + 5,490 = 7,758 are left.
    assert found.worth("closing") == money("2268", "5490")
    # 28,800 x 34.10 = 982,080 are finished; with 7,758 that is 989,838, which is all that there was and came in.
    assert found.made["made_value"] == Decimal(982_080)
    assert found.made["opening_part_made"] + Decimal(104_044 + 875_266) == Decimal(989_838)


def test_oldest_first_of_the_same_figures() -> None:
    found = process(**EXAM)  # type: ignore[arg-type]  # as above
    # Units worked: 29,430 - 560 = 28,870 and 28,980 - 280 = 28,700; 104,044 / 28,870 = 3.603879 and 875,266 / 28,700 =
    # 30.497073; x 630 and x 180.
    assert found.units("opening") == (560, 280)
    assert found.worth("closing") == money("2270.44", "5489.47")
    assert found.made["made_value"] == Decimal("982078.09")


@pytest.mark.parametrize(
    ("opening", "started", "closing", "made", "units"),
    [
        # Blocher et al., Cost Management, 4th ed., 11-30: 200 there at 100 % and 9 %, 900 started, 800 finished, 300
        # left at 100 % and 12 %. On average 1,100 and 836, oldest first 900 and 818.
        ((200, (100, 9)), 900, (300, (100, 12)), 800, ((1100, 836), (900, 818))),
        # The same, 11-28: 30,000 there, 150,000 started, 165,000 finished, 15,000 left at 70 % and 60 %: 175,500 and
        # 174,000 on average. How complete the 30,000 were does not matter for that; here 50 % and 40 %, so 15,000 and
        # 12,000 less oldest first.
        ((30_000, (50, 40)), 150_000, (15_000, (70, 60)), 165_000, ((175_500, 174_000), (160_500, 162_000))),
    ],
)
def test_equivalent_units_of_a_textbook(
    opening: tuple[int, tuple[int, int]],
    started: int,
    closing: tuple[int, tuple[int, int]],
    made: int,
    units: tuple[tuple[int, int], tuple[int, int]],
) -> None:
    found = process(
        {"first": opening[1], "second": closing[1], "third": (100, 100)},
        {"first": started, "second": opening[0] + started, "third": made},
        ("1", "1"),
        opening=("first", opening[0], "0", "0"),
        wanted=opening[0] + started,
    )
    assert found.made["made"] == made
    whole = [made + left for left in found.units("closing")]
    assert tuple(whole) == units[0]
    assert tuple(unit - before for unit, before in zip(whole, found.units("opening"), strict=True)) == units[1]


def test_oldest_first_of_an_open_textbook() -> None:
    # Lumen Learning, Managerial Accounting, "Production Report - FIFO": 750 there (100 %, 60 %), 3,250 started, 1,000
    # left (100 %, 25 %), 3,575 and 3,640 added. 3,575 / 3,250 = 1.10; 3,640 / 2,800 = 1.30.
    found = process(
        {"first": (100, 25), "second": (100, 60), "third": (100, 100)},
        {"first": 3_250, "second": 2_250, "third": 3_000},
        ("3575", "3640"),
        opening=("second", 750, "0", "0"),
        wanted=4_000,
    )
    # 1,000 x 1.10 and 250 x 1.30: 1,425 are left.
    assert found.worth("closing") == money("1100", "325")
    # 300 x 1.30 = 390 to finish those there before, and 2,250 x 2.40 = 5,400: with 1,425 that is 7,215.
    assert found.made["made_value"] == Decimal(390 + 5_400)


def test_oldest_first_with_goods_transferred_in() -> None:
    # A printed problem (wizedu 48389): 4,000 there worth 129,500, 80 % converted; 18,000 come in for 260,100, with
    # 90,000 of materials and 53,856 of conversion; 20,000 go out, 2,000 are left 40 % converted. Goods that come in and
    # materials are both there from the first, so they are one here: 350,100 / 18,000 = 19.45; 53,856 / 17,600 = 3.06.
    found = process(
        {"first": (100, 40), "second": (100, 80), "third": (100, 100)},
        {"first": 18_000, "second": 16_000, "third": 20_000},
        ("350100", "53856"),
        opening=("second", 4_000, "129500", "0"),
        wanted=22_000,
    )
    # 2,000 x 19.45 + 800 x 3.06 = 41,348 are left; 533,456 - 41,348 = 492,108 go out.
    assert found.worth("closing") == money("38900", "2448")
    assert found.made["made_value"] == Decimal(492_108)


def test_a_first_period() -> None:
    # A printed problem (brainmass 141806): 485,000 started, 90,000 left with all their materials and 70 % of their
    # conversion; 1,212,500 / 485,000 = 2.50 and 3,664,000 / 458,000 = 8.00.
    found = process(
        {"first": (100, 70), "second": (100, 100)},
        {"first": 485_000, "second": 395_000},
        ("1212500", "3664000"),
        wanted=485_000,
        settings=ON_AVERAGE,
    )
    # 90,000 x 2.50 + 63,000 x 8.00 = 729,000; 395,000 x 10.50 = 4,147,500; 4,876,500 together.
    assert sum(found.worth("closing")) == Decimal(729_000)
    assert found.made["made_value"] == Decimal(4_147_500)


LOSING = [{"stage": "fire", "loss_pct": 10.0}]


def losing(**second_price: Decimal) -> Process:
    """100 units at 1,000 and 600 of conversion, of which 10 are normally lost as seconds; 75 come out."""
    return process(
        {"fire": (100, 100)},
        {"fire": 100},
        ("1000", "600"),
        wanted=90,
        stages=LOSING,
        forms=[{"form": "unit", "seconds_pct": 100.0, **second_price}],
        work_log=[{"form": "unit", "stage": "fire", "pieces_in": 100, "pieces_out": 75, "seconds": 10}],
    )


def test_normal_and_abnormal_loss() -> None:
    # Lecture slides on process costing (edurev): 100 units at 1,000 and 600 of conversion; 10 are normally lost and
    # sell at 7; 75 come out. (1,600 - 70) / 90 = 17: the 15 lost beyond that cost 255, the 75 cost 1,275.
    found = losing(second_price=Decimal(7))
    assert found.part_made.select("at", "pieces").rows() == [("lost", 15)]
    assert sum(found.worth("lost")) == Decimal(255)
    assert (found.made["made"], found.made["made_value"]) == (75, Decimal(1_275))
    assert found.made["seconds_value"] == Decimal(70)
    assert Decimal(1_275 + 255 + 70) == Decimal(1_600)


def test_seconds_that_have_no_price_are_stock_at_nought() -> None:
    # The same: nobody says what the ten seconds fetch, so 1,600 / 90 = 17.7778; the 15 lost cost 266.67, the rest is of
    # the 75.
    found = losing()
    assert [(row["closing"], row["closing_value"]) for row in found.seconds] == [(10, 0)]
    assert found.made["made_value"] == Decimal("1333.33")


def test_a_loss_that_does_not_come_out_even() -> None:
    # A printed problem (askfilo 3438363236323231): 10,000 in for 80,000, 10 % normally lost, which fetch 2,000 in all;
    # 8,800 out. 78,000 / 9,000 = 8.6667: the 200 lost beyond cost 1,733.33, the 8,800 cost 76,266.67.
    found = process(
        {"fire": (100, 100)},
        {"fire": 10_000},
        ("80000", "0"),
        wanted=9_000,
        stages=LOSING,
        forms=[{"form": "unit", "seconds_pct": 100.0, "second_price": Decimal(2)}],
        work_log=[{"form": "unit", "stage": "fire", "pieces_in": 10_000, "pieces_out": 8_800, "seconds": 1_200}],
    )
    assert sum(found.worth("lost")) == Decimal("1733.33")
    assert (found.made["made"], found.made["made_value"]) == (8_800, Decimal("76266.67"))
    # The 200 fetch 400 more: 1,333.33 are an expense, and 2,400 of seconds are stock.
    assert found.made["abnormal_loss"] == Decimal("1333.33")
    assert [row["closing_value"] for row in found.seconds] == [Decimal(2_400)]


def test_a_normal_loss_told_as_a_share_of_what_comes_out() -> None:
    # A forum answer on F2 (opentuition): the loss is 10 % of the output, so of 13,200 in 12,000 come out and 1,200 are
    # lost, 1 in 11, which fetch 4 each: (184,800 - 4,800) / 12,000 = 15.00.
    found = process(
        {"fire": (100, 100)},
        {"fire": 13_200},
        ("184800", "0"),
        wanted=12_000,
        stages=[{"stage": "fire", "loss_pct": 100 / 11}],
        forms=[{"form": "unit", "seconds_pct": 100.0, "second_price": Decimal(4)}],
    )
    assert (found.made["made"], found.made["made_value"]) == (12_000, Decimal(180_000))
    assert found.made["made_value"] / 12_000 == Decimal(15)


def test_what_losses_fetch_and_what_is_an_expense() -> None:
    # F2/MA workbook, p. 485: 100 kg are normally lost and fetch 1.80 each, 180; 100 more at 22.80 each are 2,280; both
    # fetch 360, and 2,100 are an expense. That they are lost of 1,000, for 900 x 22.80 + 180 = 20,700, is our own.
    found = process(
        {"fire": (100, 100)},
        {"fire": 1_000},
        ("20700", "0"),
        wanted=900,
        stages=LOSING,
        forms=[{"form": "unit", "seconds_pct": 100.0, "second_price": Decimal("1.80")}],
        work_log=[{"form": "unit", "stage": "fire", "pieces_in": 1_000, "pieces_out": 800, "seconds": 200}],
    )
    assert sum(found.worth("lost")) == Decimal(2_280)
    assert [row["made_value"] for row in found.seconds] == [Decimal(360)]
    assert found.made["abnormal_loss"] == Decimal(2_100)


@pytest.mark.parametrize(("day", "form", "lost"), [(0, "unit", 15), (-1, "unit", 0), (1, "unit", 0), (0, "other", 0)])
def test_only_losses_of_the_books_days_and_lines_are_theirs(day: int, form: str, lost: int) -> None:
    # As above, 15 of 100 beyond the normal: on the evening before the books open or after they close, or of a form that
    # nobody ordered, which is told as a doubt, it is none of theirs.
    found = process(
        {"fire": (100, 100), "pack": (100, 100)},
        {"fire": 100},
        ("1600", "0"),
        wanted=90,
        stages=[*LOSING, {"stage": "pack"}],
        forms=[{"form": "unit"}, {"form": "other"}],
        work_log=[
            {"date": START + timedelta(days=day), "form": form, "stage": "fire", "pieces_in": 100, "pieces_out": 75}
        ],
    )
    assert found.part_made.filter(at="lost")["pieces"].sum() == lost
    assert found.part_made.filter(at="closing")["pieces"].to_list() == [90 - lost]
