"""When each line is ready, and what holds up a late one, counted by hand. March 2027 begins on a Monday."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import polars as pl
import pytest

from pipeline.scheduling import hold_ups, mends
from pipeline.steps.promises import promises
from tests.shops import Cells, shop
from tests.steps.planned import EVERY_DAY, Planned, dated, march, planned, thrown

FIVE_A_DAY: list[Cells] = [{"stage": "throw", "minutes_each": 2.0, "most_per_day": 5}]


ONE_WAY = 1_500
"""Work that is enough for one way of working for each thing that may hold up a small shop, but for no search."""


def order(quantity: int, due: dt.date | None, name: str = "A", **more: object) -> Cells:
    """An order of so many cups."""
    return {"order": name, "form": "cup", "quantity": quantity, "due": due} | more


def test_in_time() -> None:
    """15 at five a day: begun on the 1st, ready on the 3rd, due on Friday the 12th, nine days in hand. Begun nine days
    later, on Wednesday the 10th, it would be ready on its due date.
    """
    plan = planned(thrown(orders=[order(15, march(12), customer="Ferry")], stages=FIVE_A_DAY))
    assert plan.promise("A") == {
        "order": "A",
        "customer": "Ferry",
        "form": "cup",
        "glaze": None,
        "quantity": 15,
        "due": march(12),
        "ready": march(3),
        "days_late": 0,
        "latest_start": march(10),
        "slack_days": 9,
        "held_up_by": None,
        "mended_by": None,
    }


def test_the_latest_start_is_a_day_with_work() -> None:
    """Ready on the 1st, due on Sunday the 14th: the last day with work up to then is Friday the 12th."""
    promise = planned(thrown(orders=[order(5, march(14))], stages=FIVE_A_DAY)).promise("A")
    assert (promise["slack_days"], promise["latest_start"]) == (13, march(12))


def test_without_a_due_date() -> None:
    promise = planned(thrown(orders=[order(5, None)], stages=FIVE_A_DAY)).promise("A")
    asked = ("ready", "days_late", "latest_start", "slack_days", "held_up_by")
    assert [promise[name] for name in asked] == [march(1), None, None, None, None]


def test_ready_on_its_due_date_is_in_time() -> None:
    promise = planned(thrown(orders=[order(15, march(3))], stages=FIVE_A_DAY)).promise("A")
    assert (promise["days_late"], promise["slack_days"], promise["latest_start"]) == (0, 0, march(1))


def test_ready_is_the_day_of_unloading() -> None:
    """Loaded on Thursday the 4th, out after two days, on Saturday; nobody works before Monday the 8th."""
    stages: list[Cells] = [{"stage": "fire", "firing": "glaze"}]
    job = thrown(orders=[order(5, march(6))], stages=stages, settings={"start": march(4)})
    promise = planned(job).promise("A")
    assert (promise["ready"], promise["days_late"], promise["slack_days"]) == (march(8), 2, -2)


def test_late_by_so_many_days() -> None:
    """15 at five a day are ready on the 3rd. Due on the 1st, they are two days late, and should have been begun two
    days before the 1st.
    """
    promise = planned(thrown(orders=[order(15, march(1))], stages=FIVE_A_DAY)).promise("A")
    assert (promise["ready"], promise["days_late"], promise["slack_days"]) == (march(3), 2, -2)
    assert promise["latest_start"] == dt.date(2027, 2, 27)


def test_each_line_has_its_row_in_the_order_of_the_sheet() -> None:
    """B goes first, by its date, and stands second."""
    orders = [order(5, march(20)), order(5, march(10), "B")]
    plan = planned(thrown(orders=orders, stages=FIVE_A_DAY))
    assert plan.results["promises"].select("order", "ready").rows() == [("A", march(2)), ("B", march(1))]


# What holds up


def held_up(job_sheets: dict[str, Any], eased: dict[str, Any]) -> tuple[str, int, int]:
    """What holds order A up, how late it is, and how late in a plan of the sheets as ``eased``.

    What the words claim of the plan made again, "in time" or "3 days late", is checked against the second.
    """
    before = planned(thrown(**job_sheets)).promise("A")
    after = dated(thrown(**job_sheets | eased)).promise("A")
    words = before["held_up_by"]
    told = re.search(r"(?:then|in its way) (?:(in time)|(\d+) days? late)$", words)
    assert told is not None
    assert (0 if told[1] else int(told[2])) == after["days_late"]
    return words, before["days_late"], after["days_late"]


def test_held_up_by_hours() -> None:
    """30 at 10 minutes and an hour a day are five days, ready on Friday the 5th and due on Wednesday the 3rd. With
    three hours a day, 18 a day, they are ready on the 2nd.
    """
    job = {
        "orders": [order(30, march(3))],
        "stages": [{"stage": "throw", "minutes_each": 10.0}],
        "labour_hours": [{"hours": 1.0}],
    }
    words, late, _ = held_up(job, {"labour_hours": [{"hours": 3.0}]})
    assert late == 2
    assert words == "hours of work; with as many as it takes: then in time"


def test_held_up_by_the_kiln() -> None:
    """30 pieces, ten to a load, two days each: out on the 3rd, the 5th and, the 7th being a Sunday, the 8th; due on the
    4th. With a second kiln two loads go at once and the third is out on the 5th, a day late.
    """
    job = {"orders": [order(30, march(4))], "stages": [{"stage": "fire", "firing": "glaze"}]}
    words, late, after = held_up(job, {"kilns": [{"kiln": "kiln"}, {"kiln": "other"}]})
    assert (late, after) == (4, 1)
    assert words == "the kiln; with a second one like kiln: then 1 day late"


def test_the_kiln_that_helps_is_named() -> None:
    """The glaze kiln is the one there is too little of: 30 pieces, one load of bisque but three of glaze."""
    job = {
        "orders": [order(30, march(8))],
        "stages": [{"stage": "bisque", "firing": "bisque"}, {"stage": "fire", "firing": "glaze"}],
        "kilns": [{"kiln": "big"}, {"kiln": "small"}],
        "firings": [{"firing": "bisque", "kiln": "big"}, {"firing": "glaze", "kiln": "small"}],
        "kiln_fit": [
            {"firing": "bisque", "kiln": "big", "form": "cup", "pieces": 30},
            {"firing": "glaze", "kiln": "small", "form": "cup", "pieces": 10},
        ],
        "labour_hours": EVERY_DAY,
    }
    # out of the bisque on the 3rd; loaded on the 3rd, 5th and 7th, out on the 9th; with two small ones on the 7th
    promise = planned(thrown(**job)).promise("A")
    assert promise["ready"] == march(9)
    assert promise["held_up_by"] == "the kiln; with a second one like small: then in time"


BATS: dict[str, Any] = {
    "orders": [order(10, march(4))],
    "forms": [{"form": "cup", "bat": "small"}],
    "stages": [
        {"stage": "throw", "minutes_each": 2.0, "wait_days": 2, "wait_days_max": 2, "bat": "on"},
        {"stage": "turn", "minutes_each": 2.0, "bat": "off"},
    ],
    "labour_hours": EVERY_DAY,
}


def test_held_up_by_bats() -> None:
    """Five bats, off after two days: five thrown on the 1st and five on the 3rd, turned on the 5th. With ten, all are
    turned on the 3rd.
    """
    few = BATS | {"bats_and_boards": [{"item": "small", "kind": "bat", "count": 5}]}
    words, late, _ = held_up(few, {"bats_and_boards": [{"item": "small", "kind": "bat", "count": 10}]})
    assert late == 1
    assert words == "bats; with enough of each size: then in time"


def test_held_up_by_closed_days() -> None:
    """Turned on the day after throwing at the soonest. Closed on the 2nd and 3rd it is the 4th instead of the 2nd, and
    no hours help.
    """
    job = {
        "orders": [order(10, march(2))],
        "stages": [
            {"stage": "throw", "minutes_each": 1.0, "wait_days": 1},
            {"stage": "turn", "minutes_each": 1.0},
        ],
        "closed_days": [{"from": march(2), "to": march(3)}],
    }
    words, late, _ = held_up(job, {"closed_days": []})
    assert late == 2
    assert words == "closed days; with work on them: then in time"


def test_of_two_that_help_alike_hours_are_named() -> None:
    """Ten at 30 minutes are two days of two and a half hours. Closed on the 2nd and 3rd they are ready on the 4th; more
    hours would do it on the 1st, work on closed days on the 2nd, both in time.
    """
    job = {
        "orders": [order(10, march(2))],
        "stages": [{"stage": "throw", "minutes_each": 30.0}],
        "labour_hours": [{"hours": 2.5}],
        "closed_days": [{"from": march(2), "to": march(3)}],
    }
    words, late, _ = held_up(job, {"labour_hours": [{"hours": 8.0}]})
    assert late == 2
    assert words == "hours of work; with as many as it takes: then in time"


def test_held_up_by_most_a_day() -> None:
    """15 at five a day are ready on the 3rd; without that limit on the 1st."""
    job = {"orders": [order(15, march(1))], "stages": FIVE_A_DAY}
    words, late, _ = held_up(job, {"stages": [{"stage": "throw", "minutes_each": 2.0}]})
    assert late == 2
    assert words == "most pieces a day; without that limit: then in time"


def test_held_up_by_clay() -> None:
    """Clay comes on Wednesday the 10th, nine days after the 1st, and the order is due on the 5th."""
    job = {
        "orders": [order(5, march(5))],
        "stages": FIVE_A_DAY,
        "clay_stock": [{"clay": "buff", "bags": 0, "lead_days": 9}],
    }
    words, late, _ = held_up(job, {"clay_stock": [{"clay": "buff", "bags": 9}]})
    assert late == 5
    assert words == "clay to be delivered; with it in the studio: then in time"


def test_held_up_by_drying_alone() -> None:
    """Thrown on the 1st and seven days to dry: the 8th at the soonest, whatever else is done. Due on the 5th."""
    job = {
        "orders": [order(5, march(5))],
        "stages": [{"stage": "throw", "minutes_each": 2.0, "wait_days": 7}, {"stage": "turn", "minutes_each": 2.0}],
    }
    words, late, _ = held_up(job, {})
    assert late == 3
    assert words == "drying, waiting and firing alone: with nothing else in its way 3 days late"


def test_held_up_by_several_things_together() -> None:
    """Six a day by hours and six a day by the limit: taking one away leaves the other. Both away, all on the 1st."""
    job = {
        "orders": [order(12, march(1))],
        "stages": [{"stage": "throw", "minutes_each": 10.0, "most_per_day": 6}],
        "labour_hours": [{"hours": 1.0}],
    }
    more = {"stages": [{"stage": "throw", "minutes_each": 10.0}], "labour_hours": [{"hours": 8.0}]}
    words, late, _ = held_up(job, more)
    assert late == 1
    assert words == "several things together: with nothing else in its way in time"


def test_what_helps_most_is_named_hours_or_the_calendar() -> None:
    """Six a day by hours, closed on the 2nd and 3rd, due on the 2nd.

    20 thrown take four days, the 1st, 4th, 5th and 8th. With hours for all they are ready on the 1st; with work on
    closed days on the 4th, two days late. So it is the hours.

    12 thrown, and turned the next day at the soonest, are ready on the 5th. With hours for all they are thrown on the
    1st and turned on the 4th; with work on closed days thrown on the 1st and 2nd and turned by the 3rd, a day late. So
    it is the closed days.
    """
    job = {
        "stages": [{"stage": "throw", "minutes_each": 10.0}],
        "labour_hours": [{"hours": 1.0}],
        "closed_days": [{"from": march(2), "to": march(3)}],
    }
    thrown_only = job | {"orders": [order(20, march(2))]}
    words, late, _ = held_up(thrown_only, {"labour_hours": [{"hours": 8.0}]})
    assert late == 6
    assert words == "hours of work; with as many as it takes: then in time"

    turned = job | {
        "orders": [order(12, march(2))],
        "stages": [{"stage": "throw", "minutes_each": 10.0, "wait_days": 1}, {"stage": "turn"}],
    }
    words, late, _ = held_up(turned, {"closed_days": []})
    assert late == 3
    assert words == "closed days; with work on them: then 1 day late"


def test_what_helps_most_is_named_the_kiln() -> None:
    """12 pieces, six a day thrown by hours, ten to a load, two days a firing, due on the 3rd. Six are loaded on the 1st
    and six on the 3rd: ready on the 5th. With hours for all, ten on the 1st and two on the 3rd: the 5th again. With a
    second kiln, six on the 1st and six on the 2nd: ready on the 4th.
    """
    job = {
        "orders": [order(12, march(3))],
        "stages": [{"stage": "throw", "minutes_each": 10.0}, {"stage": "fire", "firing": "glaze"}],
        "labour_hours": [{"day": "Mon-Sun", "hours": 1.0}],
    }
    words, late, after = held_up(job, {"kilns": [{"kiln": "kiln"}, {"kiln": "other"}]})
    assert (late, after) == (2, 1)
    assert words == "the kiln; with a second one like kiln: then 1 day late"


def test_two_late_lines_have_each_their_own_reason() -> None:
    """Cups are held up by the day's limit, plates by clay."""
    plan = planned(
        thrown(
            orders=[order(15, march(1)), order(1, march(2), "B", form="plate")],
            forms=[{"form": "cup"}, {"form": "plate", "clay": "red"}],
            stages=[{"stage": "throw", "minutes_each": 2.0}],
            form_minutes=[{"form": "cup", "stage": "throw", "most_per_day": 5}],
            clay_stock=[{"clay": "buff", "bags": 9}, {"clay": "red", "bags": 0, "lead_days": 4}],
        )
    )
    assert plan.promise("A")["held_up_by"] == "most pieces a day; without that limit: then in time"
    assert plan.promise("B")["held_up_by"] == "clay to be delivered; with it in the studio: then in time"


