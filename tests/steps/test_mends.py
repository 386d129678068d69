"""What would mend a late line, counted by hand, and of random shops by doing it. March 2027 begins on a Monday."""

from __future__ import annotations

from typing import Any

import pytest

from pipeline.job import Job
from pipeline.scheduling import mends
from tests.shops import Cells, shop
from tests.steps.mended import EACH_LATE_LINE, NONE_LATE, claims, with_claim
from tests.steps.planned import EVERY_DAY, march, planned, scheduled, thrown
from tests.steps.test_promises import assert_as_scheduled

LIMITED: list[Cells] = [{"stage": "throw", "minutes_each": 2.0, "most_per_day": 5}]


def cups(quantity: int, due: int, **more: object) -> Cells:
    """An order of so many cups, due on a day of March."""
    return {"order": "A", "form": "cup", "quantity": quantity, "due": march(due)} | more


def mended(**sheets: list[Cells]) -> list[str]:
    """What would mend order A, and that it is true."""
    job = thrown(**sheets)
    words = planned(job).results["promises"]["mended_by"].to_list()
    assert_true(job, words)
    return list(words[0].split("; "))


def in_time(job: Job) -> list[bool]:
    """Of each line whether it is ready by its due date, if it has one, when the job is planned."""
    schedule = scheduled(job).schedule
    found = []
    for order, form, glaze, due in job.orders.select("order", "form", "glaze", "due").iter_rows():
        dates = schedule.filter(schedule["glaze"].eq_missing(glaze), order=order, form=form)["date"]
        found.append(due is None or dates.is_empty() or dates.max() <= due)
    return found


def assert_true(job: Job, told: list[str | None]) -> None:
    """Each thing named has the line in time when it is typed into the sheets; a step less of it has not. Where it is
    said that no line is late then, all are in time; with a step less not all are.
    """
    for line, words in enumerate(told):
        for claim in claims(words or mends.NOTHING):
            with_it, with_less = with_claim(job, line, claim), with_claim(job, line, claim, less=1)
            if claim.endswith(EACH_LATE_LINE):
                with_it = with_all_dates(job, told)
            assert with_it is not None
            lines = slice(None) if claim.endswith(NONE_LATE) else slice(line, line + 1)
            assert all(in_time(with_it)[lines]), claim
            assert with_less is None or not all(in_time(with_less)[lines]), claim


def with_all_dates(job: Job, told: list[str | None]) -> Job:
    """The job with all the later due dates that are told."""
    for line, words in enumerate(told):
        for claim in claims(words or mends.NOTHING):
            if claim.endswith(EACH_LATE_LINE):
                moved = with_claim(job, line, claim)
                assert moved is not None
                job = moved
    return job


def test_nothing_mends_what_is_in_time() -> None:
    assert planned(thrown(orders=[cups(15, 12)], stages=LIMITED)).promise("A")["mended_by"] is None


def test_more_a_day() -> None:
    """15 in two days are eight a day; seven would leave one for Wednesday. Five a day are ready then, a day late."""
    assert mended(orders=[cups(15, 2)], stages=LIMITED) == [
        "3 more `thrown` pieces a day at `throw` (8 instead of 5)",
        "a due date 1 day later (2027-03-03)",
    ]


def test_more_of_a_form_a_day() -> None:
    """The limit is the cup's own; the method's, of 20 a day, is in nobody's way."""
    words = mended(
        orders=[cups(15, 2)],
        stages=[{"stage": "throw", "minutes_each": 2.0, "most_per_day": 20}],
        form_minutes=[{"form": "cup", "stage": "throw", "most_per_day": 5}],
    )
    assert words[0] == "3 more `cup` a day at `throw` (8 instead of 5)"


def test_more_hours() -> None:
    """30 at 10 minutes are 300. At an hour a day they take five days, and there are three: 100 minutes a day, so two
    hours in steps of half an hour.
    """
    words = mended(
        orders=[cups(30, 3)],
        stages=[{"stage": "throw", "minutes_each": 10.0}],
        labour_hours=[{"worker": "Ada", "day": "Mon-Fri", "hours": 1.0}],
    )
    assert words == ["1 hour more a day of Ada (Mon-Fri 2 instead of 1)", "a due date 2 days later (2027-03-05)"]


def test_a_day_of_work_more() -> None:
    """Ada has twelve hours, and no day is made longer. 144 at 10 minutes are two of her days, Monday and Tuesday; the
    first of them is the 1st, due on Sunday the 7th - but she works on Mondays alone. Twelve more hours on Saturday.
    """
    words = mended(
        orders=[cups(144, 7)],
        stages=[{"stage": "throw", "minutes_each": 10.0}],
        labour_hours=[{"worker": "Ada", "day": "Mon", "hours": 12.0}],
    )
    assert words == ["12 hours of Ada on Sat too", "a due date 1 day later (2027-03-08)"]


BATS: dict[str, Any] = {
    "orders": [cups(10, 4)],
    "forms": [{"form": "cup", "bat": "small"}],
    "stages": [
        {"stage": "throw", "minutes_each": 2.0, "wait_days": 2, "wait_days_max": 2, "bat": "on"},
        {"stage": "turn", "minutes_each": 2.0, "bat": "off"},
    ],
    "labour_hours": EVERY_DAY,
    "bats_and_boards": [{"item": "small", "kind": "bat", "count": 3}],
}


def test_more_bats() -> None:
    """Off after two days, so the last go on on the 2nd, when the bats of the 1st are not yet free: ten bats for ten
    cups, seven more than three.
    """
    assert mended(**BATS)[0] == "7 more `small` bats (10 instead of 3)"


