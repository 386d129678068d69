"""What the plan shows to be doubtful, with the row that it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from fractions import Fraction

import polars as pl

from pipeline.books.flow import logged
from pipeline.calendar import calendar
from pipeline.in_progress import Taken, share_in_progress, staying_on_bats
from pipeline.job import Job
from pipeline.lines import LINE
from pipeline.money import amount
from pipeline.routes import routes
from pipeline.scheduling.from_job import build_shop
from pipeline.scheduling.short_of_time import short_of_time
from pipeline.waits import Wait, drying_factors, window
from schemas.accounts import DEPOSITS, PACKING, RAW
from schemas.plan_kinds import (
    BATS_TAKEN,
    BELOW_COST,
    BOARDS_SHORT,
    CARRIED_OVER,
    DEPOSIT_GONE,
    LOSS_OF_NO_LINE,
    NO_PRICE,
    NOT_IN_ACCOUNTS,
    ORDER_TOO_LATE,
    TWO_LOTS,
    WINDOW_PASSED,
    WINDOW_TOO_SHORT,
)
from schemas.problem import Problem, problems_sheet
from schemas.settings import IN


def buying_doubts(job: Job, packs_to_buy: pl.DataFrame) -> pl.DataFrame:
    """A ``problems`` sheet of clay that should have been ordered before the first day for a due date to hold.

    Only a list made without a plan can say so: a plan begins nothing before its clay is there, and tells who is late.
    """
    newest = job.clay_stock.sort("received", nulls_last=False, maintain_order=True)
    in_stock = dict(newest.select("clay", "row").iter_rows())
    price = ["clay", "supplier", "pack_kg", "from_packs"]
    listed = job.clay_prices.select(*price, "row")
    late = packs_to_buy.filter(pl.col("order_by") < job.settings.start)
    late = late.join(listed, on=price, how="left", maintain_order="left")
    return problems_sheet(
        ORDER_TOO_LATE.at(
            "clay_stock" if row is None else "clay_prices",
            in_stock[clay] if row is None else row,
            "lead_days",
            clay,
            order_by=order_by.isoformat(),
        )
        for clay, order_by, row in late.select("clay", "order_by", "row").iter_rows()
    )


def doubts(
    job: Job,
    pieces: pl.DataFrame,
    materials_cost: pl.DataFrame,
    materials_to_buy: pl.DataFrame,
    job_costs: pl.DataFrame,
    space: pl.DataFrame,
    schedule: pl.DataFrame,
    stock_differences: pl.DataFrame,
    journal: pl.DataFrame,
) -> pl.DataFrame:
    """A ``problems`` sheet of what a potter should look at before trusting the plan; none of it stops the plan."""
    route = routes(job.forms, job.stages, job.form_minutes)
    taken = share_in_progress(job.orders, job.forms, route, job.in_progress, job.settings.loss_cover)
    return problems_sheet(
        [
            *_windows_passed(job, route, taken),
            *_windows_too_short(job, pieces),
            *_bats(job, route, taken),
            *_two_lots(job, materials_cost),
            *_unpriced(job, materials_to_buy),
            *_below_cost(job, job_costs),
            *_boards(job, space),
            *_losses_of_no_line(job, schedule),
            *_carried_over(job, stock_differences),
            *_not_in_accounts(job, journal),
        ]
    )


def _losses_of_no_line(job: Job, schedule: pl.DataFrame) -> Iterator[Problem]:
    """Rows of the work log that are the books' and fit no order line."""
    log = logged(job, schedule)
    lines = job.orders.select(*LINE).rows() if log.height else []
    for order, form, glaze, stage, row in log.select(*LINE, "stage", "row").iter_rows():
        if not any(order in (None, of) and form == what and glaze in (None, in_) for of, what, in_ in lines):
            named = ", ".join(name for name in (order, form, glaze) if name is not None)
            yield LOSS_OF_NO_LINE.at("work_log", row, "form", named, stage=stage)


def _carried_over(job: Job, stock_differences: pl.DataFrame) -> Iterator[Problem]:
    """What is not as the last books closed: in quantity, or by more than a hundredth of its worth. Less than that is
    what pennies come to, and stands in ``stock_differences`` alone.
    """
    listed = job.opening_balances.select("what", "item", "order", "stage", "row").rows()
    digits = job.settings.minor_digits
    for row in stock_differences.iter_rows(named=True):
        carried, now = round(row["carried"], 3), round(row["now"], 3)
        before, worth = (f"{row[name]:.{digits}f}" for name in ("carried_value", "value"))
        what = row["what"]
        if what == DEPOSITS:
            at = next((line for *_, order, _, line in listed if order == row["order"]), None)
            yield DEPOSIT_GONE.at("opening_balances", at, "value", row["order"], before=before, worth=worth)
        elif carried != now or abs(row["difference"]) * 100 > max(row["carried_value"], row["value"]):
            of = (what, row["item"], row["stage"])
            at = next((line for kind, item, _, stage, line in listed if (kind, item, stage) == of), None)
            item = row["item"] if row["stage"] is None else f"{row['item']} after {row['stage']}"
            where = STOCK_SHEETS.get(what, "in_progress")
            words = {"now": _counted(now, row["unit"]), "carried": _counted(carried, row["unit"]), "worth": worth}
            yield CARRIED_OVER.at("opening_balances", at, "quantity", item, before=before, where=where, **words)


def _counted(number: float, unit: str) -> str:
    return f"{number:g} {unit}" if unit == "kg" or number == 1 else f"{number:g} {unit}s"


STOCK_SHEETS = {RAW: "clay_stock or materials", PACKING: "materials"}
"""Where what is in stock is counted; goods stand in ``in_progress``."""


