"""Pieces that already stand in the studio come off what is to be made: small sums on paper."""

from __future__ import annotations

import datetime as dt

import pytest

from tests.random_sheets import Cells
from tests.shops import make_job
from tests.steps.test_pieces import STAGES, flow, pieces

DUE = dt.date(2027, 4, 1)


def test_finished_pieces_come_off_first() -> None:
    # 40 wanted, 10 stand finished, so 30 to make: 30 / 0.684 = 43.9, so 44 begun; x 0.95 = 41.8, so 42 turned;
    # x 0.90 = 37.6, so 38 fired; x 0.80 = 30.1, so 30 good. The 10 finished are counted as done at every stage.
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 40}],
        stages=STAGES,
        in_progress=[{"form": "cup", "stage_done": "fire", "pieces": 10}],
    )
    assert flow(job) == [("throw", 54, 52, 10), ("turn", 52, 48, 10), ("fire", 48, 40, 10)]


def test_pieces_at_several_stages_count_as_the_good_ones_to_be_expected() -> None:
    # 40 wanted. 5 finished: 35 still wanted. 10 turned: x 0.80 = 8 good, 27 wanted. 25 thrown: x 0.72 = 18 good,
    # 9 wanted: 9 / 0.684 = 13.2, so 14 begun; 13.3, so 14 turned; 11.97, so 12 fired; 9.6, so 9 good.
    #        begun   thrown   turned   finished
    # throw   14   +   25   +   10   +    5   = 54, of which 40 are done
    # turn    14   +   25   +   10   +    5   = 54, of which 15 are done
    # fire    12   +   23   +   10   +    5   = 50, of which  5 are done (25 x 0.9 = 22.5, so 23)
    # good     9   +   18   +    8   +    5   = 40
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 40}],
        stages=STAGES,
        in_progress=[
            {"form": "cup", "stage_done": "throw", "pieces": 25},
            {"form": "cup", "stage_done": "fire", "pieces": 5},
            {"form": "cup", "stage_done": "turn", "pieces": 10},
        ],
    )
    assert flow(job) == [("throw", 54, 54, 40), ("turn", 54, 50, 15), ("fire", 50, 40, 5)]


def test_good_pieces_to_be_expected_are_rounded_down() -> None:
    # 9 thrown: 9 x 0.72 = 6.48, so 6 of the 10 wanted; 4 / 0.684 = 5.8, so 6 more are begun.
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 10}],
        stages=STAGES,
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 9}],
    )
    assert flow(job)[0] == ("throw", 6 + 9, 6 + 9, 9)


def test_the_earliest_line_takes_first_and_each_piece_counts_once() -> None:
    # 12 stand finished; B is due first and takes 8, A the other 4 of its 10. Nothing is lost.
    job = make_job(
        orders=[
            {"order": "A", "form": "cup", "quantity": 10, "due": DUE + dt.timedelta(days=9)},
            {"order": "B", "form": "cup", "quantity": 8, "due": DUE},
        ],
        stages=[{"stage": "throw"}, {"stage": "turn"}],
        in_progress=[{"form": "cup", "stage_done": "turn", "pieces": 12}],
    )
    assert flow(job, "B") == [("throw", 8, 8, 8), ("turn", 8, 8, 8)]
    assert flow(job, "A") == [("throw", 10, 10, 4), ("turn", 10, 10, 4)]


@pytest.mark.parametrize(
    ("first", "second", "taker"),
    [
        ({}, {"due": DUE}, "B"),  # a line without a date comes after the dated ones
        ({"due": DUE}, {"due": DUE}, "A"),  # as the sheet has them
        ({"due": DUE, "priority": 2}, {"due": DUE, "priority": 1}, "B"),
        ({"due": DUE}, {"due": DUE, "priority": 9}, "B"),  # a line without a number comes after the numbered ones
    ],
)
def test_who_takes_first(first: Cells, second: Cells, taker: str) -> None:
    job = make_job(
        orders=[
            {"order": "A", "form": "cup", "quantity": 5} | first,
            {"order": "B", "form": "cup", "quantity": 5} | second,
        ],
        stages=[{"stage": "throw"}],
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 5}],
    )
    assert flow(job, taker) == [("throw", 5, 5, 5)]
    assert flow(job, "AB".replace(taker, "")) == [("throw", 5, 5, 0)]