def test_more_bats_for_two_lines() -> None:
    """The same ten cups, five of A and five of B: ten bats, seven more, have both in time. With six more one cup of B
    goes on later, and A is in time alone.
    """
    plan = planned(thrown(**BATS | {"orders": [cups(5, 4), cups(5, 4, order="B")]}))
    told = plan.results["promises"]["mended_by"].to_list()
    bats = "7 more `small` bats (10 instead of 3)"
    assert [words.split("; ")[0] for words in told] == [f"{bats}, and no line is late", bats]
    assert_true(plan.job, told)


def test_work_on_a_closed_day() -> None:
    """Thrown on the 1st, turned the next day at the soonest, due on the 4th; closed from the 2nd to the 4th. One day of
    work is enough, and of the three the first that is looked for.
    """
    words = mended(
        orders=[cups(10, 4)],
        stages=[{"stage": "throw", "minutes_each": 1.0, "wait_days": 1}, {"stage": "turn", "minutes_each": 1.0}],
        closed_days=[{"from": march(2), "to": march(4)}],
    )
    assert words == ["work on 2027-03-02, a closed day", "a due date 1 day later (2027-03-05)"]


def test_work_on_closed_days_no_more_than_it_takes() -> None:
    """Turned three days after throwing at the soonest, which is the 4th: work on the 2nd and 3rd would help nobody."""
    words = mended(
        orders=[cups(10, 4)],
        stages=[{"stage": "throw", "minutes_each": 1.0, "wait_days": 3}, {"stage": "turn", "minutes_each": 1.0}],
        closed_days=[{"from": march(2), "to": march(5)}],
    )
    assert words[0] == "work on 2027-03-04, a closed day"


def test_a_firing_a_day_sooner_or_a_second_kiln() -> None:
    """Ten to a load, two days each, every day worked: 20 are out on the 5th. After a day each they are out on the 2nd
    and the 3rd; in two kilns both on the 3rd.
    """
    words = mended(
        orders=[cups(20, 3)], stages=[{"stage": "fire", "firing": "glaze"}], labour_hours=EVERY_DAY,
    )  # fmt: skip
    assert words == [
        "`glaze` out of `kiln` a day sooner (1 day instead of 2)",
        "a second kiln like `kiln`",
        "a due date 2 days later (2027-03-05)",
    ]


def test_clay_sooner() -> None:
    """It comes on the 10th, nine days after the 1st, and is wanted on Friday the 5th: four days, five days sooner."""
    words = mended(
        orders=[cups(5, 5)], stages=LIMITED, clay_stock=[{"clay": "buff", "bags": 0, "lead_days": 9}],
    )  # fmt: skip
    assert words == ["`buff` delivered 5 days sooner", "a due date 5 days later (2027-03-10)"]


def test_glaze_materials_sooner() -> None:
    """Feldspar comes on the 10th and the cups are dipped then; they are wanted on Friday the 5th, five days sooner."""
    words = mended(
        orders=[cups(5, 5, glaze="oat")],
        forms=[{"form": "cup", "glaze_g": 20.0}],
        stages=[*LIMITED, {"stage": "glaze", "minutes_each": 1.0}],
        glazes=[{"glaze": "oat", "material": "feldspar", "percent": 100.0}],
        materials=[{"material": "feldspar", "lead_days": 9}],
    )
    assert words == ["`feldspar` delivered 5 days sooner", "a due date 5 days later (2027-03-10)"]


def test_only_a_later_due_date() -> None:
    """Seven days to dry, whatever else is done."""
    stages = [{"stage": "throw", "minutes_each": 2.0, "wait_days": 7}, {"stage": "turn", "minutes_each": 2.0}]
    assert mended(orders=[cups(5, 5)], stages=stages) == ["only a due date 3 days later (2027-03-08)"]


def test_the_due_dates_of_all_late_lines_are_moved_together() -> None:
    """Five a day, two orders of ten due on the 1st. A goes first, as it stands first, and is ready on the 2nd, B on the
    4th; due then, both are in time. (Were A alone due on the 2nd, it would go after B, which is due on the 1st still.)
    """
    words = mended(orders=[cups(10, 1), cups(10, 1, order="B")], stages=LIMITED)
    assert words[-1] == "a due date 1 day later (2027-03-02), with such a date for each late line"


def test_so_much_that_no_line_is_late() -> None:
    """Five a day; ten of A due on the 1st and eleven of B on the 2nd. Both in time are 21 in two days, eleven a day,
    six more than five. With ten a day A would be in time alone, and one of B left for the 3rd.
    """
    plan = planned(thrown(orders=[cups(10, 1), cups(11, 2, order="B")], stages=LIMITED))
    told = plan.results["promises"]["mended_by"].to_list()
    more = "6 more `thrown` pieces a day at `throw` (11 instead of 5)"
    assert [words.split("; ")[0] for words in told] == [f"{more}, and no line is late", more]
    assert_true(plan.job, told)


def test_what_cannot_be_looked_into_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """None is allowed for later due dates, and of all else no plan is made to its end within five tries."""
    monkeypatch.setattr(mends, "FOR_DUE_DATES", 0)
    monkeypatch.setattr(mends, "MOST_WORK", 5)
    promise = planned(thrown(orders=[cups(150, 2)], stages=LIMITED)).promise("A")
    assert promise["mended_by"] == mends.NOT_ALL


@pytest.mark.parametrize("seed", [13, 16, 22, 107, 118])
def test_of_a_shop_at_random_each_is_true(seed: int) -> None:
    """Each line is ready when its last piece is; each late one is told what would mend it, and that is so."""
    job = shop(seed)
    plan = planned(job)
    assert_as_scheduled(plan)
    promises = plan.results["promises"]
    for words, days_late in promises.select("mended_by", "days_late").iter_rows():
        assert (words is not None) == bool(days_late)
    assert_true(job, promises["mended_by"].to_list())
