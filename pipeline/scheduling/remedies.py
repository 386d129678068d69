"""What a potter could change to have a late line in time: each by an amount, as it would be typed into the sheets."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial

import polars as pl

from pipeline.calendar import HUNDREDTHS, WEEKDAYS, Calendar
from pipeline.job import Job
from pipeline.scheduling.hold_ups import BATS, CLAY, CLOSED, HOURS, KILN, LIMITS, MATERIALS
from pipeline.scheduling.shop import Flow, Shop

LONGEST_DAY = 12
"""Hours: nobody is told to work longer on a day. A choice of ours."""

STEP = 0.5
"""Hours by which a day is made longer."""


@dataclass(frozen=True)
class Remedy:
    """A change of the job by an amount from 1 to ``most``: the job with it, and the words for it.

    ``eases``: what it makes less of a hold-up, as ``hold_ups`` calls it; none for what that does not look into.
    ``name`` tells it from others, and it is looked into ``unless`` the one of that name does. ``closer``: of the amount
    found another remedy, which may do with less.
    """

    name: tuple[object, ...]
    eases: str | None
    most: int
    job: Callable[[int], Job]
    words: Callable[[int], str]
    unless: tuple[object, ...] | None = None
    closer: Callable[[int], Remedy] | None = None


class Remedies:
    """What could have lines of a job in time; ``shop`` is the job's, whose lines ``pieces`` counts.

    What is the same for many lines is worked out once for all of them.
    """

    def __init__(self, job: Job, pieces: pl.DataFrame, shop: Shop) -> None:
        self.job = job
        self.pieces = pieces
        self.shop = shop
        self.flows: dict[int, Flow] = {}
        for flow in shop.flows:
            self.flows.setdefault(flow.line, flow)
        self.known: dict[tuple[object, ...], list[Remedy]] = {}

    def of_line(self, line: int) -> list[Remedy]:
        """What could have a line in time, by its place in the orders.

        Changes of its own stages, bats, firings, clay and materials, of anybody's hours, and of closed days; not of its
        due date. None for a line that has only to come out of the kiln.
        """
        flow = self.flows.get(line)
        if flow is None:
            return []
        job, pieces, glaze = self.job, self.pieces, self.job.orders["glaze"][line]
        return [
            *self._once(("a day", flow.form), lambda: _more_a_day(job, pieces, flow)),
            *self._once(("hours",), lambda: _anybodys_hours(job, self.shop.calendar)),
            *self._once(("bats", flow.form), lambda: _more_bats(job, pieces, flow)),
            *self._once(("closed", flow.due), lambda: _on_closed_days(job, self.shop.calendar, flow.due)),
            *self._once(("firings", flow.form, flow.first), lambda: _quicker_firings(job, flow)),
            *self._once(("kilns",), lambda: _second_kilns(job, self.shop)),
            *self._once(("clay", flow.form), lambda: _clay_sooner(job, flow)),
            *self._once(("materials", flow.form, glaze), lambda: _materials_sooner(job, flow.form, glaze)),
        ]

    def _once(self, key: tuple[object, ...], found: Callable[[], Iterator[Remedy]]) -> list[Remedy]:
        if key not in self.known:
            self.known[key] = list(found())
        return self.known[key]


def _one_step(name: tuple[object, ...], eases: str | None, job: Callable[[], Job], words: str) -> Remedy:
    """A remedy of one amount only."""
    return Remedy(name, eases, 1, lambda _: job(), lambda _: words)


def _more(words: str, amount: float, one: str, many: str) -> str:
    return f"{amount:g} {one if amount == 1 else many} {words}"


# Pieces a day


def _more_a_day(job: Job, pieces: pl.DataFrame, flow: Flow) -> Iterator[Remedy]:
    """More a day than ``most_per_day`` of a stage, or of the form at it."""
    method = job.forms.row(by_predicate=pl.col("form") == flow.form, named=True)["method"]
    alike = job.forms.filter(pl.col("method") == method)["form"]
    for sheet, column, named, forms in (
        ("stages", "method", method, alike.to_list()),
        ("form_minutes", "form", flow.form, [flow.form]),
    ):
        limits = getattr(job, sheet).filter(pl.col(column) == named, pl.col("most_per_day").is_not_null())
        for stage, limit in limits.select("stage", "most_per_day").iter_rows():
            entering = pieces.filter(pl.col("form").is_in(forms), pl.col("stage") == stage)["pieces_in"].sum()
            yield _higher(job, sheet, (column, named, stage), limit, max(1, int(entering) - limit))


def _higher(job: Job, sheet: str, row: tuple[str, str, str], limit: int, most: int) -> Remedy:
    """More a day at a row of ``stages`` or ``form_minutes``, which stands by a column, what is in it, and the stage."""
    column, named, stage = row

    def raised(more: int) -> Job:
        rows = (pl.col(column) == named) & (pl.col("stage") == stage)
        raised = pl.when(rows).then(limit + more).otherwise("most_per_day").cast(pl.Int64).alias("most_per_day")
        return replace(job, **{sheet: getattr(job, sheet).with_columns(raised)})

    what = f"`{named}`" if column == "form" else f"`{named}` pieces"
    return Remedy(
        (LIMITS, *row), LIMITS, most, raised,
        lambda more: f"{more} more {what} a day at `{stage}` ({limit + more} instead of {limit})",
    )  # fmt: skip


# Hours


def _anybodys_hours(job: Job, calendar: Calendar) -> Iterator[Remedy]:
    for worker in calendar.workers:
        yield from _more_hours(job, calendar, worker.name)


def _more_hours(job: Job, calendar: Calendar, worker: str) -> Iterator[Remedy]:
    """A longer day on each weekday that somebody works; or work on one on which nobody has hours for it yet."""
    shifts = next(one for one in calendar.workers if one.name == worker).by_weekday
    longest = max(shift.time for shift in shifts) / 60 / HUNDREDTHS
    mine = pl.col("worker") == worker
    weekly = mine & ~pl.col("day").str.contains(r"^\d")
    if not longest:
        return

    def longer(steps: int) -> Job:
        hours = pl.when(weekly & (pl.col("hours") > 0)).then(pl.col("hours") + steps * STEP).otherwise("hours")
        return replace(job, labour_hours=job.labour_hours.with_columns(hours.alias("hours")))

    def told(steps: int) -> str:
        rows = job.labour_hours.filter(weekly, pl.col("hours") > 0).select("day", "hours")
        days = ", ".join(f"{day} {hours + steps * STEP:g} instead of {hours:g}" for day, hours in rows.iter_rows())
        return _more(f"more a day of {worker} ({days})", steps * STEP, "hour", "hours")

    yield Remedy((HOURS, worker), HOURS, int((LONGEST_DAY - longest) / STEP), longer, told)

    free = [(weekday + 5) % 7 for weekday in range(7) if not shifts[(weekday + 5) % 7].time]
    if not free:
        return
    day = WEEKDAYS[free[0]]
    pattern = job.labour_hours.filter(weekly, pl.col("hours") > 0).head(1)

    def also_on(steps: int) -> Job:
        others = job.labour_hours.filter(~(mine & (pl.col("day").str.to_lowercase() == day.lower())))
        also = pattern.with_columns(day=pl.lit(day), hours=pl.lit(steps * STEP), row=pl.lit(None, dtype=pl.Int64))
        return replace(job, labour_hours=pl.concat([others, also]))

    yield Remedy(
        (HOURS, worker, day), HOURS, int(min(longest, LONGEST_DAY) / STEP), also_on,
        lambda steps: _more(f"of {worker} on {day} too", steps * STEP, "hour", "hours"), unless=(HOURS, worker),
    )  # fmt: skip


# Bats


def _more_bats(job: Job, pieces: pl.DataFrame, flow: Flow) -> Iterator[Remedy]:
    """More bats of the form's size, up to one for each piece that goes onto one."""
    size = flow.bat
    owned = dict(job.bats_and_boards.filter(pl.col("kind") == "bat").select("item", "count").iter_rows())
    if size not in owned:
        return
    count = owned[size]
    forms = job.forms.filter(pl.col("bat") == size)["form"].to_list()
    on = [stop.stage for stop in flow.route if stop.bat == "on"]
    entering = pieces.filter(pl.col("form").is_in(forms), pl.col("stage").is_in(on))["pieces_in"].sum()

    def with_more(more: int) -> Job:
        rows = (pl.col("kind") == "bat") & (pl.col("item") == size)
        counts = pl.when(rows).then(count + more).otherwise("count").cast(pl.Int64)
        return replace(job, bats_and_boards=job.bats_and_boards.with_columns(counts.alias("count")))

    yield Remedy(
        (BATS, size), BATS, max(1, int(entering) - count), with_more,
        lambda more: _more(f"({count + more} instead of {count})", more, f"more `{size}` bat", f"more `{size}` bats"),
    )  # fmt: skip


