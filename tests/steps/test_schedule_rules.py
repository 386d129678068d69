"""Each rule of a schedule but that of waits in a small job where it binds, its days counted by hand.

March 2027 begins on a Monday; Ada works from Monday to Friday, five hours a day, unless a job says otherwise.
"""

from __future__ import annotations

import datetime as dt

from tests.shops import Cells
from tests.steps.planned import EVERY_DAY, march, on, planned, scheduled, thrown


def cups(quantity: int) -> list[Cells]:
    """An order of so many cups."""
    return [{"order": "A", "form": "cup", "quantity": quantity}]


def test_two_hundred_at_twenty_a_day() -> None:
    """Common practice, no source: ten throwing days, and twelve from the first ball to the last foot.

    Each day's 20 are turned the next day and finished the day after: thrown from the 1st to the 10th, turned from the
    2nd to the 11th, finished from the 3rd to the 12th.
    """
    plan = planned(
        thrown(
            orders=cups(200),
            stages=[
                {"stage": "throw", "minutes_each": 2.0, "most_per_day": 20, "wait_days": 1, "wait_days_max": 1},
                {"stage": "turn", "minutes_each": 2.0, "wait_days": 1, "wait_days_max": 1},
                {"stage": "finish", "minutes_each": 1.0},
            ],
            labour_hours=EVERY_DAY,
        )
    )
    assert plan.days("throw") == on(dict.fromkeys(range(1, 11), 20))
    assert plan.days("turn") == on(dict.fromkeys(range(2, 12), 20))
    assert plan.days("finish") == on(dict.fromkeys(range(3, 13), 20))
    assert plan.promise("A")["ready"] == march(12)
    assert plan.schedule["batch"].unique().len() == 10  # each day's throwing is one batch all the way


# 5a pieces


def test_as_many_as_enter_each_stage() -> None:
    """40 wanted, 5 % lost at throwing and 10 % at turning: 40 / (0.95 x 0.9) = 46.8, so 47 are thrown and, as
    47 x 0.95 = 44.65, 45 turned.

    120 minutes a day at 4 minutes each are 30 pieces: 30 on Monday, 17 on Tuesday. Of the first 30, 30 x 45 / 47 =
    28.7, so 29 are turned, in Tuesday's and Wednesday's hours.
    """
    plan = scheduled(
        thrown(
            orders=cups(40),
            stages=[
                {"stage": "throw", "minutes_each": 4.0, "loss_pct": 5.0, "wait_days": 1},
                {"stage": "turn", "minutes_each": 1.0, "loss_pct": 10.0},
            ],
            labour_hours=[{"hours": 2.0}],
        )
    )
    assert sum(pieces for _, pieces in plan.days("throw")) == 47
    assert sum(pieces for _, pieces in plan.days("turn")) == 45
    assert plan.days("throw")[0] == (march(1), 30)
    assert sum(pieces for _, pieces in plan.days("turn", batch="B1")) == 29


# 5c hours


def test_a_set_up_comes_off_the_day() -> None:
    """60 minutes less 4 of set-up are 8 pieces of 7 minutes: 20 pieces take three days, 8, 8 and 4."""
    plan = scheduled(
        thrown(
            orders=cups(20),
            stages=[{"stage": "throw", "minutes_each": 7.0, "setup_minutes": 4.0}],
            labour_hours=[{"hours": 1.0}],
        )
    )
    assert plan.schedule.select("date", "pieces", "minutes").rows() == [
        (march(1), 8, 60.0),
        (march(2), 8, 60.0),
        (march(3), 4, 32.0),
    ]


def test_wedging_goes_by_weight() -> None:
    """Half a kilogram at 4 minutes a kilogram and 1 minute a piece are 3 minutes: 20 in an hour, so two days for 25.

    Fifteen and ten make a longest day of 45 minutes; no plan saves another quarter of an hour.
    """
    plan = scheduled(
        thrown(
            orders=cups(25),
            forms=[{"form": "cup", "ball_g": 420.0, "added_clay_g": 80.0}],
            stages=[{"stage": "wedge", "minutes_each": 1.0, "minutes_per_kg": 4.0}],
            labour_hours=[{"hours": 1.0}],
        )
    )
    assert plan.days("wedge") == on({1: 15, 2: 10})


