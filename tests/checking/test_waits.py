"""Rule 5b on batches that go on in parts, lose pieces, or stood in the studio before the plan."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from pipeline.checking.facts import Lot, shop_of
from pipeline.checking.waits import Source, unmet
from tests.checking.small_plan import CUP, PLATE, Plan, fire, in_load, march, small_plan, work
from tests.shops import Cells, make_job

# Partial lots


def in_two_loads() -> Plan:
    """The small plan with the cups glazed and fired in two parts: 4 in L2 with the plates, 3 in L3.

    4 cups are glazed on Wed 10, 4 min, and 3 on Fri 12, 3 min. L2 of Thu 11 holds 4 cups and 5 plates
    (4/14 + 5/10 = 28.57 + 50 %) until Mon 15, and takes 12 min (7 for the cups' row, 5 for the plates'). On Mon 15
    the 3 cups left (21.43 %) go into L3, 12 min, which comes out on Wed 17, 6 min.
    """
    plan = small_plan()
    plan.row("dip", "B1").update(pieces=4, minutes=4.0)
    plan.row("glaze fire", "B1", "load")["pieces"] = plan.row("glaze fire", "B1", "unload")["pieces"] = 4
    plan.schedule += [
        work(march(12), "dip", "B1", CUP, 3, 3.0),
        *fire("L3", march(15), march(17), "glaze fire", "B1", CUP, 3, 12.0, 6.0),
    ]
    plan.in_order()
    plan.kiln_loads[2].update(pieces=4, share_pct=28.57)
    plan.kiln_loads.append(in_load("L3", "glaze", march(15), march(17), "B1", CUP, 3, 21.43))
    return plan


def test_a_batch_in_two_loads_breaks_no_rule() -> None:
    assert in_two_loads().broken() == []


def test_of_a_batch_in_parts_only_what_is_ready_goes_on() -> None:
    # the other way about: 3 cups are glazed on Wed 10 and 4 on Fri 12, and 4 are loaded on Thu 11
    plan = in_two_loads()
    plan.row_on(march(10), "dip", "B1").update(pieces=3, minutes=3.0)
    plan.row_on(march(12), "dip", "B1").update(pieces=4, minutes=4.0)
    (broken,) = plan.broken()
    assert (broken.rule, broken.where) == ("5b", "2027-03-11, batch B1, glaze fire")
    assert broken.what == "1 of 4 pieces are too early: after `dip` they may go on from 2027-03-12."


def test_each_part_of_a_batch_has_its_own_last_day() -> None:
    # glazed pieces are to be in the kiln within three days: the 3 of Fri 12 by Mon 15, which holds; within two days,
    # by Sun 14, it does not, and the 4 of Wed 10, loaded on Thu 11, are not to blame
    plan = in_two_loads()
    plan.sheets["stages"][3]["wait_days_max"] = 3
    assert plan.broken() == []
    plan.sheets["stages"][3]["wait_days_max"] = 2
    assert [broken.where for broken in plan.broken()] == ["2027-03-15, batch B1, glaze fire"]


def test_pieces_do_not_grow_along_the_way() -> None:
    # two batches of the line, 4 + 4 cups thrown on Mon 1 and Tue 2; of the first 5 are turned, of the second 2
    plan = small_plan()
    plan.row("throw", "B1").update(pieces=4, minutes=20.0)
    plan.row("turn", "B1").update(pieces=5, minutes=20.0)
    plan.schedule += [work(march(2), "throw", "B3", CUP, 4, 20.0), work(march(3), "turn", "B3", CUP, 2, 11.0)]
    firings = (("bisque", "load"), ("bisque", "unload"), ("glaze fire", "load"), ("glaze fire", "unload"))
    for stage, task in (*firings, ("dip", "work")):
        whole = plan.row(stage, "B1", task)
        part = whole | {"batch": "B3", "pieces": 2, "minutes": 2.0 if task == "work" else 0.0}
        whole.update(pieces=5, minutes=whole["minutes"] - part["minutes"])
        plan.schedule.append(part)
    plan.in_order()
    for row in (plan.kiln_loads[0], plan.kiln_loads[2]):
        row.update(pieces=5, share_pct=35.71)  # 5/14
        plan.kiln_loads.append(row | {"batch": "B3", "pieces": 2, "share_pct": 14.29})  # 2/14
    (broken,) = plan.broken()
    assert (broken.rule, broken.where) == ("5b", "2027-03-02, batch B1, turn")
    assert broken.what == "1 of 5 pieces are more than have had `throw`."


def test_a_stage_may_not_be_left_out() -> None:
    # the plates are not turned, and go into the kiln; `pieces` does not ask for it either
    plan = small_plan()
    plan.schedule.remove(plan.row("turn", "B2"))
    plan.pieces = [row for row in plan.pieces if (row["form"], row["stage"]) != ("plate", "turn")]
    assert [(broken.rule, broken.what) for broken in plan.broken()] == [
        ("5b", "5 of 5 pieces are more than have had `turn`.")
    ]


# Drying months


@pytest.mark.parametrize(
    ("least", "most", "factor", "first", "last"),
    [
        (1, 2, 1.5, 2, 3),  # 1.5 up to 2; 3.0 is 3
        (1, 1, 1.5, 2, 2),  # 1.5 up to 2; 1.5 down to 1, but not below the least
        (3, 5, 0.5, 2, 2),  # 1.5 up to 2; 2.5 down to 2
        (10, 10, 1.1, 11, 11),  # 11 exactly, though 10 x 1.1 is 11.000000000000002 in binary fractions
        (0, 0, 2.0, 0, 0),
        (100, 100, 0.29, 29, 29),  # 29 exactly, though 100 x 0.29 is 28.999999999999996
    ],
)
def test_a_month_s_factor_on_the_waits(least: int, most: int, factor: float, first: int, last: int) -> None:
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 1}],
        stages=[{"stage": "throw", "wait_days": least, "wait_days_max": most}, {"stage": "turn"}],
        drying_months=[{"month": 3, "wait_factor": factor}],
    )
    shop = shop_of(job)
    day = march(1)
    expected = (day + dt.timedelta(days=first), day + dt.timedelta(days=last))
    assert shop.window(shop.stages["cup", "throw"], day) == expected


def test_it_is_the_month_in_which_the_wait_begins() -> None:
    # March twice as slow, April not named: thrown on Wed 31 March, two days; on Thu 1 April, one
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 1}], drying_months=[{"month": 3, "wait_factor": 2.0}]
    )
    shop = shop_of(job)
    throw = shop.stages["cup", "throw"]
    assert shop.window(throw, march(31)) == (dt.date(2027, 4, 2), None)
    assert shop.window(throw, dt.date(2027, 4, 1)) == (dt.date(2027, 4, 2), None)


def test_no_month_changes_the_days_after_a_firing() -> None:
    job = make_job(
        orders=[{"order": "A", "form": "cup", "quantity": 1}],
        stages=[{"stage": "bisque", "firing": "bisque", "wait_days": 1, "wait_days_max": 4}, {"stage": "dip"}],
        drying_months=[{"month": 3, "wait_factor": 2.0}],
    )
    shop = shop_of(job)
    assert shop.window(shop.stages["cup", "bisque"], march(1)) == (march(2), march(5))


# Work in progress


def with_studio_plates(*in_progress: Cells) -> Plan:
    """The small plan with its plates thrown before it began, so that they are batch P1 and start at turning."""
    plan = small_plan()
    plan.schedule.remove(plan.row("throw", "B2"))
    plan.pieces = [row for row in plan.pieces if (row["form"], row["stage"]) != ("plate", "throw")]
    for row in [*plan.schedule, *plan.kiln_loads]:
        row["batch"] = row["batch"].replace("B2", "P1")
    plan.sheets["in_progress"] = list(in_progress)
    # they were thrown on Sun 28 February, and stand until Wed 3: let that be within the three days allowed
    plan.sheets["stages"][0]["wait_days_max"] = 3
    return plan


THROWN_PLATES = {"form": "plate", "stage_done": "throw", "pieces": 5}


@pytest.mark.parametrize(
    "lots",
    [
        [THROWN_PLATES],  # for any order
        [THROWN_PLATES | {"order": "B"}],
        [THROWN_PLATES | {"pieces": 9}],  # four are not needed
        [THROWN_PLATES | {"pieces": 2}, THROWN_PLATES | {"pieces": 3, "date": dt.date(2027, 2, 28)}],
        [THROWN_PLATES | {"date": dt.date(2027, 2, 1)}],  # three days after Mon 1 February are long over
    ],
)
def test_plates_from_the_studio_break_no_rule(lots: list[Cells]) -> None:
    assert with_studio_plates(*lots).broken() == []


@pytest.mark.parametrize(
    ("lots", "what"),
    [
        ([], "5 of 5 pieces are more than have had `throw`."),
        ([THROWN_PLATES | {"pieces": 4}], "1 of 5 pieces are more than have had `throw`."),
        ([THROWN_PLATES | {"order": "A"}], "5 of 5 pieces are more than have had `throw`."),
        ([THROWN_PLATES | {"glaze": "oat"}], "5 of 5 pieces are more than have had `throw`."),
        ([THROWN_PLATES | {"stage_done": "turn"}], "5 of 5 pieces are more than have had `throw`."),
        ([THROWN_PLATES | {"form": "cup"}], "5 of 5 pieces are more than have had `throw`."),
        (
            # a wait of one day from Wed 3 is over on Thu 4
            [THROWN_PLATES | {"date": march(3)}],
            "5 of 5 pieces are too early: after `throw` they may go on from 2027-03-04.",
        ),
        (
            # three days from Fri 26 February: Mon 1, when there is work, and they are turned on Wed 3
            [THROWN_PLATES | {"date": dt.date(2027, 2, 26)}],
            "5 of 5 pieces are too late: after `throw` they had to go on by 2027-03-01.",
        ),
    ],
)
def test_plates_that_are_not_in_the_studio_so(lots: list[Cells], what: str) -> None:
    plan = with_studio_plates(*lots)
    plan.sheets["bats_and_boards"] = []  # what stands there and does not go on would keep its bats
    assert [(broken.rule, broken.what) for broken in plan.broken()] == [("5b", what)]


def test_a_piece_in_the_studio_is_used_once() -> None:
    # 8 plates stand thrown, 3 of them for order B; order B gets 5 of them, and order C another 4: one too many
    plan = with_studio_plates(THROWN_PLATES | {"pieces": 3, "order": "B"}, THROWN_PLATES)
    # turning and no more: what matters here is the start
    plan.sheets["stages"] = plan.sheets["stages"][:2]
    plan.schedule = [row for row in plan.schedule if row["stage"] in ("throw", "turn")]
    plan.pieces = [row for row in plan.pieces if row["stage"] in ("throw", "turn")]
    plan.kiln_loads, plan.sheets["firings"] = [], []
    other = PLATE | {"order": "C"}
    plan.sheets["orders"].append(other | {"quantity": 3})
    plan.pieces.append(other | {"step": 2, "stage": "turn", "pieces_in": 3, "already_done": 0})
    plan.sheets["bats_and_boards"] = []
    plan.schedule.append(work(march(3), "turn", "P2", other, 3, 9.0))  # the set-up of that day is on P1's row
    assert plan.broken() == []
    plan.schedule[-1].update(pieces=4, minutes=12.0)
    plan.pieces[-1]["pieces_in"] = 4
    assert [(broken.rule, broken.where) for broken in plan.broken()] == [("5b", "2027-03-03, batch P2, turn")]


def test_what_is_begun_in_the_plan_does_not_come_from_the_studio() -> None:
    # a batch of the studio that is thrown in the plan has had no stage
    plan = small_plan()
    for row in [*plan.schedule, *plan.kiln_loads]:
        row["batch"] = row["batch"].replace("B2", "P1")
    assert [broken.what for broken in plan.broken()] == ["5 of 5 pieces are more than have had any stage."]


# Giving pieces out


def lots(*pieces: int) -> list[Lot]:
    return [Lot(march(1), count) for count in pieces]


def sources(*pieces: int) -> list[Source]:
    return [Source(march(1), None, count) for count in pieces]


def test_a_want_gives_way_where_it_can_be_met_elsewhere() -> None:
    # the first want takes 4 of source 0, then 2 of them move to source 1 for the second, which fits source 0 alone
    assert unmet(lots(4, 2), sources(4, 2), [[0, 1], [0]]) == [0, 0]
    # with one piece less at source 1 the second want is one short
    assert unmet(lots(4, 2), sources(4, 1), [[0, 1], [0]]) == [0, 1]


def test_a_want_gives_way_through_a_third() -> None:
    # 0 holds source 0, 1 holds source 1; want 2 fits source 0 alone: 0 moves to 1, 1 moves to 2
    assert unmet(lots(1, 1, 1), sources(1, 1, 1), [[0, 1], [1, 2], [0]]) == [0, 0, 0]


@given(st.data())
def test_no_more_pieces_could_be_given_out(data: st.DataObject) -> None:
    """Against scipy's maximum flow, from a well through wants and sources to a drain."""
    wants = data.draw(st.lists(st.integers(0, 9), min_size=1, max_size=5))
    stock = data.draw(st.lists(st.integers(0, 9), min_size=1, max_size=5))
    allowed = [data.draw(st.lists(st.sampled_from(range(len(stock))), unique=True)) for _ in wants]
    size = len(wants) + len(stock) + 2
    capacity = np.zeros((size, size), dtype=np.int32)
    for want, pieces in enumerate(wants):
        capacity[0, 1 + want] = pieces
        for source in allowed[want]:
            capacity[1 + want, 1 + len(wants) + source] = 100
    for source, pieces in enumerate(stock):
        capacity[1 + len(wants) + source, size - 1] = pieces
    given_out = maximum_flow(csr_array(capacity), 0, size - 1).flow_value
    lacks = unmet(lots(*wants), sources(*stock), allowed)
    assert sum(wants) - sum(lacks) == given_out
    assert all(0 <= lack <= pieces for lack, pieces in zip(lacks, wants, strict=True))
