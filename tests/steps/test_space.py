"""Bats, boards and waiting pieces, night by night, counted by hand. March 2027 begins on a Monday."""

from __future__ import annotations

import datetime as dt

import polars as pl
import pytest

from tests.shops import Cells, shop
from tests.steps.planned import EVERY_DAY, Planned, dated, march, thrown


def nights(plan: Planned, kind: str, item: str | None = None) -> list[tuple[dt.date, int]]:
    """What is in use of a kind, night by night."""
    found = plan.results["space"].filter(pl.col("kind") == kind)
    if item is not None:
        found = found.filter(pl.col("item") == item)
    return found.select("date", "in_use").rows()


def small(**more: list[Cells]) -> Planned:
    """24 cups at 12 a day, 10 to a board, on small bats until they are turned the next day, dry two days later.

    Mon 1  throw 12                       12 on bats, waiting for turning
    Tue 2  throw 12, turn 12              the first 12 off, 12 more on; 12 wait for turning and 12 for the bisque
    Wed 3  turn 12                        24 wait for the bisque
    Fri 5  load 24                        two days after Wed 3; they are in the kiln
    Sun 7  unload 24, and dip them        nothing waits
    """
    sheets: dict[str, list[Cells]] = {
        "orders": [{"order": "A", "form": "cup", "quantity": 24}],
        "forms": [{"form": "cup", "bat": "small", "per_board": 10}],
        "stages": [
            {
                "stage": "throw", "minutes_each": 1.0, "most_per_day": 12, "wait_days": 1, "wait_days_max": 1,
                "bat": "on",
            },
            {"stage": "turn", "minutes_each": 1.0, "wait_days": 2, "bat": "off"},
            {"stage": "bisque", "firing": "bisque"},
            {"stage": "dip", "minutes_each": 1.0},
        ],
        "labour_hours": EVERY_DAY,
        "kiln_fit": [{"firing": "bisque", "form": "cup", "pieces": 24}],
        "bats_and_boards": [
            {"item": "small", "kind": "bat", "count": 30},
            {"item": "long", "kind": "board", "count": 2},
            {"item": "short", "kind": "board", "count": 1},
        ],
    }  # fmt: skip
    return dated(thrown(**sheets | more))


def test_bats() -> None:
    plan = small()
    assert nights(plan, "bat", "small") == [
        (march(1), 12),
        (march(2), 12),
        (march(3), 0),
        (march(5), 0),
        (march(7), 0),
    ]
    assert plan.results["space"].filter(pl.col("kind") == "bat")["owned"].unique().to_list() == [30]


def test_waiting() -> None:
    plan = small()
    assert nights(plan, "waiting", "turn") == [(march(1), 12), (march(2), 12)]
    assert nights(plan, "waiting", "bisque") == [(march(2), 12), (march(3), 24)]
    assert nights(plan, "waiting", "dip") == []


def test_boards() -> None:
    """12 cups are two boards, 24 three, and those in the kiln none; two long boards and a short one are owned."""
    plan = small()
    assert nights(plan, "board") == [(march(1), 2), (march(2), 3), (march(3), 3), (march(5), 0), (march(7), 0)]
    assert plan.results["space"].filter(pl.col("kind") == "board")["owned"].unique().to_list() == [3]


def test_boards_are_counted_form_by_form() -> None:
    """Six cups and six plates at ten to a board are a board each, though twelve would be two anyway; jugs need none."""
    plan = dated(
        thrown(
            orders=[{"order": form, "form": form, "quantity": 3} for form in ("cup", "plate", "jug")],
            forms=[{"form": "cup", "per_board": 10}, {"form": "plate", "per_board": 10}, {"form": "jug"}],
            stages=[{"stage": "throw", "minutes_each": 1.0, "wait_days": 1}, {"stage": "turn", "minutes_each": 1.0}],
        )
    )
    assert nights(plan, "board") == [(march(1), 2), (march(2), 0)]
    assert nights(plan, "waiting", "turn") == [(march(1), 9)]


def test_batches_of_one_form_share_a_board() -> None:
    """Two lines of three cups each stand on one board of ten."""
    plan = dated(
        thrown(
            orders=[{"order": name, "form": "cup", "quantity": 3} for name in "AB"],
            forms=[{"form": "cup", "per_board": 10}],
            stages=[{"stage": "throw", "minutes_each": 1.0, "wait_days": 1}, {"stage": "turn", "minutes_each": 1.0}],
        )
    )
    assert nights(plan, "board") == [(march(1), 1), (march(2), 0)]


