"""The journal, on paper, and what holds for every journal."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import replace
from decimal import Decimal
from random import Random
from typing import Any

import polars as pl
import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from pipeline.job import Job
from pipeline.plan import whole_plan
from schemas.accounts import ABNORMAL_LOSS, BALANCES, DEPOSITS, FINISHED, OVERHEAD, PACKING, PART_MADE, RAW, UNABSORBED
from schemas.problem import problems_sheet
from tests.random_sheets import Cells
from tests.shops import START, frame, make_job
from tests.steps.test_totals import priced
from tests.steps.worked import Results, worked

Posted = dict[str, dict[str, Decimal]]
"""By what an entry is for, by account: what it is debited, below nought what it is credited."""


def cups(settings: Cells | None = None, **sheets: list[Cells]) -> Job:
    """An order of 60 cups at 16.00, 300.00 of which are paid, thrown by Ben in an hour, of clay that is there."""
    return make_job(
        **{
            "orders": [{"order": "A", "customer": "Inn", "form": "cup", "quantity": 60, "unit_price": Decimal(16)}],
            "forms": [{"form": "cup", "ball_g": 1000.0}],
            "clay_stock": [{"clay": "buff", "bag_kg": 10.0, "bags": 7, "bag_price": Decimal("13.00")}],
            "stages": [{"stage": "throw", "minutes_each": 1.0}],
            "labour_hours": [{"worker": "Ben", "hourly_rate": Decimal("12.00")}],
            "firings": [],
        }
        | sheets,
        settings={"tax_pct": 20.0} | (settings or {}),
    )  # fmt: skip


def posted(job: Job) -> Posted:
    """The journal of a job by what it is for; each entry must balance."""
    return _by_entry(worked(job)["journal"])


def _by_entry(journal: pl.DataFrame) -> Posted:
    found: Posted = {}
    numbers: dict[str, set[int]] = defaultdict(set)
    for entry, for_what, what, debit, credit in journal.select(
        "entry", "for_what", "what", "debit", "credit"
    ).iter_rows():
        found.setdefault(for_what, {})[what] = (debit or 0) - (credit or 0)
        numbers[for_what].add(entry)
    assert all(len(entries) == 1 for entries in numbers.values()), "two entries for one thing; name them apart"
    assert all(sum(sides.values()) == 0 for sides in found.values())
    return found


PAID: list[Cells] = [
    {"order": "A", "customer": "Inn", "form": "cup", "quantity": 60, "unit_price": Decimal(16), "deposit": Decimal(300)}
]


def test_a_plan_from_clay_to_sale() -> None:
    # 60 kg at 1.30 are 78.00, an hour of Ben's 12.00: 90.00 made and sold. 60 x 16.00 = 960.00, 20 % are 192.00.
    assert posted(cups()) == {
        "materials used": {PART_MADE: 78, RAW: -78},
        "paid labour": {PART_MADE: 12, "wages": -12},
        "goods made": {FINISHED: 90, PART_MADE: -90},
        "cost of goods sold": {"cost of sales": 90, FINISHED: -90},
        "sale: order A, Inn": {"customers": 1152, "sales": -960, "tax on sales": -192},
    }


def test_a_deposit_is_a_debt_until_delivery_and_then_pays_off_a_part() -> None:
    """IFRS 15, Revenue from Contracts with Customers, paragraph 106, from memory: what is paid before the goods are
    transferred is a contract liability."""
    # Of 1,152.00 owed 300.00 are paid.
    found = posted(cups(orders=PAID))
    assert found["deposit paid off: order A, Inn"] == {DEPOSITS: 300, "customers": -300}
    assert found["sale: order A, Inn"]["sales"] == -960


def test_what_is_not_ready_when_the_books_close_is_no_sale() -> None:
    # In half an hour 30 of the 60 are thrown: 39.00 of clay and 6.00 of work are finished goods, and the order is not.
    job = cups({"books_to": START}, orders=PAID, labour_hours=[{"worker": "Ben", "hours": 0.5, "hourly_rate": 12}])
    results = worked(job)
    assert _by_entry(results["journal"]) == {
        "materials used": {PART_MADE: 39, RAW: -39},
        "paid labour": {PART_MADE: 6, "wages": -6},
        "goods made": {FINISHED: 45, PART_MADE: -45},
    }
    kept = dict(results["closing_balances"].select("what", "value").iter_rows())
    assert (kept[FINISHED], kept[DEPOSITS]) == (45, 300)


def test_a_line_without_a_price_stays_in_stock_and_its_deposit_owed() -> None:
    # 78.00 of clay and 12.00 of work are 90.00 of finished goods; nobody has bought them, though 300.00 are paid.
    results = worked(cups(orders=[PAID[0] | {"unit_price": None}]))
    assert _by_entry(results["journal"]) == {
        "materials used": {PART_MADE: 78, RAW: -78},
        "paid labour": {PART_MADE: 12, "wages": -12},
        "goods made": {FINISHED: 90, PART_MADE: -90},
    }
    goods = results["finished_goods"].row(0, named=True)
    assert (goods["made"], goods["sold"], goods["closing"], goods["closing_value"]) == (60, 0, 60, 90)
    kept = dict(results["closing_balances"].select("what", "value").iter_rows())
    assert (kept[FINISHED], kept[DEPOSITS]) == (90, 300)


def test_each_entry_is_of_its_own_day_or_of_the_last() -> None:
    # Ben throws 30 on Monday and 30 on Tuesday, when the order is ready and the books close.
    job = cups(labour_hours=[{"worker": "Ben", "hours": 0.5, "hourly_rate": Decimal(12)}], clay_stock=[
        {"clay": "buff", "supplier": "North Yard", "bag_kg": 10.0, "bags": 0, "bag_price": Decimal("13.00")}
    ])  # fmt: skip
    days = dict(worked(job)["journal"].select("for_what", "date").iter_rows())
    assert days["purchases from North Yard"] == START
    assert days["sale: order A, Inn"] == days["materials used"] == START + dt.timedelta(days=1)


def test_purchases_go_to_the_stock_that_they_are_of_and_are_owed_to_who_sells_them() -> None:
    # 6 bags at 13.00 are 78.00, tax 15.60; 60 x 50 g = 3 kg of wool in packs of 2 kg: 2 at 4.00 are 8.00, tax 1.60.
    found = posted(
        cups(
            clay_stock=[{"clay": "buff", "supplier": "North", "bag_kg": 10.0, "bags": 0, "bag_price": Decimal(13)}],
            materials=[{"material": "wool", "supplier": "Lane", "pack_kg": 2.0, "pack_price": Decimal(4)}],
            form_materials=[{"form": "cup", "material": "wool", "each_g": 50.0, "stage": None}],
        )
    )
    assert found["purchases from North"] == {
        RAW: 78,
        "tax on purchases": Decimal("15.60"),
        "suppliers": Decimal("-93.60"),
    }
    assert found["purchases from Lane"] == {
        PACKING: 8,
        "tax on purchases": Decimal("1.60"),
        "suppliers": Decimal("-9.60"),
    }
    # 3 kg of the wool at 2.00 go out with the cups.
    assert found["materials used"] == {PART_MADE: 84, RAW: -78, PACKING: -6}


def test_what_is_in_no_lot_has_an_account_of_its_own() -> None:
    # 60 labels at 0.10.
    found = posted(cups(forms=[{"form": "cup", "ball_g": 1000.0, "other_cost": Decimal("0.10")}]))
    assert found["other costs of pieces"] == {PART_MADE: 6, "other costs of pieces": -6}


def test_overhead_that_the_pieces_do_not_bear_is_an_expense() -> None:
    """IAS 2, Inventories, paragraph 13, as study notes on it reckon: 1,000,000 of fixed overhead on a normal 10,000
    units are 100 each; of 8,000 made 800,000 go to stock, and 200,000 are an expense. Here by the thousand and hour."""
    # 80 cups of an hour each, four a day: 80 hours to 26 March; 1,000 a month at 100 normal hours are 10.00 an hour.
    overhead = {"overhead_per_month": Decimal(1000), "normal_hours_per_month": 100.0, "stock_overhead": "in"}
    found = posted(
        cups(
            overhead | {"books_to": dt.date(2027, 3, 31)},
            orders=[{"order": "A", "form": "cup", "quantity": 80}],
            stages=[{"stage": "throw", "minutes_each": 60.0}],
            labour_hours=[{"worker": "Ben", "hours": 4.0}],
        )
    )
    assert found["works overhead absorbed"] == {PART_MADE: 800, OVERHEAD: -800}
    assert found["works overhead not absorbed"] == {UNABSORBED: 200, OVERHEAD: -200}


def test_overhead_stays_out_of_the_journal_if_it_is_out_of_the_stock() -> None:
    found = posted(cups({"overhead_per_month": Decimal(1000), "normal_hours_per_month": 100.0}))
    assert not any(OVERHEAD in sides or UNABSORBED in sides for sides in found.values())


def balances(*rows: Cells) -> list[Cells]:
    return [{"what": RAW, "item": "buff", "quantity": 70.0, "value": Decimal("91.00")}, *rows]


def test_stock_counted_differently_from_the_last_close() -> None:
    # 70 kg at 1.30 are 91.00; 92.50 were carried over: 1.50 less.
    found = posted(cups(opening_balances=[{"what": RAW, "item": "buff", "quantity": 71.0, "value": Decimal("92.50")}]))
    less = Decimal("1.50")
    assert found["stock differences in raw materials"] == {RAW: -less, "stock differences": less}


def test_a_deposit_that_came_since_the_last_close_is_money_received() -> None:
    # 120.00 were held, 300.00 are: 180.00 came in.
    before = balances({"what": DEPOSITS, "item": "Inn", "order": "A", "value": Decimal(120)})
    found = posted(cups(orders=PAID, opening_balances=before))
    assert found["deposit received, order A"] == {"bank": 180, DEPOSITS: -180}
    assert "stock differences in raw materials" not in found


def test_a_deposit_that_is_held_no_longer_is_told() -> None:
    before = balances({"what": DEPOSITS, "item": "Inn", "order": "B", "value": Decimal(50)})
    assert posted(cups(opening_balances=before))["deposits no longer held"] == {DEPOSITS: 50, "stock differences": -50}


def test_without_a_last_close_nothing_differs_and_deposits_were_there() -> None:
    assert not any("difference" in name or "received" in name for name in posted(cups(orders=PAID)))


def test_accounts_have_the_bookkeepers_codes_and_names_or_else_their_words() -> None:
    accounts: list[Cells] = [{"what": "wages", "code": "5110", "name": "Workshop wages"}]
    journal = worked(cups(accounts=accounts))["journal"]
    named = {what: (code, name) for what, code, name in journal.select("what", "code", "account").iter_rows()}
    assert named["wages"] == ("5110", "Workshop wages")
    assert named["sales"] == (None, "sales")


@pytest.mark.parametrize(("given", "told_of"), [([], []), (["raw materials"], [PART_MADE, FINISHED, "wages"])])
def test_who_gives_accounts_is_told_of_those_that_are_posted_to_without_one(
    given: list[str], told_of: list[str]
) -> None:
    job = cups(
        orders=[{"order": "A", "form": "cup", "quantity": 60}],
        accounts=[{"what": what, "code": "1", "name": what} for what in given],
    )
    problems = whole_plan(job, problems_sheet(())).problems.filter(pl.col("kind") == "not in accounts")
    assert sorted(problems["value"]) == sorted(told_of)
    assert set(problems["sheet"]) <= {"accounts"}


# What holds for every journal


def moves(journal: pl.DataFrame) -> dict[str, Decimal]:
    """By account its debits less its credits."""
    found: dict[str, Decimal] = defaultdict(Decimal)
    for what, debit, credit in journal.select("what", "debit", "credit").iter_rows():
        found[what] += (debit or 0) - (credit or 0)
    return found


def opened_with(job: Job, results: Results) -> dict[str, Decimal]:
    """What the accounts that are carried over stand at before the journal: a debt below nought."""
    found: dict[str, Decimal] = defaultdict(Decimal)
    if not job.opening_balances.is_empty():
        return _added(job.opening_balances, found)
    for what, sheet, column in (
        (RAW, "materials_ledger", "opening_value"),
        (PART_MADE, "finished_goods", "opening_part_made"),
        (FINISHED, "finished_goods", "opening_value"),
    ):
        found[what] = results[sheet][column].sum() or Decimal(0)
    found[DEPOSITS] = -sum(job.orders["deposit"], Decimal(0))
    return found


def _added(balances: pl.DataFrame, found: dict[str, Decimal]) -> dict[str, Decimal]:
    for what, value in balances.select("what", "value").iter_rows():
        found[what] += (value or 0) * (-1 if what == DEPOSITS else 1)
    return found


def check_books(job: Job, results: Results) -> None:
    """Double entry: each entry balances, so the trial balance is nought; and opening and entries give the closing."""
    journal = results["journal"]
    whole: Any = pl.col("debit").fill_null(0).sum() - pl.col("credit").fill_null(0).sum()
    assert set(journal.group_by("entry").agg(net=whole)["net"]) <= {Decimal(0)}
    assert journal.filter(pl.col("debit").is_null() == pl.col("credit").is_null()).is_empty()
    assert journal["date"].is_sorted()
    moved, before = moves(journal), opened_with(job, results)
    assert sum(moved.values()) == 0
    after = _added(results["closing_balances"], defaultdict(Decimal))
    stock = (RAW, PACKING)
    assert sum(before[what] + moved[what] - after[what] for what in stock) == 0
    for what in BALANCES:
        if what not in stock:
            assert before[what] + moved[what] == after[what], what
    goods = results["finished_goods"]
    assert moved["cost of sales"] == (goods["sold_value"].sum() or 0)
    assert moved[ABNORMAL_LOSS] == (goods["abnormal_loss"].sum() or 0)
    last = journal["date"].max()
    delivered = results["sales"].filter(pl.col("ready") <= last)
    assert -moved["sales"] == (delivered["net"].sum() or 0)
    assert -moved["tax on sales"] == (delivered["tax"].sum() or 0)


def books_of(seed: int, cut: bool) -> tuple[Job, Results]:
    job = priced(Random(seed))
    job = replace(
        job,
        materials=job.materials.filter(pl.col("pack_price").is_not_null()),
        orders=job.orders.with_columns(deposit=pl.lit("7.50").cast(pl.Decimal(38, 6))),
        settings=replace(
            job.settings,
            currency="EUR",
            tax_pct=7.5,
            prices_with_tax=("none", "sales", "purchases", "both")[seed % 4],
            stock_overhead="in",
            overhead_per_month=Decimal(500),
            normal_hours_per_month=90.0,
            books_to=job.settings.start + dt.timedelta(days=12) if cut else None,
        ),
    )
    return job, worked(job)


@pytest.mark.parametrize("cut", [False, True])
@given(seed=st.integers(0, 10_000))
@limits(max_examples=6)
def test_the_books_of_any_shop_balance_and_carry_over(cut: bool, seed: int) -> None:
    """Opening equals the last closing: the next books, of the same sheets once more, open with what these close with,
    and book what differs."""
    job, results = books_of(seed, cut)
    check_books(job, results)
    closing = results["closing_balances"].to_dicts()
    again = replace(job, opening_balances=frame("opening_balances", closing).with_columns(row=pl.lit(2, pl.Int64)))
    # What goods were worth at the last close moves no day.
    check_books(again, worked(again, results["schedule"]))
