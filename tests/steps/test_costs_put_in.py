"""What is put in while the books last, on paper: ten cups, thrown on the first two days and finished on the third."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from pipeline.plan import work_out
from schemas.problem import problems_sheet
from tests.random_sheets import Cells
from tests.shops import START, frame, make_job
from tests.steps.worked import Results

CUP: Cells = {"order": "A", "form": "cup", "quantity": 10, "unit_price": Decimal(9)}
OLD: Cells = {"clay": "buff", "lot": "1", "bag_kg": 5.0, "bags": 1, "bag_price": Decimal(5)}
NEW: Cells = {"clay": "buff", "lot": "2", "bag_kg": 5.0, "bags": 2, "bag_price": Decimal(10)}


def job_of(last: date | None, **sheets: Any) -> Job:
    """Ten cups of a kilogram each; 5 kg at 1.00 and 10 kg at 2.00 are there; Ada has 12.00 an hour."""
    settings: Cells = {"books_to": last} | sheets.pop("settings", {})
    return make_job(
        **{
            "orders": [CUP],
            "forms": [{"form": "cup", "ball_g": 1000.0, "other_cost": Decimal("0.50")}],
            "clay_stock": [OLD, NEW],
            "stages": [{"stage": "throw"}, {"stage": "finish"}],
            "labour_hours": [
                {"worker": "Ada", "hourly_rate": Decimal(12)},
                {"worker": "Bo", "hourly_rate": Decimal(20), "own_time": True},
            ],
            "settings": settings,
        }
        | sheets
    )


def day(number: int) -> date:
    return START + timedelta(days=number - 1)


def scheduled(first: int = 6, *, form: str = "cup") -> pl.DataFrame:
    """So many cups are thrown on the first day, 10 minutes each, the others on the second; Bo finishes all on the
    third, in an hour."""
    work: list[tuple[int, str, int, float, str]] = [
        (1, "throw", first, 10.0 * first, "Ada"),
        (2, "throw", 10 - first, 10.0 * (10 - first), "Ada"),
        (3, "finish", 10, 60.0, "Bo"),
    ]
    rows = [
        {"date": day(at), "stage": stage, "task": "work", "batch": f"B{at}", "order": "A", "form": form, "glaze": None,
         "pieces": pieces, "minutes": minutes, "worker": worker, "kiln": None, "load": None}
        for at, stage, pieces, minutes, worker in work
    ]  # fmt: skip
    return frame("schedule", rows)


def books(job: Job, first: int = 6) -> Results:
    names = ("costs_put_in", "materials_ledger", "part_made", "finished_goods", "cost_of_goods")
    return work_out(names, job, problems_sheet(()), {"schedule": scheduled(first)}).results


def put_in(job: Job, first: int = 6) -> list[tuple[Any, ...]]:
    return books(job, first)["costs_put_in"].select("what", "item", "lot", "quantity", "cost").rows()


def test_what_is_worked_by_the_close_and_not_more() -> None:
    # On the first evening 6 kg are thrown: 5.00 of the old lot and 2.00 of the new; Ada's hour is 12.00.
    assert put_in(job_of(day(1))) == [
        ("materials", "buff", "1", 5, Decimal(5)),
        ("materials", "buff", "2", 1, Decimal(2)),
        ("paid labour", "throw", None, 1, Decimal(12)),
    ]


def test_the_whole_plan_has_all_of_it_and_no_own_time() -> None:
    # 5.00 and 10.00 of clay, packaging 10 x 0.50, and Ada's 100 minutes, 20.00. Bo's hour is his own.
    whole = [
        ("materials", "buff", "1", 5, Decimal(5)),
        ("materials", "buff", "2", 5, Decimal(10)),
        ("other", "packaging and the like", None, 10, Decimal(5)),
        ("paid labour", "throw", None, pytest.approx(1.6667), Decimal(20)),
    ]
    assert put_in(job_of(None)) == whole
    assert put_in(job_of(day(3))) == whole
    # On the second evening nothing is packed yet.
    assert put_in(job_of(day(2))) == [row for row in whole if row[0] != "other"]


def test_overhead_is_put_in_where_the_setting_has_it() -> None:
    # 3.00 an hour on the hour of the first day; on all 160 minutes 8.00.
    rates: Cells = {"overhead_per_hour": Decimal(3)}
    assert "overhead" not in [row[0] for row in put_in(job_of(day(1), settings=rates))]
    rates["stock_overhead"] = "in"
    assert put_in(job_of(day(1), settings=rates))[-1] == ("overhead", None, None, 1, Decimal(3))
    assert put_in(job_of(None, settings=rates))[-1] == ("overhead", None, None, pytest.approx(2.6667), Decimal(8))


def test_overhead_of_which_no_rate_is_known_has_its_hours_and_no_cost() -> None:
    # 60 minutes of throwing on the first day: an hour, to be costed once a rate is typed into the workbook.
    assert put_in(job_of(day(1), settings={"stock_overhead": "in"}))[-1] == ("overhead", None, None, 1, None)


def test_on_average_the_clay_of_the_lots_is_one() -> None:
    # 15 kg for 25.00 are 1.6667 each; 6 kg are 10.00.
    found = put_in(job_of(day(1), settings={"stock_value": "average"}))
    assert sum(row[-1] for row in found if row[0] == "materials") == Decimal(10)


@pytest.mark.parametrize(("first", "bought", "used", "left"), [(5, "0", "5", "0"), (6, "20", "7", "18")])
def test_clay_comes_in_when_it_is_first_needed(first: int, bought: str, used: str, left: str) -> None:
    # 5 kg are there. If 5 cups are thrown on the first day the bag of 10 kg is not there yet that evening; if 6 are, it
    # is, and of its 20.00 2.00 are used.
    bag: Cells = {"clay": "buff", "pack_kg": 10.0, "pack_price": Decimal(20)}
    ledger = books(job_of(day(1), clay_stock=[OLD], clay_prices=[bag]), first)["materials_ledger"]
    sums = [ledger[name].sum() for name in ("bought_value", "used_value", "closing_value")]
    assert sums == [Decimal(bought), Decimal(used), Decimal(left)]


def test_what_is_part_made_and_what_a_line_costs() -> None:
    # Six of ten are thrown on the first evening: all that is put in, 7.00 and 12.00, is in them.
    found = books(job_of(day(1)))
    assert found["part_made"].select("at", "stage", "pieces", "materials", "conversion").rows() == [
        ("closing", "throw", 6, Decimal(7), Decimal(12))
    ]
    row = found["finished_goods"].row(0, named=True)
    assert (row["made"], row["made_value"], row["closing_part_made"]) == (0, Decimal(0), Decimal(19))
    # When all is done 15.00 + 5.00 + 20.00 = 40.00 are made, and sold: they are ready.
    row = books(job_of(None))["finished_goods"].row(0, named=True)
    assert (row["made"], row["made_value"], row["sold"], row["sold_value"]) == (10, Decimal(40), 10, Decimal(40))
    assert (row["closing"], row["closing_value"]) == (0, Decimal(0))


def test_the_statement_of_the_first_day() -> None:
    # 25.00 of clay less 18.00 left: 7.00; + 12.00 of wages - 19.00 part-made: nothing is made yet.
    found = dict(books(job_of(day(1)))["cost_of_goods"].select("what", "amount").iter_rows())
    assert found["opening raw materials"] == Decimal(25)
    assert found["less closing raw materials"] == Decimal(-18)
    assert found["raw materials used"] == Decimal(7)
    assert found["paid labour"] == Decimal(12)
    assert found["less closing part-made goods"] == Decimal(-19)
    assert found["cost of goods made"] == found["cost of goods sold"] == 0


def test_a_job_of_a_textbook_as_it_stands_in_stock() -> None:
    # Job 334: material 5,000; labour 2,400 at 6 an hour, 400 h; overhead 100,000 / 40,000 h = 2.50, 1,000. 200 units:
    # 8,400, which is 42.00 each. Here 200 kg of clay at 25.00, thrown in 24,000 minutes.
    job = make_job(
        orders=[{"order": "A", "form": "unit", "quantity": 200}],
        forms=[{"form": "unit", "ball_g": 1000.0}],
        clay_stock=[{"clay": "buff", "bag_kg": 10.0, "bags": 20, "bag_price": Decimal(250)}],
        stages=[{"stage": "throw"}],
        labour_hours=[{"worker": "Ada", "hourly_rate": Decimal(6)}],
        settings={"overhead_per_hour": Decimal("2.50"), "stock_overhead": "in"},
    )
    work: Cells = {"date": START, "stage": "throw", "task": "work", "batch": "B1", "order": "A", "form": "unit"}
    done = frame("schedule", [work | {"glaze": None, "pieces": 200, "minutes": 24_000.0, "worker": "Ada"}])
    row = (
        work_out(("finished_goods",), job, problems_sheet(()), {"schedule": done})
        .results["finished_goods"]
        .row(0, named=True)
    )
    assert [row[name] for name in ("materials", "paid_labour", "overhead", "made_value")] == [
        Decimal(5_000), Decimal(2_400), Decimal(1_000), Decimal(8_400),
    ]  # fmt: skip
    assert row["made_value"] / 200 == Decimal(42)
