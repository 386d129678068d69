"""What an hour of own time earns, and the price that a wanted rate needs."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from tests.random_sheets import Cells
from tests.shops import frame, make_job
from tests.steps.worked import inputs, step

D = Decimal

COSTS: Cells = {
    "quantity": 10,
    "already_begun": 0,
    "book_cost": D("55.28"),
    "overhead": D("16.88"),
    "full_cost": D("152.16"),
    "unit_price": D("14.00"),
    "sales": D("140.00"),
    "margin": D("-12.16"),
}
"""10 pieces at 14.00, 55.28 for the books, 16.88 of overhead and 4 own hours at 20.00."""


def earned(wanted: str | None = "20.00", own_minutes: float = 240.0, **costs: Any) -> dict[str, Any]:
    line = {"order": "A", "form": "cup"}
    job = make_job(
        orders=[line | {"quantity": 10}],
        forms=[{"form": "cup", "ball_g": 500.0}],
        settings={"wanted_hourly_rate": wanted and D(wanted)},
    )
    results = {
        "job_costs": frame("job_costs", [line | COSTS | costs]),
        "labour": frame(
            "labour",
            [
                line | {"worker": "Ada", "own_time": True, "minutes": own_minutes},
                line | {"worker": "Tam", "own_time": False, "minutes": 60.0},
            ],
        ),
        "stage_hours": frame("stage_hours", [line | {"stage": "throw", "hours": 5.0}]),
        "kiln_loads": frame(
            "kiln_loads", [line | {"load": "L1", "share_pct": 25.0}, line | {"load": "L2", "share_pct": 50.0}]
        ),
        "pieces": step("pieces")(**inputs("pieces", job, {})),
    }
    return step("earnings")(**inputs("earnings", job, results)).row(0, named=True)


def test_what_is_left_for_an_hour_and_the_price_that_a_rate_needs() -> None:
    # 140.00 - 55.28 - 16.88 = 67.84, over 4 hours 16.96. (55.28 + 16.88 + 4 x 20.00) / 10 = 15.216, so 15.22.
    found = earned()
    assert (found["hours"], found["own_hours"]) == (5.0, 4.0)
    assert (found["left_for_own_time"], found["earned_an_hour"]) == (D("67.84"), D("16.96"))
    assert (found["wanted_rate"], found["price_needed"]) == (D("20.00"), D("15.22"))


def test_cost_by_the_kiln_and_by_the_clay() -> None:
    # A quarter and a half of a kiln: 152.16 / 0.75 = 202.88 a load, -12.16 / 0.75 = -16.21 (-16.2133). 10 x 0.5 kg of
    # clay: 152.16 / 5 = 30.43 (30.432).
    found = earned()
    assert (found["kiln_loads"], found["clay_kg"]) == (0.75, 5.0)
    assert (found["full_cost_a_load"], found["margin_a_load"]) == (D("202.88"), D("-16.21"))
    assert found["full_cost_a_kg"] == D("30.43")


def test_the_price_that_is_needed_earns_the_rate() -> None:
    # At 15.22 a piece 152.20 - 72.16 = 80.04 is left, 20.01 an hour: the rate, but for the rounding of the price.
    assert earned(sales=D("152.20"), unit_price=D("15.22"))["earned_an_hour"] == D("20.01")


def test_of_pieces_in_the_studio_already_nothing_is_told_that_would_mislead() -> None:
    found = earned(already_begun=3, margin=None)
    for name in ("left_for_own_time", "earned_an_hour", "price_needed", "full_cost_a_load", "full_cost_a_kg"):
        assert found[name] is None
    assert found["margin_a_load"] is None
    assert (found["own_hours"], found["kiln_loads"]) == (4.0, 0.75)


@pytest.mark.parametrize(
    ("changes", "blank"),
    [
        ({"sales": None, "unit_price": None, "margin": None}, {"left_for_own_time", "earned_an_hour", "margin_a_load"}),
        ({"own_minutes": 0.0}, {"earned_an_hour"}),
        ({"wanted": None}, {"wanted_rate", "price_needed"}),
    ],
)
def test_what_nobody_said_leaves_its_figures_blank_and_the_rest_stands(changes: Cells, blank: set[str]) -> None:
    whole = earned()
    found = earned(**changes)
    assert {name for name in found if found[name] is None and whole[name] is not None} >= blank
    assert found["full_cost_a_load"] == whole["full_cost_a_load"]
