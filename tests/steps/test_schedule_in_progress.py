"""Plans that begin with work already in the studio, counted by hand. March 2027 begins on a Monday.

Made by throwing (turned after one to two days), turning (dry after three), bisque, dipping and glaze firing; every
firing takes two days, ten pieces fill the kiln, and somebody works every day of the week.
"""

from __future__ import annotations

import datetime as dt

import polars as pl
import pytest

from pipeline.job import Job
from tests.shops import Cells
from tests.steps.planned import EVERY_DAY, march, on, planned, scheduled, thrown

STAGES: list[Cells] = [
    {"stage": "throw", "minutes_each": 2.0, "wait_days": 1, "wait_days_max": 2, "bat": "on"},
    {"stage": "turn", "minutes_each": 3.0, "wait_days": 3, "bat": "off"},
    {"stage": "bisque", "firing": "bisque"},
    {"stage": "dip", "minutes_each": 1.0},
    {"stage": "glaze fire", "firing": "glaze"},
]


def studio(quantity: int, *in_progress: Cells, **sheets: list[Cells]) -> Job:
    """A job of so many cups, with lots of cups in progress."""
    lots = [{"form": "cup"} | lot for lot in in_progress]
    made = {
        "orders": [{"order": "A", "form": "cup", "quantity": quantity}],
        "stages": STAGES,
        "labour_hours": EVERY_DAY,
    }
    return thrown(**made | sheets, in_progress=lots)


@pytest.mark.parametrize(
    ("done", "date", "onward"),
    [
        # thrown yesterday: turned today, dry on the 4th, out of the bisque on the 6th, of the glaze firing on the 8th
        ("throw", 0, {"turn": 1, "bisque": 4, "dip": 6, "glaze fire": 6}),
        # turned on 27 February: dry on 2 March
        ("turn", -1, {"bisque": 2, "dip": 4, "glaze fire": 4}),
        ("bisque", 0, {"dip": 1, "glaze fire": 1}),
        ("dip", 0, {"glaze fire": 1}),
    ],
)
def test_work_in_progress_goes_on_from_where_it_stands(done: str, date: int, onward: dict[str, int]) -> None:
    plan = scheduled(studio(4, {"stage_done": done, "pieces": 4, "date": march(date)}))
    begun = plan.schedule.filter(pl.col("task") != "unload").select("stage", "date", "pieces").rows()
    assert begun == [(stage, march(day), 4) for stage, day in onward.items()]
    assert plan.schedule["batch"].unique().to_list() == ["P1"]


def test_finished_pieces_need_no_work() -> None:
    """Six of six were finished on 28 February, the day before the plan: nothing is scheduled."""
    plan = planned(studio(6, {"stage_done": "glaze fire", "pieces": 9}))
    assert plan.schedule.is_empty()
    assert plan.loads.is_empty()
    assert plan.results["space"].is_empty()
    assert plan.promise("A")["ready"] == march(0)


def test_the_rest_is_begun() -> None:
    """Of ten, three are finished and two turned: five are thrown. P1 is the turned lot, B1 the new batch."""
    plan = scheduled(
        studio(
            10,
            {"stage_done": "glaze fire", "pieces": 3},
            {"stage_done": "turn", "pieces": 2, "date": march(-2)},
        )
    )
    assert plan.days("throw") == on({1: 5})
    assert {batch for batch, *_ in plan.schedule.select("batch").rows()} == {"P1", "B1"}
    assert sum(pieces for _, pieces in plan.days("bisque", "load")) == 7
    assert sum(pieces for _, pieces in plan.days("glaze fire", "load")) == 7


def test_an_order_of_its_own_and_the_earliest_due() -> None:
    """Two lots, one for order B by name: it goes to B; the other to the earlier due, C."""
    orders = [
        {"order": "B", "form": "cup", "quantity": 2, "due": march(28)},
        {"order": "C", "form": "cup", "quantity": 2, "due": march(20)},
    ]
    plan = scheduled(
        studio(
            0,
            {"stage_done": "bisque", "pieces": 2, "order": "B"},
            {"stage_done": "dip", "pieces": 2},
            orders=orders,
        )
    )
    assert plan.schedule.group_by("batch", "order").len().sort("batch").select("batch", "order").rows() == [
        ("P1", "B"),
        ("P2", "C"),
    ]
    assert plan.days("dip") == on({1: 2})
    assert plan.days("throw") == []


def test_pieces_on_bats_hold_them_until_they_come_off() -> None:
    """Eight of ten bats are taken by what was thrown yesterday and is turned today. On the 1st ten bats are free again:
    a bat is free on the day its piece comes off.
    """
    sheets: dict[str, list[Cells]] = {
        "forms": [{"form": "cup", "bat": "small"}],
        "bats_and_boards": [{"item": "small", "kind": "bat", "count": 10}],
    }
    plan = scheduled(studio(18, {"stage_done": "throw", "pieces": 8}, **sheets))
    assert plan.days("turn", batch="P1") == on({1: 8})
    assert plan.days("throw") == on({1: 10})


