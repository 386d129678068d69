"""By which day clay is to be ordered, against a textbook's lead times and small sums on paper."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import polars as pl

from tests.shops import START, frame, make_job
from tests.steps.test_clay_to_buy import THROW, cups, only
from tests.steps.worked import bought, inputs, step, worked


def week(number: int) -> dt.date:
    """The Monday of a week of the plan, which begins in week 1."""
    return START + dt.timedelta(weeks=number - 1)


def test_netting_and_lead_times_of_a_textbook() -> None:
    # D. Waters, Logistics: An Introduction to Supply Chain Management, page 171: a table is 4 legs and 1 top, put
    # together in 1 week; legs take 2 weeks to get, tops 3; in stock 2 tables, 40 legs and 22 tops; 20 tables are due in
    # week 5 and 40 in week 7. (The tops are from the same data; the book prints the tables and the legs.)
    #   tables: 20 - 2 = 18 and 40, begun in weeks 4 and 6
    #   legs:   gross 72 and 160 = 232; net 32 and 160 = 192; the first are to be ordered in week 2
    #   tops:   gross 18 and 40 = 58; net 0 and 36 = 36; to be ordered in week 3
    # Here a table is a form of 5 kg of a body that is 80 % `legs` and 20 % `tops`, so a kilogram is a leg or a top; a
    # week's wait stands for putting it together. The sheet has one row a clay, so it shows gross and net of both orders
    # together, and the first day to order; that 160 of the legs could come two weeks later it does not show.
    job = make_job(
        orders=[
            {"order": "A", "form": "table", "quantity": 20, "due": week(5)},
            {"order": "B", "form": "table", "quantity": 40, "due": week(7)},
        ],
        forms=[{"form": "table", "clay": "set", "ball_g": 5000.0}],
        clay_blends=[
            {"clay": "set", "part": "legs", "share_pct": 80.0},
            {"clay": "set", "part": "tops", "share_pct": 20.0},
        ],
        clay_stock=[
            {"clay": "legs", "bag_kg": 1.0, "bags": 40, "lead_days": 14},
            {"clay": "tops", "bag_kg": 1.0, "bags": 22, "lead_days": 21},
        ],
        stages=[{"stage": "assemble", "wait_days": 7}, {"stage": "hand over"}],
        in_progress=[{"form": "table", "stage_done": "hand over", "pieces": 2}],
    )
    found = bought(job).select("clay", "needed_kg", "on_hand_kg", "short_kg", "bags_to_buy", "order_by")
    assert found.rows() == [
        ("legs", 232.0, 40.0, 192.0, 192, week(2)),
        ("tops", 58.0, 22.0, 36.0, 36, week(3)),
    ]


def test_the_day_to_order_goes_back_from_the_due_date_by_waits_and_firings() -> None:
    # Due on the 30th of April, the day on which the last stage, a glaze firing of 2 days, is unloaded at the latest.
    # Bisque takes 2 days from loading to unloading and 1 of waiting; after turning come 3 days, after throwing 1: begun
    # on the 30th less 1 + 3 + (2 + 1) + 2 = 9 days, the 21st. Clay takes 10 days to come: the 11th.
    job = cups(
        10, 400.0, [{"lead_days": 10}],
        order={"due": dt.date(2027, 4, 30)},
        stages=[
            {"stage": "throw", "wait_days": 1},
            {"stage": "turn", "wait_days": 3},
            {"stage": "bisque", "firing": "bisque", "wait_days": 1},
            {"stage": "glaze firing", "firing": "glaze"},
        ],
        firings=[{"firing": "bisque", "days": 2}, {"firing": "glaze", "days": 2}],
    )  # fmt: skip
    assert only(job)["order_by"] == dt.date(2027, 4, 11)


def test_a_slow_month_puts_the_day_forward() -> None:
    # As above, but 3 days' drying from throwing on, and April dries half as fast: 6 days. 30th - 6 = 24th, - 10 = 14th.
    job = cups(
        10,
        400.0,
        [{"lead_days": 10}],
        order={"due": dt.date(2027, 4, 30)},
        stages=[{"stage": "throw", "wait_days": 3}, {"stage": "check"}],
        drying_months=[{"month": 4, "wait_factor": 2.0}],
    )
    assert only(job)["order_by"] == dt.date(2027, 4, 14)


def test_a_fast_month_gives_more_time() -> None:
    # April dries twice as fast: of 3 days 1.5, so 2. 30th - 2 = 28th, - 10 = 18th.
    job = cups(
        10,
        400.0,
        [{"lead_days": 10}],
        order={"due": dt.date(2027, 4, 30)},
        stages=[{"stage": "throw", "wait_days": 3}, {"stage": "check"}],
        drying_months=[{"month": 4, "wait_factor": 0.5}],
    )
    assert only(job)["order_by"] == dt.date(2027, 4, 18)


def test_the_day_to_order_is_that_of_the_first_line_that_finds_no_clay() -> None:
    # 8 kg on hand: just enough for A (8 kg, due on the 10th), not for B (8 kg, due on the 20th): 7 days before that.
    # C has no date, and so comes after both.
    job = make_job(
        orders=[
            {"order": "C", "form": "cup", "quantity": 20},
            {"order": "B", "form": "cup", "quantity": 20, "due": dt.date(2027, 4, 20)},
            {"order": "A", "form": "cup", "quantity": 20, "due": dt.date(2027, 4, 10)},
        ],
        clay_stock=[{"clay": "buff", "bags": 0, "loose_kg": 8.0, "lead_days": 7}],
        stages=THROW,
    )
    assert only(job)["order_by"] == dt.date(2027, 4, 13)
    # Were a kilogram of it a reserve, A would not find enough: 7 days before the 10th.
    less = job.clay_stock.with_columns(keep_kg=pl.lit(1.0))
    assert only(replace(job, clay_stock=less))["order_by"] == dt.date(2027, 4, 3)


def test_a_day_before_the_plan_is_told_and_not_hidden() -> None:
    # Due a week after the plan's first day, and the clay takes 30 days: 23 days too late.
    job = cups(10, 400.0, [{"lead_days": 30}], order={"due": START + dt.timedelta(days=7)})
    assert only(job)["order_by"] == START - dt.timedelta(days=23)


def test_nothing_to_buy_or_no_date_gives_no_day() -> None:
    assert only(cups(10, 400.0, [{"loose_kg": 90.0}], order={"due": week(5)}))["order_by"] is None
    row = only(cups(10, 400.0, [{}]))
    assert (row["bags_to_buy"], row["order_by"]) == (1, None)


def test_a_schedule_says_when_clay_is_needed() -> None:
    # 10 kg on hand. 20 cups (8 kg) are thrown on the 10th of March, 20 more on the 12th: then it runs out. 5 days to
    # come: the 7th. The due date, a month later, does not count.
    job = cups(40, 400.0, [{"loose_kg": 10.0, "lead_days": 5}], order={"due": dt.date(2027, 4, 30)})
    thrown = {"stage": "throw", "task": "work", "order": "A", "form": "cup", "pieces": 20}
    schedule = frame(
        "schedule",
        [
            thrown | {"date": dt.date(2027, 3, 10), "batch": "B1"},
            thrown | {"date": dt.date(2027, 3, 12), "batch": "B2"},
        ],
    )
    pieces = step("pieces")(**inputs("pieces", job, {}))
    results = {"pieces": pieces, "schedule": schedule}
    results["packs_to_buy"] = step("packs_to_buy")(**inputs("packs_to_buy", job, results))
    found = step("clay_to_buy")(**inputs("clay_to_buy", job, results))
    assert found["order_by"].to_list() == [dt.date(2027, 3, 7)]


def test_clay_that_is_bought_for_the_plan_is_ordered_on_its_first_day_at_the_latest() -> None:
    # The whole plan: no clay at hand, 9 days to come, so nothing is thrown before the 10th of March.
    results = worked(cups(40, 400.0, [{"lead_days": 9}], order={"due": week(9)}))
    assert results["schedule"]["date"].min() == dt.date(2027, 3, 10)
    assert results["clay_to_buy"]["order_by"].to_list() == [START]