# Kilns


def _quicker_firings(job: Job, flow: Flow) -> Iterator[Remedy]:
    """A firing that the line has still before it, out of its kiln a day sooner."""
    names = {stop.firing for stop in flow.route[flow.first :]}
    for firing, kiln, days in job.firings.select("firing", "kiln", "days").iter_rows():
        if firing not in names or days == 1:
            continue

        rows = (pl.col("firing") == firing) & (pl.col("kiln") == kiln)
        sooner = pl.when(rows).then(pl.col("days") - 1).otherwise("days").alias("days")
        yield _one_step(
            ("sooner out", firing, kiln), None, partial(replace, job, firings=job.firings.with_columns(sooner)),
            f"`{firing}` out of `{kiln}` a day sooner ({in_days(days - 1)} instead of {days})",
        )  # fmt: skip


def _second_kilns(job: Job, shop: Shop) -> Iterator[Remedy]:
    for kiln in dict.fromkeys(firing.kiln for firing in shop.firings):
        yield _one_step((KILN, kiln), KILN + kiln, partial(_second_kiln, job, kiln), f"a second kiln like `{kiln}`")


def _second_kiln(job: Job, kiln: str) -> Job:
    """A kiln more, its rows after those of the one that it is like."""
    name = f"second {kiln}"

    def doubled(sheet: pl.DataFrame) -> pl.DataFrame:
        again = sheet.with_row_index("at").filter(pl.col("kiln") == kiln).with_columns(kiln=pl.lit(name))
        both = pl.concat([sheet.with_row_index("at"), again])
        return both.sort("at", maintain_order=True).drop("at")

    return replace(job, kilns=doubled(job.kilns), firings=doubled(job.firings), kiln_fit=doubled(job.kiln_fit))