def test_pieces_not_on_bats_yet_take_theirs_once() -> None:
    """Ten cups were wedged yesterday and are thrown on the 1st, onto ten of twelve bats: there are two for two more."""
    job = studio(
        12,
        {"stage_done": "wedge", "pieces": 10},
        stages=[{"stage": "wedge", "minutes_each": 1.0, "wait_days_max": 1}, *STAGES],
        forms=[{"form": "cup", "bat": "small"}],
        bats_and_boards=[{"item": "small", "kind": "bat", "count": 12}],
    )
    plan = scheduled(job)
    assert plan.days("throw", batch="P1") == on({1: 10})
    assert plan.days("throw") == on({1: 12})


def test_bats_of_pieces_that_cannot_come_off_yet_are_not_free() -> None:
    """Eight of ten bats stand until the 3rd, as they have three days to wait: two are thrown on the 1st, off on the
    4th, and eight on the 3rd, when the eight bats are free.
    """
    stages = [STAGES[0] | {"wait_days": 3, "wait_days_max": 3}, {"stage": "turn", "minutes_each": 3.0, "bat": "off"}]
    plan = scheduled(
        studio(
            18,
            {"stage_done": "throw", "pieces": 8, "date": march(0)},
            stages=stages,
            forms=[{"form": "cup", "bat": "small"}],
            bats_and_boards=[{"item": "small", "kind": "bat", "count": 10}],
        )
    )
    assert plan.days("turn", batch="P1") == on({3: 8})
    assert plan.days("throw") == on({1: 2, 3: 8})


@pytest.mark.parametrize("taken", [0, 3])
def test_pieces_that_no_line_takes_keep_their_bats(taken: int) -> None:
    """Eight plates stand on bats, of which an order takes three or none, and nobody takes the others off: of ten bats
    two are free, and with the three that are turned on the 1st five.
    """
    plates = [{"order": "B", "form": "plate", "quantity": taken}] * bool(taken)
    plan = scheduled(
        studio(
            0,
            {"form": "plate", "stage_done": "throw", "pieces": 8, "order": "B" if taken else None},
            orders=[{"order": "A", "form": "cup", "quantity": 10}, *plates],
            stages=[STAGES[0] | {"wait_days_max": 1}, {"stage": "turn", "minutes_each": 3.0, "bat": "off"}],
            forms=[{"form": "cup", "bat": "small"}, {"form": "plate", "bat": "small"}],
            bats_and_boards=[{"item": "small", "kind": "bat", "count": 10}],
        )
    )
    assert plan.days("turn", form="plate") == on({1: 3} if taken else {})
    room = 5 if taken else 2
    assert plan.days("throw") == on(dict.fromkeys(range(1, 10 // room + 1), room))


def test_a_window_about_to_close_goes_before_new_work() -> None:
    """Fifteen minutes a day: five turned, or seven thrown. What was thrown on 27 February has to be turned on the 1st,
    though the order that it is for is due much later than the other.
    """
    orders = [
        {"order": "A", "form": "cup", "quantity": 2, "due": march(20)},
        {"order": "B", "form": "cup", "quantity": 5, "due": march(30)},
    ]
    plan = scheduled(
        studio(
            0,
            {"stage_done": "throw", "pieces": 5, "date": dt.date(2027, 2, 27), "order": "B"},
            orders=orders,
            labour_hours=[{"day": "Mon-Sun", "hours": 0.25}],
        )
    )
    assert plan.days("turn", order="B") == on({1: 5})
    assert plan.days("throw", order="A") == on({2: 2})


def test_a_window_that_has_passed_is_worked_first_and_told() -> None:
    """Thrown on 20 February it should have been turned by the 22nd. It is turned on the first day, and the new pieces
    are thrown with what is left of it: 5 x 3 = 15 of 21 minutes, so three.
    """
    plan = planned(
        studio(
            8,
            {"stage_done": "throw", "pieces": 5, "date": dt.date(2027, 2, 20)},
            labour_hours=[{"day": "Mon-Sun", "hours": 0.35}],
        )
    )
    assert plan.days("turn", batch="P1") == on({1: 5})
    assert plan.days("throw") == on({1: 3})
    assert plan.kinds == ["window passed"]


def test_a_passed_window_waits_for_the_first_day_with_work() -> None:
    """Nobody works before Thursday the 4th."""
    plan = planned(
        studio(
            5,
            {"stage_done": "throw", "pieces": 5, "date": dt.date(2027, 2, 20)},
            closed_days=[{"from": march(1), "to": march(3)}],
        )
    )
    assert plan.days("turn") == on({4: 5})


def test_what_is_lost_on_the_way_is_made_up_for() -> None:
    """Ten wanted. Half are lost at glazing: 8 bisqued ones stand for 4, so 6 / 0.5 = 12 are thrown; 20 are dipped."""
    stages = [*STAGES[:3], STAGES[3] | {"loss_pct": 50.0}, STAGES[4]]
    plan = scheduled(studio(10, {"stage_done": "bisque", "pieces": 8}, stages=stages))
    assert sum(pieces for _, pieces in plan.days("throw")) == 12
    assert sum(pieces for _, pieces in plan.days("dip")) == 20
    assert sum(pieces for _, pieces in plan.days("glaze fire", "load")) == 10


def test_more_in_progress_than_is_wanted_stays_where_it_is() -> None:
    """Of 30 bisqued ones the order takes its four."""
    plan = scheduled(studio(4, {"stage_done": "bisque", "pieces": 30}))
    assert plan.days("dip") == on({1: 4})
    assert plan.days("throw") == []
