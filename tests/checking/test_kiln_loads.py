"""Rule 5e at its edges: loads that are exactly full, and unloading over closed days."""

from __future__ import annotations

import pytest

from tests.checking.small_plan import Plan, fire, in_load, march
from tests.shops import Cells

STAGES: list[Cells] = [{"stage": "bisque", "firing": "bisque"}]


def one_load(contents: dict[str, tuple[int, int, float]], load_on: int = 1, unload_on: int = 3) -> Plan:
    """Forms that are only fired, all in load L1: (pieces, count that fills the kiln, share_pct) each."""
    plan = Plan(
        sheets={
            "orders": [{"order": "A", "form": form, "quantity": 1} for form in contents],
            "stages": STAGES,
            "firings": [{"firing": "bisque", "days": 2}],
        },
        pieces=[],
        schedule=[],
        kiln_loads=[],
    )
    for number, (form, (pieces, count, share)) in enumerate(contents.items(), start=1):
        line = {"order": "A", "form": form, "glaze": None}
        plan.pieces.append(line | {"step": 1, "stage": "bisque", "pieces_in": pieces, "already_done": 0})
        dates = march(load_on), march(unload_on)
        plan.schedule += fire("L1", *dates, "bisque", f"B{number}", line, pieces, 0.0, 0.0)
        plan.kiln_loads.append(in_load("L1", "bisque", *dates, f"B{number}", line, pieces, share))
        plan.counts["bisque", "kiln", form] = count
    plan.in_order()
    return plan


@pytest.mark.parametrize(
    "contents",
    [
        # 1/3 + 1/3 + 1/3
        {"cup": (1, 3, 33.34), "bowl": (1, 3, 33.33), "plate": (1, 3, 33.33)},
        # 1/3 + 14/21
        {"cup": (1, 3, 33.33), "bowl": (14, 21, 66.67)},
        # 2/3 + 1/7 + 4/21 = 14/21 + 3/21 + 4/21; a sum of binary fractions may come out above 1
        {"cup": (2, 3, 66.67), "bowl": (1, 7, 14.28), "plate": (4, 21, 19.05)},
        # ten tenths, as unrounded percentages
        dict.fromkeys("abcdefghij", (1, 10, 100 / 10)),
        dict.fromkeys("abcdefg", (1, 7, 100 / 7)),
    ],
)
def test_a_load_that_is_exactly_full(contents: dict[str, tuple[int, int, float]]) -> None:
    assert one_load(contents).broken() == []


def test_a_load_that_is_a_hair_too_full() -> None:
    # 1/3 + 667/1000 = 3001/3000, 100.03 %; its shares, rounded down, add up to 100
    plan = one_load({"cup": (1, 3, 33.3), "bowl": (667, 1000, 66.7)})
    assert [(broken.rule, broken.what) for broken in plan.broken()] == [
        ("5e", "It is 100.03 % of what the kiln holds.")
    ]


@pytest.mark.parametrize(
    ("load_on", "closed", "unload_on"),
    [
        (1, [], 3),  # Mon 1 and two days: Wed 3
        (4, [], 8),  # Thu 4: Sat 6, so Mon 8
        (5, [], 8),  # Fri 5: Sun 7, so Mon 8
        (4, [{"from": march(8), "to": march(9)}], 10),  # the Monday and Tuesday after are closed too: Wed 10
        (1, [{"from": march(2)}], 3),  # a closed day on the way does not matter
    ],
)
def test_unloaded_on_the_first_day_with_work(load_on: int, closed: list[Cells], unload_on: int) -> None:
    plan = one_load({"cup": (1, 3, 33.33)}, load_on, unload_on)
    plan.sheets["closed_days"] = closed
    assert plan.broken() == []
    for other in {1, 3, 8, 10, 11} - {load_on, unload_on}:
        plan = one_load({"cup": (1, 3, 33.33)}, load_on, other)
        plan.sheets["closed_days"] = closed
        assert plan.rules() >= {"5e"}


def two_loads(second_load_on: int, second_unload_on: int) -> Plan:
    """Cups in L1 from Mon 1 to Wed 3, bowls in L2."""
    plan = one_load({"cup": (1, 3, 33.33), "bowl": (1, 3, 33.33)})
    dates = {"load": march(second_load_on), "unload": march(second_unload_on)}
    for row in plan.schedule:
        if row["form"] == "bowl":
            row["load"] = "L2"
            plan.move(row, dates[row["task"]])
    plan.kiln_loads[1].update(load="L2", load_on=dates["load"], unload_on=dates["unload"])
    return plan


def test_a_kiln_is_loaded_again_on_the_day_of_unloading() -> None:
    assert two_loads(3, 5).broken() == []


def test_a_kiln_holds_one_load_at_a_time() -> None:
    # Tue 2 to Thu 4, while L1 is in until Wed 3
    (broken,) = two_loads(2, 4).broken()
    assert (broken.rule, broken.where) == ("5e", "load L2")
    assert broken.what == "Kiln `kiln` is loaded on 2027-03-02, and holds load L1 until 2027-03-03."


def test_two_loads_on_one_day_in_one_kiln() -> None:
    assert two_loads(1, 3).rules() == {"5e"}


def test_nobody_ever_works() -> None:
    plan = one_load({"cup": (1, 3, 33.33)})
    plan.sheets["labour_hours"] = [{"worker": "Ada", "day": "Mon", "hours": 0.0}]
    for row in plan.schedule:  # it takes no time, so nobody need be named
        row["worker"] = None
    assert [broken.what for broken in plan.broken()] == [
        "It is loaded on 2027-03-01, a day without work.",
        "Loaded on 2027-03-01 it is unloaded on None, not on 2027-03-03.",
    ]
