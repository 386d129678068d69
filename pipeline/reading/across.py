"""Rules that several rows or sheets must keep together, beyond names standing where they must."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import polars as pl

from pipeline.calendar import WEEKDAYS, breadth, is_date, weekdays_named
from pipeline.reading.defaults import METHOD
from pipeline.reading.headings import ROW
from pipeline.reading.links import Checked
from pipeline.reading.spelling import alike, distinct
from schemas import SHEETS_IN, book_kinds, kinds
from schemas.problem import Problem, closest
from schemas.sheet import columns

WHOLE = 100
TOLERANCE = 0.01
"""By how much the shares of a blend, in per cent, may miss the hundred: three thirds are written as 33.33."""

DIGITS = 9
"""Decimal places to which sums of shares are compared: a binary number cannot hold 99.99."""


def rows_at_odds(job: Checked) -> list[Problem]:
    """Every rule across rows and sheets that is broken."""
    return [problem for sheet, rule in RULES if sheet in job.given for problem in rule(job)]


def stages_named_once_a_method(job: Checked) -> Iterator[Problem]:
    """A stage's name tells it from the others of its method."""
    first: dict[tuple[str, str], int] = {}
    rows = job.sheets["stages"].select("method", "stage", ROW).drop_nulls()
    for method, stage, row in rows.iter_rows():
        other = first.setdefault((method, stage), row)
        if other != row:
            yield kinds.STAGE_TWICE.at("stages", row, "stage", stage, method=method, other=other)


def bats_come_off_after_they_go_on(job: Checked) -> Iterator[Problem]:
    """In the order of its steps a method puts pieces onto bats, takes them off, and may do so again."""
    methods: dict[str, list[tuple[int, str, str | None, int]]] = {}
    unclear = set()
    for method, step, stage, bat, row in job.sheets["stages"].select("method", "step", "stage", "bat", ROW).iter_rows():
        if ("stages", row) in job.unclear:
            unclear.add(method)
        if None not in (method, step, stage):
            methods.setdefault(method, []).append((step, stage, bat, row))
    for method, rows in methods.items():
        if method in unclear:
            continue
        on_bat: tuple[str, int] | None = None
        for _, stage, bat, row in sorted(rows, key=lambda row: row[0]):
            if bat is None:
                continue
            if bat == "on" and on_bat:
                what = f"pieces of `{method}` go onto bats at `{stage}`, and are on bats since `{on_bat[0]}`"
                yield kinds.BAT_ON_AND_OFF.at("stages", row, "bat", bat, what=what)
            if bat == "off" and not on_bat:
                what = f"pieces of `{method}` come off bats at `{stage}`, and were not on any"
                yield kinds.BAT_ON_AND_OFF.at("stages", row, "bat", bat, what=what)
            on_bat = (stage, row) if bat == "on" else None
        if on_bat:
            what = f"pieces of `{method}` go onto bats at `{on_bat[0]}` and never come off"
            yield kinds.BAT_ON_AND_OFF.at("stages", on_bat[1], "bat", "on", what=what)


def weekdays_in_one_row(job: Checked) -> Iterator[Problem]:
    """A worker's weekday stands in one row, or it is told which of two holds: the same that the calendar takes."""
    earlier: dict[str, list[tuple[str, int]]] = {}
    for worker, day, row in job.sheets["labour_hours"].select("worker", "day", ROW).drop_nulls().iter_rows():
        if is_date(day):
            continue
        for other, first in earlier.setdefault(worker, []):
            both = [weekday for weekday in weekdays_named(day) if weekday in weekdays_named(other)]
            if both and day != other:
                holds = first if breadth(other) < breadth(day) else row
                days = " and ".join(WEEKDAYS[weekday] for weekday in both)
                words = {"worker": worker, "days": days, "first": first, "second": row, "holds": holds}
                yield kinds.WEEKDAY_TWICE.at("labour_hours", row, "day", day, **words)
        earlier[worker].append((day, row))


def _stages_of_the_forms_method(job: Checked, sheet: str, column: str) -> Iterator[Problem]:
    """A stage named for a form is one of its method's. A stage that no method has is told by the links."""
    if not job.has("forms", "stages"):
        return
    methods = dict(reversed(job.sheets["forms"].select("form", "method").rows()))
    stages: dict[str, list[str]] = {}
    for method, stage in job.sheets["stages"].select("method", "stage").drop_nulls().iter_rows():
        stages.setdefault(method, []).append(stage)
    every = {stage for own in stages.values() for stage in own}
    for form, stage, row in job.sheets[sheet].select("form", column, ROW).drop_nulls().iter_rows():
        if form not in methods or stage not in every:
            continue
        method = methods[form] or METHOD
        own = stages.get(method, [stage])
        if stage not in own:
            words = {"form": form, "method": method, "stages": ", ".join(f"`{name}`" for name in own)}
            yield kinds.STAGE_OF_ANOTHER_METHOD.at(sheet, row, column, stage, **words)


def form_minutes_at_stages_of_the_form(job: Checked) -> Iterator[Problem]:
    """``form_minutes.stage`` is a stage of the form's method."""
    return _stages_of_the_forms_method(job, "form_minutes", "stage")


def in_progress_at_stages_of_the_form(job: Checked) -> Iterator[Problem]:
    """``in_progress.stage_done`` is a stage of the form's method."""
    return _stages_of_the_forms_method(job, "in_progress", "stage_done")


