"""What would mend a late line, counted by hand, and of random shops by doing it. March 2027 begins on a Monday."""

from __future__ import annotations

from typing import Any

import pytest

from pipeline.job import Job
from pipeline.scheduling import mends
from tests.shops import Cells, shop
from tests.steps.mended import claims, with_claim
from tests.steps.planned import EVERY_DAY, march, planned, scheduled, thrown
from tests.steps.test_promises import assert_as_scheduled

LIMITED: list[Cells] = [{"stage": "throw", "minutes_each": 2.0, "most_per_day": 5}]


def cups(quantity: int, due: int, **more: object) -> Cells:
    """An order of so many cups, due on a day of March."""
    return {"order": "A", "form": "cup", "quantity": quantity, "due": march(due)} | more


def mended(**sheets: list[Cells]) -> list[str]:
    """What would mend order A, and that it is true."""
    job = thrown(**sheets)
    words = planned(job).promise("A")["mended_by"]
    assert_true(job, 0, words)
    return list(words.split("; "))


def in_time(job: Job, line: int) -> bool:
    """Whether a line is ready by its due date when the job is planned."""
    order, form, glaze, due = job.orders.select("order", "form", "glaze", "due").row(line)
    dates = scheduled(job).schedule.filter(order=order, form=form)
    ready = dates.filter(dates["glaze"].eq_missing(glaze))["date"].max()
    assert ready is not None
    return bool(ready <= due)


def assert_true(job: Job, line: int, words: str) -> None:
    """Each thing named has the line in time when it is typed into the sheets; a step less of it has not."""
    for claim in claims(words):
        with_it = with_claim(job, line, claim)
        assert with_it is not None
        assert in_time(with_it, line), claim
        with_less = with_claim(job, line, claim, less=1)
        assert with_less is None or not in_time(with_less, line), claim


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


def test_a_due_date_is_moved_until_it_holds() -> None:
    """Five a day, two orders of ten due on the 1st. A goes first, as it stands first, and is ready on the 2nd. If it is
    due then, it goes after B, which is due on the 1st still, and is ready on the 4th.
    """
    words = mended(orders=[cups(10, 1), cups(10, 1, order="B")], stages=LIMITED)
    assert words[-1] == "a due date 3 days later (2027-03-04)"


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
    for line, (words, days_late) in enumerate(promises.select("mended_by", "days_late").iter_rows()):
        assert (words is not None) == bool(days_late)
        if words is not None and words != mends.NOTHING:
            assert_true(job, line, words)