def _unpriced(job: Job, materials_to_buy: pl.DataFrame) -> Iterator[Problem]:
    """Lots without a price of materials that are needed."""
    needed = materials_to_buy.filter(pl.col("needed_kg") > 0)["material"]
    unpriced = job.materials.filter(pl.col("pack_price").is_null(), pl.col("material").is_in(needed.implode()))
    for row, material in unpriced.select("row", "material").iter_rows():
        yield NO_PRICE.at("materials", row, "pack_price", material)


def _below_cost(job: Job, job_costs: pl.DataFrame) -> Iterator[Problem]:
    """Lines that sell for less than they cost in the books: IAS 2, Inventories, paragraph 9, has stock at what it sells
    for, less what that takes, if that is lower. Of a line with pieces in progress the cost each is not known.

    10 pieces at a book cost of 60.00, with 15.00 of overhead in stock, cost 7.50 each: a price of 7.40 is below it.
    """
    digits = job.settings.minor_digits
    names = ("quantity", "unit_price", "already_begun", "book_cost", "overhead")
    for row, (quantity, price, begun, cost, overhead) in zip(
        job.orders["row"], job_costs.select(names).iter_rows(), strict=True
    ):
        if price is None or begun or cost is None:
            continue
        whole = cost + ((overhead or 0) if job.settings.stock_overhead == IN else 0)
        if whole > price * quantity:
            each, sold = (f"{amount(money, digits):f}" for money in (Fraction(whole) / quantity, price))
            yield BELOW_COST.at("orders", row, "unit_price", sold, cost=each)


def _not_in_accounts(job: Job, journal: pl.DataFrame) -> Iterator[Problem]:
    """Accounts that are posted to and not in ``accounts``, if that is given; one there without a code is told there."""
    if not job.accounts.is_empty():
        posted = journal.filter(~pl.col("what").is_in(job.accounts["what"].implode()))
        sums = posted.group_by("what", maintain_order=True).agg(pl.col("entry").n_unique())
        for what, entries in sums.iter_rows():
            times = "an entry" if entries == 1 else f"{entries} entries"
            yield NOT_IN_ACCOUNTS.at("accounts", None, "what", what, times=times)


def _windows_passed(job: Job, route: pl.DataFrame, taken: list[Taken]) -> Iterator[Problem]:
    factors = drying_factors(job.drying_months)
    standing = job.in_progress.rows(named=True)
    days = calendar(job.labour_hours, job.closed_days, job.settings.start)
    first_work = days.next_work(days.start)
    for place in dict.fromkeys(take.standing for take in taken):
        row = standing[place]
        steps = route.filter(pl.col("form") == row["form"]).rows(named=True)
        done = next(number for number, step in enumerate(steps) if step["stage"] == row["stage_done"])
        if done + 1 == len(steps):
            continue
        wait = Wait(steps[done]["wait_days"], steps[done]["wait_days_max"], 0 if steps[done]["firing"] else None)
        _, latest = window(wait, row["date"].toordinal(), factors)
        if latest is not None and first_work is not None and latest < first_work:
            yield WINDOW_PASSED.at(
                "in_progress", row["row"], "date", row["date"].isoformat(),
                stage=steps[done + 1]["stage"], latest=date.fromordinal(latest).isoformat(),
            )  # fmt: skip


def _windows_too_short(job: Job, pieces: pl.DataFrame) -> Iterator[Problem]:
    for place, short in short_of_time(replace(build_shop(job, pieces), short=frozenset())).items():
        row, count = job.in_progress.select("row", "pieces").row(place)
        yield WINDOW_TOO_SHORT.at(
            "in_progress", row, "pieces", count, stage=short.stop.stage, pieces=short.pieces,
            latest=date.fromordinal(short.latest).isoformat(), room=short.room,
        )  # fmt: skip


def _bats(job: Job, route: pl.DataFrame, taken: list[Taken]) -> Iterator[Problem]:
    """Where bats are no limit, it is no matter that some are not coming free."""
    if "bat" not in job.bats_and_boards["kind"]:
        return
    for place, size, pieces in staying_on_bats(taken, job.forms, route, job.in_progress):
        row, form = job.in_progress.select("row", "form").row(place)
        yield BATS_TAKEN.at("in_progress", row, "pieces", pieces, form=form, size=size)


def _two_lots(job: Job, materials_cost: pl.DataFrame) -> Iterator[Problem]:
    lots = (
        materials_cost.filter(pl.col("material").is_in(job.clay_stock["clay"].implode()))
        .group_by(*LINE, "material", maintain_order=True)
        .agg(pl.col("lot").fill_null("without a number"))
        .filter(pl.col("lot").list.len() > 1)
        .join(job.orders.select(*LINE, "row"), on=LINE, how="left", nulls_equal=True, maintain_order="left")
    )
    for clay, names, row in lots.select("material", "lot", "row").iter_rows():
        yield TWO_LOTS.at("orders", row, "form", clay, lots=" and ".join(f"`{name}`" for name in names))


def _boards(job: Job, space: pl.DataFrame) -> Iterator[Problem]:
    worst = space.filter(pl.col("kind") == "board", pl.col("in_use") > pl.col("owned")).sort(
        "in_use", "date", descending=[True, False]
    )
    rows = job.bats_and_boards.filter(pl.col("kind") == "board")["row"].to_list()
    for night, used, owned in worst.head(1).select("date", "in_use", "owned").iter_rows():
        yield BOARDS_SHORT.at("bats_and_boards", rows[0], "count", used, night=night.isoformat(), owned=owned)
