"""What the books close with, and the sheet to count it by, on paper."""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from pipeline.plan import work_out
from schemas.problem import problems_sheet
from tests.steps.test_costs_put_in import CUP, day, job_of, scheduled
from tests.steps.worked import Results


def closed(**sheets: object) -> Results:
    """The first evening: 6 of 10 cups are thrown, 9 kg of clay and 2 kg of wool are left."""
    wool = {"material": "wool", "pack_kg": 1.0, "packs": 2, "pack_price": Decimal(3)}
    job = job_of(
        day(1),
        **{
            "orders": [CUP | {"customer": "Mill", "deposit": Decimal(25)}],
            "materials": [wool],
            "form_materials": [{"form": "cup", "material": "wool", "each_g": 50.0}],
        }
        | sheets,
    )
    names = ("closing_balances", "stock_count")
    return work_out(names, job, problems_sheet(()), {"schedule": scheduled()}).results


def test_everything_that_is_there_is_carried_over() -> None:
    # 9 kg of the new lot at 2.00; wool is packing, 6.00; six cups with 7.00 of clay and 12.00 of work; 25.00 are held.
    found = closed()["closing_balances"].select(
        "what", "item", "lot", "order", "stage", "quantity", "materials", "value"
    )
    assert found.rows() == [
        ("raw materials", "buff", "2", None, None, 9, Decimal(0), Decimal(18)),
        ("packing materials", "wool", None, None, None, 2, Decimal(0), Decimal(6)),
        ("part-made goods", "cup", None, "A", "throw", 6, Decimal(7), Decimal(19)),
        ("deposits held", "Mill", None, "A", None, 0, Decimal(0), Decimal(25)),
    ]


def test_a_deposit_on_what_has_no_day_is_held() -> None:
    """`sales` may come from elsewhere, here with no day on which the cups are ready."""
    job = job_of(day(3), orders=[CUP | {"customer": "Mill", "deposit": Decimal(25)}])
    given = {"schedule": scheduled()}
    sales = work_out(("sales",), job, problems_sheet(()), given).results["sales"]
    given["sales"] = sales.with_columns(ready=pl.lit(None, pl.Date))
    found = work_out(("closing_balances", "finished_goods"), job, problems_sheet(()), given).results
    held = found["closing_balances"].filter(what="deposits held").select("item", "order", "value")
    assert held.rows() == [("Mill", "A", Decimal(25))]
    # All ten are made by the third evening, and on the shelf.
    assert found["finished_goods"].select("made", "sold", "closing").rows() == [(10, 0, 10)]


def test_the_count_leaves_blank_what_is_filled_in_by_hand() -> None:
    # 19.00 / 6 = 3.166667. A deposit cannot be counted.
    found = closed()["stock_count"]
    assert found.select("type", "item", "description", "unit", "expected", "unit_cost", "value").rows() == [
        ("raw", "buff", "2", "kg", 9, Decimal(2), Decimal(18)),
        ("packing", "wool", None, "kg", 2, Decimal(3), Decimal(6)),
        ("part-made", "cup", "A, after throw", "piece", 6, Decimal("3.166667"), Decimal(19)),
    ]
    assert found.select(pl.col("counted", "condition", "place").null_count()).row(0) == (3, 3, 3)


def test_what_has_no_price_has_no_worth() -> None:
    unpriced = {"material": "wool", "pack_kg": 1.0, "packs": 2}
    found = closed(materials=[unpriced])
    assert found["closing_balances"].filter(item="wool")["value"].to_list() == [None]
    assert found["stock_count"].filter(item="wool").select("unit_cost", "value").row(0) == (None, None)