def test_two_share_a_day() -> None:
    """Ten minutes each: six in Ada's hour, three in Ben's half, so nine a day: two days for twelve. Ben turns
    too, and Ada does not. Three each on both days make nobody's day longer than half an hour.
    """
    plan = scheduled(
        thrown(
            orders=cups(12),
            stages=[{"stage": "throw", "minutes_each": 10.0, "wait_days": 5}, {"stage": "turn", "minutes_each": 1.0}],
            labour_hours=[
                {"worker": "Ada", "hours": 1.0, "stages": "throw"},
                {"worker": "Ben", "hours": 0.5},
            ],
        )
    )
    assert plan.days("throw") == on({1: 6, 2: 6})
    assert plan.schedule.filter(date=march(1)).select("worker", "pieces", "minutes").rows() == [
        ("Ada", 3, 30.0),
        ("Ben", 3, 30.0),
    ]
    assert plan.schedule.filter(stage="turn")["worker"].unique().to_list() == ["Ben"]


def test_a_date_overrides_the_weekday_and_a_weekday_a_range() -> None:
    """An hour a day, two on Wednesdays, none on Tuesday the 2nd: at ten minutes 6 on Monday, 12 on Wednesday, 6."""
    plan = scheduled(
        thrown(
            orders=cups(24),
            stages=[{"stage": "throw", "minutes_each": 10.0}],
            labour_hours=[
                {"worker": "Ada", "day": "2027-03-02", "hours": 0.0},
                {"worker": "Ada", "day": "Wed", "hours": 2.0},
                {"worker": "Ada", "day": "Mon-Fri", "hours": 1.0},
            ],
        )
    )
    assert plan.days("throw") == on({1: 6, 3: 12, 4: 6})


def test_a_week_may_run_over_sunday() -> None:
    """Saturday to Monday: the 1st is a Monday, the 6th a Saturday."""
    plan = scheduled(
        thrown(
            orders=cups(18),
            stages=[{"stage": "throw", "minutes_each": 10.0}],
            labour_hours=[{"day": "Sat-Mon", "hours": 1.0}],
        )
    )
    assert plan.days("throw") == on({1: 6, 6: 6, 7: 6})


def test_a_slower_form() -> None:
    """Six cups of ten minutes fill an hour; plates take twenty, so three do."""
    plan = scheduled(
        thrown(
            orders=[{"order": "A", "form": "plate", "quantity": 6}],
            stages=[{"stage": "throw", "minutes_each": 10.0}],
            form_minutes=[{"form": "plate", "stage": "throw", "minutes_each": 20.0}],
            labour_hours=[{"hours": 1.0}],
        )
    )
    assert plan.days("throw") == on({1: 3, 2: 3})


def test_what_takes_no_time_needs_nobody() -> None:
    """Drying is nobody's work: the row has no worker. It is still on a day with work."""
    plan = scheduled(
        thrown(
            orders=cups(500),
            stages=[{"stage": "throw", "minutes_each": 0.5, "wait_days": 5}, {"stage": "look over"}],
        )
    )
    # 300 minutes are 600 pieces: all on Monday the 1st; five days later is Saturday, so Monday the 8th.
    assert plan.schedule.filter(stage="look over").select("date", "worker", "minutes").rows() == [(march(8), None, 0.0)]


# 5d bats


def on_bats(wait: int) -> list[Cells]:
    """Thrown on a bat and left on it for so many days."""
    return [
        {"stage": "throw", "minutes_each": 1.0, "wait_days": wait, "wait_days_max": wait, "bat": "on"},
        {"stage": "turn", "minutes_each": 1.0, "bat": "off"},
    ]


def bats(**counts: int) -> list[Cells]:
    """So many bats of each size."""
    return [{"item": size, "kind": "bat", "count": count} for size, count in counts.items()]


def test_a_bat_is_free_again_on_the_day_the_piece_comes_off() -> None:
    """Twenty bats, off the next day: twenty a day, every day."""
    plan = scheduled(
        thrown(
            orders=cups(60),
            forms=[{"form": "cup", "bat": "small"}],
            stages=on_bats(1),
            bats_and_boards=bats(small=20),
            labour_hours=EVERY_DAY,
        )
    )
    assert plan.days("throw") == on({1: 20, 2: 20, 3: 20})


def test_bats_limit_what_stands_overnight() -> None:
    """Twenty bats, off after two days: 20 are thrown on the 1st, none on the 2nd, 20 on the 3rd, 20 on the 5th."""
    plan = scheduled(
        thrown(
            orders=cups(60),
            forms=[{"form": "cup", "bat": "small"}],
            stages=on_bats(2),
            bats_and_boards=bats(small=20),
            labour_hours=EVERY_DAY,
        )
    )
    assert plan.days("throw") == on({1: 20, 3: 20, 5: 20})
    assert plan.days("turn") == on({3: 20, 5: 20, 7: 20})


