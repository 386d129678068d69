"""What is left out in shops of some thousand lines, so that they are planned within a minute; tried on small ones."""

from __future__ import annotations

import pytest

from pipeline.job import Job
from pipeline.plan import work_out
from pipeline.scheduling import latest_starts, search
from pipeline.scheduling.from_job import build_shop
from pipeline.scheduling.policy import Plan, Policy
from pipeline.scheduling.search import Search, stages_left
from pipeline.scheduling.shop import Shop
from pipeline.scheduling.timetable import Worth
from schemas.problem import problems_sheet
from tests.shops import Cells
from tests.steps.planned import EVERY_DAY, march, on, planned, scheduled, thrown

CUPS: Cells = {"order": "A", "form": "cup", "quantity": 70}


def shop_of(job: Job) -> Shop:
    return build_shop(job, work_out(("pieces",), job, problems_sheet(())).results["pieces"])


def plans_made(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """Of each way of working that a search tries to begin with, no change of it being tried, whether it is strict."""
    for what in ("WORK_IF_LATE", "WORK_IN_TIME", "FEW_STAGES"):
        monkeypatch.setattr(search, what, 0)
    made = []
    no_worse = Search._no_worse

    def counted(self: Search, policy: Policy, worth: Worth | None, known: Plan | None = None) -> Plan | None:
        made.append(policy.strict)
        return no_worse(self, policy, worth, known)

    monkeypatch.setattr(Search, "_no_worse", counted)
    Search(shop).best()
    monkeypatch.setattr(Search, "_no_worse", no_worse)
    return made


def test_as_many_ways_of_working_are_tried_as_the_work_allows(monkeypatch: pytest.MonkeyPatch) -> None:
    """All eight; with work for the first plan alone, that one; with work for two as long, two."""
    job = thrown(orders=[CUPS, {"order": "B", "form": "bowl", "quantity": 5}], labour_hours=EVERY_DAY)
    shop = shop_of(job)
    assert len(plans_made(shop, monkeypatch)) == 8
    monkeypatch.setattr(search, "WORK_TO_BEGIN", 0)
    first = Search(shop)
    first.best()
    assert len(plans_made(shop, monkeypatch)) == 1
    monkeypatch.setattr(search, "WORK_TO_BEGIN", 2 * first.work)
    assert len(plans_made(shop, monkeypatch)) == 2


def test_a_way_to_place_what_is_left_over_is_tried_however_large_the_shop(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody works after the 2nd of March, so cups are left over: the first way is tried once more, strictly."""
    hours: list[Cells] = [{"day": f"2027-03-0{day}", "hours": 5.0} for day in (1, 2)]
    shop = shop_of(thrown(orders=[CUPS], labour_hours=hours))
    monkeypatch.setattr(search, "WORK_TO_BEGIN", 0)
    assert plans_made(shop, monkeypatch) == [False, True]


def test_the_days_of_a_large_shop_are_left_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    """Thirty a day at most, seventy wanted: thirty, thirty and ten, where a shop of one stage has its days level."""
    job = thrown(
        orders=[CUPS],
        stages=[{"stage": "throw", "minutes_each": 10.0}],
        labour_hours=[{"day": "Mon-Sun", "hours": 5.0}],
    )
    assert stages_left(shop_of(job)) == 1
    monkeypatch.setattr(search, "MOST_TO_LEVEL", 1)
    level = scheduled(job).days("throw")
    assert max(pieces for _, pieces in level) < 30
    monkeypatch.setattr(search, "MOST_TO_LEVEL", 0)
    assert scheduled(job).days("throw") == on({1: 30, 2: 30, 3: 10})


def test_the_latest_start_of_a_line_of_a_large_shop_is_that_by_its_own_days(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cups are fired for two days and due on the 10th: by their own days they may be loaded on the 8th. But bowls,
    which stand until the 7th and are due on the 9th, are in the kiln from the 7th to the 9th; so it is the 5th, out on
    the 7th. The shop has three stages: where more than two are too many, the 8th is told.
    """
    job = thrown(
        orders=[
            {"order": "A", "form": "cup", "quantity": 10, "due": march(10)},
            {"order": "B", "form": "bowl", "quantity": 10, "due": march(9)},
        ],
        forms=[{"form": "cup", "method": "cup"}, {"form": "bowl", "method": "bowl"}],
        stages=[
            {"method": "cup", "stage": "fire", "firing": "fire"},
            {"method": "bowl", "stage": "stand", "wait_days": 6},
            {"method": "bowl", "stage": "fire", "firing": "fire"},
        ],
        firings=[{"firing": "fire", "days": 2}],
        labour_hours=EVERY_DAY,
    )
    assert stages_left(shop_of(job)) == 3
    monkeypatch.setattr(latest_starts, "MOST_STAGES", 3)
    assert planned(job).promise("A")["latest_start"] == march(5)
    monkeypatch.setattr(latest_starts, "MOST_STAGES", 2)
    assert planned(job).promise("A")["latest_start"] == march(8)