def test_sizes_not_told_of() -> None:
    """Without rows for bats and boards they are counted all the same, and how many are owned is blank."""
    plan = small(bats_and_boards=[])
    assert nights(plan, "bat", "small")[0] == (march(1), 12)
    assert plan.results["space"]["owned"].null_count() == plan.results["space"].height


def test_pieces_in_progress_wait_and_hold_their_bats_from_the_first_day() -> None:
    """Six thrown on 28 February, to be turned after three days, on the 3rd; six new ones are thrown on the 1st, and
    turned on the 4th. So twelve are on bats on the 1st, and six when the first six are off.
    """
    plan = dated(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 12}],
            forms=[{"form": "cup", "bat": "small"}],
            stages=[
                {"stage": "throw", "minutes_each": 1.0, "wait_days": 3, "wait_days_max": 3, "bat": "on"},
                {"stage": "turn", "minutes_each": 1.0, "bat": "off"},
            ],
            labour_hours=EVERY_DAY,
            in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 6}],
        )
    )
    assert nights(plan, "bat", "small") == [(march(1), 12), (march(3), 6), (march(4), 0)]
    assert nights(plan, "waiting", "turn") == [(march(1), 12), (march(3), 6)]


def test_pieces_in_progress_that_no_line_takes_keep_their_bats() -> None:
    """Six plates stand on bats for nobody; five cups are thrown on the 1st and turned on the 2nd."""
    plan = dated(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 5}],
            forms=[{"form": "cup", "bat": "small"}, {"form": "plate", "bat": "small"}],
            stages=[
                {"stage": "throw", "minutes_each": 1.0, "wait_days": 1, "wait_days_max": 1, "bat": "on"},
                {"stage": "turn", "minutes_each": 1.0, "bat": "off"},
            ],
            in_progress=[{"form": "plate", "stage_done": "throw", "pieces": 6}],
        )
    )
    assert nights(plan, "bat", "small") == [(march(1), 11), (march(2), 6)]


def test_lost_pieces_are_not_waited_for() -> None:
    """Ten thrown, a fifth lost: eight wait for turning."""
    plan = dated(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 8}],
            stages=[
                {"stage": "throw", "minutes_each": 1.0, "loss_pct": 20.0, "wait_days": 1},
                {"stage": "turn", "minutes_each": 1.0},
            ],
        )
    )
    assert plan.days("throw") == [(march(1), 10)]
    assert nights(plan, "waiting", "turn") == [(march(1), 8)]


def test_lost_pieces_leave_their_bats_with_the_first_that_come_off() -> None:
    """Ten thrown and a fifth lost: four of the eight are turned on the 2nd and four on the 3rd, four a day at most.
    The two that are lost leave their bats on the 2nd: 10 - 4 - 2 = 4 on that night, none on the 3rd.
    """
    plan = dated(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 8}],
            forms=[{"form": "cup", "bat": "small"}],
            stages=[
                {"stage": "throw", "minutes_each": 1.0, "loss_pct": 20.0, "wait_days": 1, "bat": "on"},
                {"stage": "turn", "minutes_each": 1.0, "most_per_day": 4, "bat": "off"},
            ],
        )
    )
    assert plan.days("throw") == [(march(1), 10)]
    assert plan.days("turn") == [(march(2), 4), (march(3), 4)]
    assert nights(plan, "bat", "small") == [(march(1), 10), (march(2), 4), (march(3), 0)]


def test_after_a_firing_they_wait_from_unloading() -> None:
    """20 loaded ten by ten on the 1st and 3rd, dipped two days after unloading on the 3rd and 5th."""
    plan = dated(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 20}],
            stages=[{"stage": "bisque", "firing": "bisque", "wait_days": 2}, {"stage": "dip", "minutes_each": 1.0}],
            labour_hours=EVERY_DAY,
        )
    )
    # What stands before its first stage is clay, and waits for nothing.
    assert nights(plan, "waiting") == [(march(3), 10), (march(5), 10)]


@pytest.mark.parametrize("seed", [2, 9, 17, 26, 35, 49])
def test_no_more_bats_are_in_use_than_there_are(seed: int) -> None:
    """Rule by rule the schedule keeps within the bats, and the sheet counts no more."""
    space = dated(shop(seed)).results["space"].filter(pl.col("kind") == "bat")
    assert space.filter(pl.col("in_use") > pl.col("owned")).is_empty()