# Large plans, which are searched for less long for each thing that may hold up


def test_of_a_large_plan_what_is_told_is_as_true(monkeypatch: pytest.MonkeyPatch) -> None:
    """Five bats hold ten cups up by a day, as above; with ten bats, one way of working has them in time as well."""
    monkeypatch.setattr(hold_ups, "MOST_WORK", ONE_WAY)
    few = BATS | {"bats_and_boards": [{"item": "small", "kind": "bat", "count": 5}]}
    words, late, after = held_up(few, {"bats_and_boards": [{"item": "small", "kind": "bat", "count": 10}]})
    assert (words, late, after) == ("bats; with enough of each size: then in time", 1, 0)


def test_of_a_large_plan_nobody_says_that_nothing_helps(monkeypatch: pytest.MonkeyPatch) -> None:
    """Six a day by hours and six by the limit, as above: nothing helps alone, but one way of working does not prove
    it.
    """
    monkeypatch.setattr(hold_ups, "MOST_WORK", 12)
    job = thrown(
        orders=[order(12, march(1))],
        stages=[{"stage": "throw", "minutes_each": 10.0, "most_per_day": 6}],
        labour_hours=[{"hours": 1.0}],
    )
    assert planned(job).promise("A")["held_up_by"] == hold_ups.NOT_TOLD


