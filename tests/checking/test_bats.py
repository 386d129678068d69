"""Rule 5d: bats by night, and when they are free again."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from pipeline.checking.facts import BrokenRule
from tests.checking.small_plan import Plan, march, work
from tests.shops import Cells

MUG = {"order": "A", "form": "mug", "glaze": None}
BOWL = {"order": "B", "form": "bowl", "glaze": None}

STAGES: list[Cells] = [
    {"stage": "throw", "wait_days": 1, "bat": "on"},
    {"stage": "turn", "bat": "off"},
]


def thrown_and_turned(*lots: tuple[str, str, int, int], small: int | None, **sheets: Any) -> Plan:
    """Mugs and bowls on small bats: (batch, stage, day of March, pieces) each; nothing takes any time."""
    forms = [{"form": "mug", "bat": "small"}, {"form": "bowl", "bat": "small"}]
    lines = {"1": MUG, "2": BOWL}
    rows = [work(march(day), stage, batch, lines[batch[1]], pieces, 0.0) for batch, stage, day, pieces in lots]
    totals: dict[tuple[str, str], int] = {}
    for batch, stage, _, pieces in lots:
        totals[batch[1], stage] = totals.get((batch[1], stage), 0) + pieces
    plan = Plan(
        sheets={
            "orders": [MUG | {"quantity": 1}, BOWL | {"quantity": 1}],
            "forms": forms,
            "stages": STAGES,
            "bats_and_boards": [] if small is None else [{"item": "small", "kind": "bat", "count": small}],
        }
        | sheets,
        pieces=[
            lines[line] | {"step": 1, "stage": stage, "pieces_in": pieces, "already_done": 0}
            for (line, stage), pieces in totals.items()
        ],
        schedule=rows,
        kiln_loads=[],
    )
    plan.in_order()
    return plan


ONE_AFTER_ANOTHER = (("B1", "throw", 1, 6), ("B1", "turn", 2, 6), ("B2", "throw", 2, 6), ("B2", "turn", 3, 6))


def test_a_bat_is_free_on_the_day_of_turning() -> None:
    # 6 mugs stand in the night of Mon 1; on Tue 2 they are turned, and 6 bowls take their bats for that night
    assert thrown_and_turned(*ONE_AFTER_ANOTHER, small=6).broken() == []


def test_two_forms_share_the_bats_of_a_size() -> None:
    # thrown on the same Monday they need 12 in the night of Mon 1, and 11 are there
    together = (("B1", "throw", 1, 6), ("B1", "turn", 2, 6), ("B2", "throw", 1, 6), ("B2", "turn", 2, 6))
    assert thrown_and_turned(*together, small=12).broken() == []
    assert thrown_and_turned(*together, small=11).broken() == [
        BrokenRule("5d", "2027-03-01", "12 `small` bats are in use on this night, and 11 are owned.")
    ]


def test_forms_without_a_bat_need_none() -> None:
    forms = [{"form": "mug"}, {"form": "bowl"}]
    assert thrown_and_turned(*ONE_AFTER_ANOTHER, small=0, forms=forms).broken() == []


def test_without_a_row_for_bats_they_are_no_limit() -> None:
    assert thrown_and_turned(*ONE_AFTER_ANOTHER, small=None).broken() == []


def test_a_method_without_bat_stages_needs_none() -> None:
    stages = [{"stage": "throw", "wait_days": 1}, {"stage": "turn"}]
    assert thrown_and_turned(*ONE_AFTER_ANOTHER, small=0, stages=stages).broken() == []


def test_a_batch_comes_off_in_parts() -> None:
    # 6 mugs on Mon 1; 2 are turned on Tue 2 and 4 on Wed 3: bats in use by night 6, 4, 0.
    # 2 bowls thrown on Tue 2 fit, in the night of Tue 2: 4 + 2 = 6; 3 bowls do not: 7.
    parts = (("B1", "throw", 1, 6), ("B1", "turn", 2, 2), ("B1", "turn", 3, 4))
    assert thrown_and_turned(*parts, ("B2", "throw", 2, 2), ("B2", "turn", 3, 2), small=6).broken() == []
    plan = thrown_and_turned(*parts, ("B2", "throw", 2, 3), ("B2", "turn", 3, 3), small=6)
    assert [(broken.rule, broken.where) for broken in plan.broken()] == [("5d", "2027-03-02")]


def test_lost_pieces_free_their_bats_when_the_others_come_off() -> None:
    # 6 mugs on Mon 1, one cracks, 5 are turned on Tue 2: all 6 bats are free for the bowls of that day
    lots = (("B1", "throw", 1, 6), ("B1", "turn", 2, 5), ("B2", "throw", 2, 6), ("B2", "turn", 3, 6))
    assert thrown_and_turned(*lots, small=6).broken() == []


def test_a_batch_lost_altogether_frees_its_bats() -> None:
    # the one mug of Mon 1 cracks and is never turned; on Tue 2 a bowl takes the one bat
    assert thrown_and_turned(("B1", "throw", 1, 1), ("B2", "throw", 2, 1), ("B2", "turn", 3, 1), small=1).broken() == []


def test_bats_are_held_through_every_stage_up_to_the_one_that_takes_off() -> None:
    # on at throwing on Mon 1, handled on Tue 2, off at turning on Wed 3: two nights, so bowls of Tue 2 find no bat
    stages = [STAGES[0], {"stage": "handle"}, STAGES[1]]
    mugs = (("B1", "throw", 1, 6), ("B1", "handle", 2, 6), ("B1", "turn", 3, 6))
    late = (("B2", "throw", 3, 6), ("B2", "handle", 4, 6), ("B2", "turn", 4, 6))
    early = (("B2", "throw", 2, 6), ("B2", "handle", 3, 6), ("B2", "turn", 3, 6))
    assert thrown_and_turned(*mugs, *late, small=6, stages=stages).broken() == []
    plan = thrown_and_turned(*mugs, *early, small=6, stages=stages)
    assert [(broken.rule, broken.where) for broken in plan.broken()] == [("5d", "2027-03-02")]


def test_on_and_off_on_one_day_takes_no_bat_overnight() -> None:
    stages = [STAGES[0] | {"wait_days": 0}, STAGES[1]]
    assert thrown_and_turned(("B1", "throw", 1, 6), ("B1", "turn", 1, 6), small=0, stages=stages).broken() == []


IN_PROGRESS: list[Cells] = [{"form": "mug", "stage_done": "throw", "pieces": 4, "date": dt.date(2027, 2, 26)}]


def test_pieces_from_the_studio_stand_on_bats_from_the_start() -> None:
    # 4 mugs of February hold 4 of 6 bats until they are turned on Tue 2: on Mon 1 there is room for 2 bowls, not 3
    mugs = ("P1", "turn", 2, 4)
    for bowls, expected in ((2, []), (3, ["2027-03-01"])):
        plan = thrown_and_turned(
            mugs, ("B2", "throw", 1, bowls), ("B2", "turn", 2, bowls), small=6, in_progress=IN_PROGRESS
        )
        assert [broken.where for broken in plan.broken()] == expected


@pytest.mark.parametrize(
    ("day", "gone_on", "room"),
    [
        (1, 0, 2),  # nobody goes on with the 4 mugs of February: of 6 bats 2 are free, on the first day
        (3, 0, 2),  # and on any other
        (1, 1, 2),  # one of them is turned on Tue 2: until then 2 are free
        (2, 1, 3),  # and then 3
    ],
)
def test_pieces_from_the_studio_that_do_not_go_on_keep_their_bats(day: int, gone_on: int, room: int) -> None:
    mugs = [("P1", "turn", 2, gone_on)] if gone_on else []
    for bowls, expected in ((room, []), (room + 1, [str(march(day))])):
        lots = (*mugs, ("B2", "throw", day, bowls), ("B2", "turn", day + 1, bowls))
        plan = thrown_and_turned(*lots, small=6, in_progress=IN_PROGRESS)
        assert [broken.where for broken in plan.broken()] == expected


def test_more_from_the_studio_than_there_are_bats_is_no_fault_of_the_schedule() -> None:
    # 4 mugs stand on bats and the sheet says 3; only throwing more on top of them is wrong
    mugs = ("P1", "turn", 2, 4)
    assert thrown_and_turned(mugs, small=3, in_progress=IN_PROGRESS).broken() == []
    plan = thrown_and_turned(mugs, ("B2", "throw", 1, 1), ("B2", "turn", 2, 1), small=3, in_progress=IN_PROGRESS)
    assert [broken.where for broken in plan.broken()] == ["2027-03-01"]


def test_pieces_from_the_studio_that_are_turned_hold_no_bat() -> None:
    # the mugs have come off their bats, and wait for a stage after
    stages = [*STAGES, {"stage": "handle"}]
    turned = [IN_PROGRESS[0] | {"stage_done": "turn"}]
    plan = thrown_and_turned(("P1", "handle", 2, 4), small=0, stages=stages, in_progress=turned)
    assert plan.broken() == []