# Clay


def _clay_sooner(job: Job, flow: Flow) -> Iterator[Remedy]:
    """The clay of the form sooner here than its supplier says."""
    clay = job.forms.row(by_predicate=pl.col("form") == flow.form, named=True)["clay"]
    parts = job.clay_blends.filter(pl.col("clay") == clay)["part"].to_list() or [clay]
    of_it = pl.col("clay").is_in(parts)
    waits = [lead for sheet in (job.clay_stock, job.clay_prices) for lead in sheet.filter(of_it)["lead_days"]]
    named = " and ".join(f"`{part}`" for part in parts)

    def sooner(days: int) -> Job:
        lead = pl.when(of_it).then((pl.col("lead_days") - days).clip(lower_bound=0)).otherwise("lead_days")
        stock, prices = (sheet.with_columns(lead.alias("lead_days")) for sheet in (job.clay_stock, job.clay_prices))
        return replace(job, clay_stock=stock, clay_prices=prices)

    yield Remedy(
        (CLAY, clay), CLAY, max(waits, default=0), sooner, lambda days: f"{named} delivered {in_days(days)} sooner"
    )


def _materials_sooner(job: Job, form: str, glaze: str | None) -> Iterator[Remedy]:
    """What the line is glazed with, or takes at a stage, sooner here than its supplier says."""
    recipe = job.glazes.filter(pl.col("glaze").eq_missing(pl.lit(glaze)))["material"]
    others = job.form_materials.filter(pl.col("form") == form, pl.col("stage").is_not_null())["material"]
    late = pl.col("material").is_in([*recipe, *others]) & (pl.col("lead_days") > 0)
    waits = job.materials.filter(late)
    if waits.is_empty():
        return
    named = " and ".join(f"`{name}`" for name in waits["material"].unique(maintain_order=True))

    def sooner(days: int) -> Job:
        lead = pl.when(late).then((pl.col("lead_days") - days).clip(lower_bound=0)).otherwise("lead_days")
        return replace(job, materials=job.materials.with_columns(lead.alias("lead_days")))

    yield Remedy(
        (MATERIALS, named), MATERIALS, max(waits["lead_days"]), sooner,
        lambda days: f"{named} delivered {in_days(days)} sooner",
    )  # fmt: skip


# Closed days


def _on_closed_days(job: Job, calendar: Calendar, due: int) -> Iterator[Remedy]:
    closed = _closed(calendar, due)
    yield replace(_work_on(job, closed, last=False), closer=lambda first: _work_on(job, closed[:first], last=True))


def _closed(calendar: Calendar, until: int) -> list[date]:
    """The closed days from the plan's start up to a day on which somebody would have hours, were they not closed."""
    return [
        date.fromordinal(day)
        for day in range(calendar.start, until + 1)
        if day in calendar.closed and any(worker.shift(day).time for worker in calendar.workers)
    ]


def _work_on(job: Job, days: list[date], *, last: bool) -> Remedy:
    """Work on so many of the closed days: the first, or the last of them."""

    def open_on(number: int) -> list[date]:
        return days[-number:] if last else days[:number]

    def with_work(number: int) -> Job:
        still = [
            {**row, "from": day, "to": day}
            for row in job.closed_days.rows(named=True)
            for day in (row["from"] + timedelta(days=passed) for passed in range((row["to"] - row["from"]).days + 1))
            if day not in open_on(number)
        ]
        return replace(job, closed_days=pl.DataFrame(still, schema=job.closed_days.schema))

    def told(number: int) -> str:
        first, *more = open_on(number)
        if not more:
            return f"work on {first}, a closed day"
        return f"work on {number} closed days, {first} to {more[-1]}"

    return Remedy((CLOSED, len(days), last), CLOSED, len(days), with_work, told)


def in_days(days: int) -> str:
    """So many days, in words."""
    return f"{days} day{'' if days == 1 else 's'}"