def test_pieces_for_an_order_are_for_no_other() -> None:
    # B is due first, but the 6 are A's; of the 3 that are for anybody B takes 3.
    job = make_job(
        orders=[
            {"order": "A", "form": "cup", "quantity": 10, "due": DUE + dt.timedelta(days=9)},
            {"order": "B", "form": "cup", "quantity": 10, "due": DUE},
        ],
        stages=[{"stage": "throw"}],
        in_progress=[
            {"form": "cup", "stage_done": "throw", "pieces": 6, "order": "A"},
            {"form": "cup", "stage_done": "throw", "pieces": 3},
        ],
    )
    assert flow(job, "A") == [("throw", 10, 10, 6)]
    assert flow(job, "B") == [("throw", 10, 10, 3)]


def test_a_line_takes_what_is_marked_for_it_before_what_is_marked_for_none() -> None:
    # A wants 5. Five thrown ones bear its name, five finished ones nobody's, and B is due later and wants 5 too. A
    # takes its own, which nobody else may have, and B the finished ones: nothing is begun.
    job = make_job(
        orders=[
            {"order": "A", "form": "cup", "quantity": 5, "due": DUE},
            {"order": "B", "form": "cup", "quantity": 5, "due": DUE + dt.timedelta(days=9)},
        ],
        stages=[{"stage": "throw"}, {"stage": "turn"}],
        in_progress=[
            {"form": "cup", "stage_done": "turn", "pieces": 5},
            {"form": "cup", "stage_done": "throw", "pieces": 5, "order": "A"},
        ],
    )
    assert flow(job, "A") == [("throw", 5, 5, 5), ("turn", 5, 5, 0)]
    assert flow(job, "B") == [("throw", 5, 5, 5), ("turn", 5, 5, 5)]


def test_glazed_pieces_are_for_lines_of_that_glaze_and_bare_ones_for_any() -> None:
    job = make_job(
        orders=[
            {"order": "A", "form": "cup", "quantity": 10, "glaze": "oat", "due": DUE},
            {"order": "A", "form": "cup", "quantity": 10, "glaze": "moss"},
            {"order": "A", "form": "cup", "quantity": 10},
        ],
        stages=[{"stage": "throw"}, {"stage": "glaze"}],
        in_progress=[
            {"form": "cup", "stage_done": "glaze", "pieces": 4, "glaze": "moss"},
            {"form": "cup", "stage_done": "throw", "pieces": 12},
        ],
    )
    # The 4 in moss are moss's. Of the 12 bare ones oat, due first, takes 10 and moss, next in the sheet, the other 2.
    found = pieces(job).select("glaze", "stage", "pieces_in", "already_done").rows()
    assert found == [
        ("oat", "throw", 10, 10),
        ("oat", "glaze", 10, 0),
        ("moss", "throw", 10, 6),
        ("moss", "glaze", 10, 4),
        (None, "throw", 10, 0),
        (None, "glaze", 10, 0),
    ]


def test_no_line_takes_more_than_it_would_make() -> None:
    # 8 wanted and 30 thrown: 8 / 0.72 = 11.1, so 12 go on as if they had been begun for it, and nothing is begun.
    # 12 x 0.9 = 10.8, so 11 are fired; x 0.8 = 8.6, so 8 good.
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 8}],
        stages=STAGES,
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 30}],
    )
    assert flow(job) == [("throw", 12, 12, 12), ("turn", 12, 11, 0), ("fire", 11, 8, 0)]


def test_more_finished_than_wanted_leaves_nothing_to_do() -> None:
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 8}],
        forms=[{"form": "cup", "least_extra": 3}],
        stages=STAGES,
        in_progress=[{"form": "cup", "stage_done": "fire", "pieces": 30}],
    )
    # No loss threatens what is finished, so no spares either.
    assert flow(job) == [("throw", 8, 8, 8), ("turn", 8, 8, 8), ("fire", 8, 8, 8)]


def test_pieces_of_a_form_that_nobody_ordered_are_let_be() -> None:
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 8}],
        forms=[{"form": "cup"}, {"form": "bowl"}],
        stages=[{"stage": "throw"}],
        in_progress=[{"form": "bowl", "stage_done": "throw", "pieces": 30}],
    )
    assert pieces(job)["form"].to_list() == ["cup"]