def work_log_at_stages_of_the_form(job: Checked) -> Iterator[Problem]:
    """``work_log.stage`` is a stage of the form's method."""
    return _stages_of_the_forms_method(job, "work_log", "stage")


def in_progress_for_a_line(job: Checked) -> Iterator[Problem]:
    """Pieces in progress fit a line of the orders; order and glaze fit any if blank, the form must be known."""
    if not job.has("orders", "forms"):
        return
    lines = job.sheets["orders"].select("form", "order", "glaze")
    forms, orders = job.sheets["forms"]["form"].implode(), lines["order"].implode()
    pieces = job.sheets["in_progress"].filter(
        pl.col("form").is_in(forms), pl.col("order").is_null() | pl.col("order").is_in(orders)
    )
    fitting = pieces.join(lines, on="form", suffix="_wanted").filter(
        pl.col("order").is_null() | (pl.col("order") == pl.col("order_wanted")),
        pl.col("glaze").is_null() | (pl.col("glaze") == pl.col("glaze_wanted")),
    )
    for row in pieces.filter(~pl.col(ROW).is_in(fitting[ROW].implode())).iter_rows(named=True):
        read = ", ".join(row[name] for name in ("order", "form", "glaze") if row[name] is not None)
        yield kinds.NO_SUCH_LINE.at("in_progress", row[ROW], "form", read)


def lines_have_prices(job: Checked) -> Iterator[Problem]:
    """Where some lines of the orders have a price, all have; who gives none at all means none."""
    rows = job.sheets["orders"].select("unit_price", ROW)
    priced = rows["unit_price"].is_not_null()
    if priced.any() and not priced.all():
        for row in rows[ROW].filter(~priced):
            if ("orders", row) not in job.unclear:
                yield kinds.LINE_WITHOUT_PRICE.at("orders", row, "unit_price")


def accounts_have_codes(job: Checked) -> Iterator[Problem]:
    """Who gives codes to accounts gives each its own; an account without one is told, and one that shares one."""
    rows = job.sheets["accounts"].select("what", "code", ROW).drop_nulls("what")
    first: dict[str, tuple[str, int]] = {}
    for what, code, row in rows.iter_rows():
        if code is None:
            example = columns(SHEETS_IN["accounts"])[1].example
            yield book_kinds.NO_ACCOUNT_CODE.at("accounts", row, "code", what, example=example)
        elif (earlier := first.setdefault(alike(code), (what, row))) != (what, row):
            account, other = earlier
            yield book_kinds.CODE_TWICE.at("accounts", row, "code", code, account=account, other=other)


def shares_add_up(job: Checked) -> Iterator[Problem]:
    """The shares of a blend's parts add up to 100 %."""
    blends = job.sheets["clay_blends"].drop_nulls("clay")
    for (blend,), rows in blends.group_by("clay", maintain_order=True):
        total = sum(rows["share_pct"].drop_nulls())
        if not rows["share_pct"].has_nulls() and round(abs(total - WHOLE), DIGITS) > TOLERANCE:
            yield kinds.SHARES_NOT_100.at("clay_blends", rows[ROW][0], "share_pct", total, blend=blend)


def blends_have_names_of_their_own(job: Checked) -> Iterator[Problem]:
    """A blend is not also a clay in stock."""
    if not job.has("clay_stock"):
        return
    stock = {alike(clay) for clay in job.sheets["clay_stock"]["clay"].drop_nulls()}
    blends = job.sheets["clay_blends"].drop_nulls("clay").unique("clay", keep="first").sort(ROW)
    for blend, row in blends.select("clay", ROW).iter_rows():
        if alike(blend) in stock:
            yield kinds.BLEND_IS_A_CLAY.at("clay_blends", row, "clay", blend)


def ordered_glazes_have_recipes(job: Checked) -> Iterator[Problem]:
    """Where there are recipes, each glaze that is ordered has one; told once a glaze."""
    if not job.has("orders"):
        return
    recipes = distinct(job.sheets["glazes"]["glaze"])
    if all(glaze in recipes for glaze in distinct(job.sheets["orders"]["glaze"])):
        return
    ordered = job.sheets["orders"].drop_nulls("glaze").unique("glaze", keep="first").sort(ROW)
    for glaze, row in ordered.filter(~pl.col("glaze").is_in(recipes)).select("glaze", ROW).iter_rows():
        yield kinds.NO_RECIPE.at("orders", row, "glaze", glaze, closest(glaze, recipes))


RULES: tuple[tuple[str, Callable[[Checked], Iterator[Problem]]], ...] = (
    ("orders", lines_have_prices),
    ("labour_hours", weekdays_in_one_row),
    ("stages", stages_named_once_a_method),
    ("stages", bats_come_off_after_they_go_on),
    ("form_minutes", form_minutes_at_stages_of_the_form),
    ("in_progress", in_progress_at_stages_of_the_form),
    ("work_log", work_log_at_stages_of_the_form),
    ("in_progress", in_progress_for_a_line),
    ("clay_blends", shares_add_up),
    ("clay_blends", blends_have_names_of_their_own),
    ("glazes", ordered_glazes_have_recipes),
    ("accounts", accounts_have_codes),
)
"""Every rule, and the sheet that must be given for it."""