@pytest.mark.parametrize(("work", "told"), [(10, False), (11, True)])
def test_a_large_plan_is_made_again_only_so_often(work: int, told: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """15 at five a day. Hours and closed days come before the limit a day, so the third plan tells of it. One way of
    working tries the line twice on the first day and the second, as none is left for that day, and once on the third:
    five tries. After ten no third plan is begun, which may try the line once at least.
    """
    monkeypatch.setattr(hold_ups, "MOST_WORK", work)
    job = thrown(orders=[order(15, march(1))], stages=FIVE_A_DAY, closed_days=[{"from": march(20)}])
    words = "most pieces a day; without that limit: then in time" if told else hold_ups.NOT_TOLD
    assert planned(job).promise("A")["held_up_by"] == words


@pytest.mark.parametrize("seed", [1, 22, 41])
def test_a_large_plan_at_random(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """All is as in any plan; and every line is told to come forward, or that no more was looked into."""
    monkeypatch.setattr(hold_ups, "MOST_WORK", ONE_WAY)
    monkeypatch.setattr(mends, "MOST_WORK", ONE_WAY)
    monkeypatch.setattr(mends, "FOR_DUE_DATES", ONE_WAY)
    plan = planned(shop(seed))
    assert_as_scheduled(plan)
    for words, days in plan.results["promises"].select("held_up_by", "days_late").iter_rows():
        then = re.search(r"then (\d+) days? late", words or "")
        assert then is None or int(then[1]) < days
        assert words is None or "several things together" not in words


def test_of_kilns_alike_the_first_is_named() -> None:
    """One piece to a kiln of one kind, three kilns, four pieces, one day a firing: the fourth waits. A second kiln like
    the first helps as much as one like any other.
    """
    kilns = ("one", "two", "three")
    plan = planned(
        thrown(
            orders=[order(4, march(2))],
            stages=[{"stage": "fire", "firing": "glaze"}],
            kilns=[{"kiln": kiln} for kiln in kilns],
            firings=[{"firing": "glaze", "days": 1}],
            kiln_fit=[{"firing": "glaze", "form": "cup", "pieces": 1}],
            labour_hours=EVERY_DAY,
        )
    )
    assert plan.promise("A")["held_up_by"] == "the kiln; with a second one like one: then in time"


def assert_as_scheduled(plan: Planned) -> None:
    """A line's last piece is the last row of its schedule; late lines, and they alone, are held up by something.

    A line with no row was finished before the plan's first day.
    """
    for row in plan.results["promises"].iter_rows(named=True):
        line = pl.all_horizontal(
            pl.col(name).eq_missing(pl.lit(row[name], dtype=pl.String)) for name in ("order", "form", "glaze")
        )
        dates = plan.schedule.filter(line)["date"]
        ready = row["ready"]
        assert ready < plan.job.settings.start if dates.is_empty() else ready == dates.max()
        late = row["due"] is not None and ready > row["due"]
        assert (row["held_up_by"] is not None) == late
        assert row["days_late"] == (None if row["due"] is None else max(0, (ready - row["due"]).days))


def test_the_step_alone_does_as_the_plan() -> None:
    plan = planned(thrown(orders=[order(15, march(1)), order(5, march(20), "B")], stages=FIVE_A_DAY))
    again = promises(plan.job, plan.results["pieces"], plan.schedule)
    assert again.equals(plan.results["promises"])