def test_each_size_has_its_own_bats() -> None:
    """Two large bats hold up the plates; the cups have ten small ones, the jugs need none."""
    plan = scheduled(
        thrown(
            orders=[{"order": form, "form": form, "quantity": 6} for form in ("plate", "cup", "jug")],
            forms=[{"form": "plate", "bat": "large"}, {"form": "cup", "bat": "small"}, {"form": "jug"}],
            stages=on_bats(1),
            bats_and_boards=[*bats(small=10, large=2), {"item": "plank", "kind": "board", "count": 1}],
            labour_hours=EVERY_DAY,
        )
    )
    assert plan.days("throw", form="plate") == on({1: 2, 2: 2, 3: 2})
    assert plan.days("throw", form="cup") == on({1: 6})
    assert plan.days("throw", form="jug") == on({1: 6})


def test_without_a_row_for_bats_they_are_no_limit() -> None:
    plan = scheduled(
        thrown(
            orders=cups(60),
            forms=[{"form": "cup", "bat": "small"}],
            stages=on_bats(2),
            bats_and_boards=[{"item": "plank", "kind": "board", "count": 1}],
            labour_hours=EVERY_DAY,
        )
    )
    assert plan.days("throw") == on({1: 60})


# 5f closed days


def test_no_work_on_closed_days() -> None:
    """Five a day, closed on Tuesday the 2nd and from Thursday the 4th to Monday the 8th: the 1st, 3rd and 9th."""
    plan = scheduled(
        thrown(
            orders=cups(15),
            stages=[{"stage": "throw", "minutes_each": 1.0, "most_per_day": 5}],
            closed_days=[{"from": march(2)}, {"from": march(4), "to": march(8)}],
            labour_hours=EVERY_DAY,
        )
    )
    assert plan.days("throw") == on({1: 5, 3: 5, 9: 5})


def test_a_plan_may_begin_within_a_closed_week() -> None:
    """Closed until Sunday the 7th: the first piece is thrown on Monday the 8th."""
    plan = scheduled(
        thrown(
            orders=cups(1),
            stages=[{"stage": "throw", "minutes_each": 1.0}],
            closed_days=[{"from": dt.date(2027, 2, 20), "to": march(7)}],
        )
    )
    assert plan.days("throw") == on({8: 1})


# 5g most a day


def test_most_a_day_is_of_all_forms_of_the_method() -> None:
    """Twelve a day in all; of plates at most five. 20 of each take four days: the day's twelve are shared."""
    plan = scheduled(
        thrown(
            orders=[{"order": "A", "form": "plate", "quantity": 20}, {"order": "B", "form": "cup", "quantity": 20}],
            stages=[{"stage": "throw", "minutes_each": 1.0, "most_per_day": 12}],
            form_minutes=[{"form": "plate", "stage": "throw", "most_per_day": 5}],
        )
    )
    assert plan.days("throw", form="plate") == on({1: 5, 2: 5, 3: 5, 4: 5})
    assert plan.days("throw", form="cup") == on({1: 7, 2: 7, 3: 6})


def test_a_method_has_its_own_most_a_day() -> None:
    """Ten thrown and ten pressed on one day, each method having its own stage of that name."""
    plan = scheduled(
        thrown(
            orders=[{"order": "A", "form": "cup", "quantity": 20}, {"order": "B", "form": "tile", "quantity": 20}],
            forms=[{"form": "cup"}, {"form": "tile", "method": "pressed"}],
            stages=[
                {"stage": "make", "minutes_each": 1.0, "most_per_day": 10},
                {"method": "pressed", "stage": "make", "minutes_each": 1.0, "most_per_day": 10},
            ],
        )
    )
    assert plan.days("make") == on({1: 20, 2: 20})


# Clay that has to be bought


def test_what_needs_clay_to_be_bought_waits_for_it() -> None:
    """Balls of 400 g. One open bag of 2 kg is five cups; the other five wait for clay that comes seven days after
    Monday the 1st, on Monday the 8th.
    """
    plan = scheduled(
        thrown(
            orders=cups(10),
            clay_stock=[{"clay": "buff", "bags": 0, "loose_kg": 2.0, "lead_days": 7}],
            stages=[{"stage": "throw", "minutes_each": 1.0}],
        )
    )
    assert plan.days("throw") == on({1: 5, 8: 5})


def test_a_line_that_has_its_clay_does_not_wait_for_another() -> None:
    """Red clay has to be bought, and comes on Wednesday the 10th; buff is there."""
    plan = scheduled(
        thrown(
            orders=[{"order": "A", "form": "pot", "quantity": 5}, {"order": "B", "form": "cup", "quantity": 5}],
            forms=[{"form": "pot", "clay": "red"}, {"form": "cup"}],
            clay_stock=[{"clay": "red", "bags": 0, "lead_days": 9}, {"clay": "buff", "bags": 4}],
            stages=[{"stage": "throw", "minutes_each": 1.0}],
        )
    )
    assert plan.days("throw", form="pot") == on({10: 5})
    assert plan.days("throw", form="cup") == on({1: 5})
