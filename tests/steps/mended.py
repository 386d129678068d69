"""What a potter types into the sheets who does as the column ``mended_by`` says; read from its words alone."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import replace

import polars as pl

from pipeline.job import Job

NONE_LATE = ", and no line is late"
"""Claimed of so much that all lines are in time with it."""

EACH_LATE_LINE = ", with such a date for each late line"
"""Claimed of due dates that are moved together."""


def claims(words: str) -> list[str]:
    """The things named, of which each alone would do."""
    nothing = ("more was not looked into", "nothing alone that was tried")
    return [claim.removeprefix("only ") for claim in words.split("; ") if claim not in nothing]


def with_claim(job: Job, line: int, claim: str, less: int = 0) -> Job | None:
    """The job with what is claimed to mend a line (its place in the orders) typed in, or by so many steps ``less``.

    None if nothing would be left of it. Raises AssertionError for words that nobody could follow.
    """
    claim = claim.removesuffix(NONE_LATE).removesuffix(EACH_LATE_LINE)
    for pattern, typed in TYPED.items():
        if found := re.fullmatch(pattern, claim):
            return typed(job, line, less, *found.groups())
    raise AssertionError(claim)


def _sheet(job: Job, name: str, rows: pl.Expr, column: str, value: object) -> Job:
    sheet: pl.DataFrame = getattr(job, name)
    assert sheet.filter(rows).height
    cells = pl.when(rows).then(pl.lit(value)).otherwise(column).cast(sheet[column].dtype).alias(column)
    return replace(job, **{name: sheet.with_columns(cells)})


def _stage(job: Job, _: int, less: int, more: str, method: str, stage: str, new: str, old: str) -> Job | None:
    assert int(new) - int(old) == int(more)
    rows = (pl.col("method") == method) & (pl.col("stage") == stage)
    assert job.stages.filter(rows)["most_per_day"].to_list() == [int(old)]
    return _sheet(job, "stages", rows, "most_per_day", int(new) - less) if int(more) > less else None


def _form(job: Job, _: int, less: int, more: str, form: str, stage: str, new: str, old: str) -> Job | None:
    assert int(new) - int(old) == int(more)
    rows = (pl.col("form") == form) & (pl.col("stage") == stage)
    assert job.form_minutes.filter(rows)["most_per_day"].to_list() == [int(old)]
    return _sheet(job, "form_minutes", rows, "most_per_day", int(new) - less) if int(more) > less else None


def _hours(job: Job, _: int, less: int, more: str, worker: str, days: str) -> Job | None:
    if float(more) <= less / 2:
        return None
    for part in days.split(", "):
        day, new, old = re.fullmatch(r"(\S+) (\S+) instead of (\S+)", part).groups()  # type: ignore[union-attr]  # must
        assert float(new) - float(old) == float(more)
        rows = (pl.col("worker") == worker) & (pl.col("day") == day)
        assert job.labour_hours.filter(rows)["hours"].to_list() == [float(old)]
        job = _sheet(job, "labour_hours", rows, "hours", float(new) - less / 2)
    return job


def _also_on(job: Job, _: int, less: int, hours: str, worker: str, day: str) -> Job | None:
    if float(hours) <= less / 2:
        return None
    first = job.labour_hours.filter(
        pl.col("worker") == worker, ~pl.col("day").str.contains(r"^\d"), pl.col("hours") > 0
    )
    row = first.head(1).with_columns(day=pl.lit(day), hours=pl.lit(float(hours) - less / 2))
    return replace(job, labour_hours=pl.concat([job.labour_hours, row]))


def _bats(job: Job, _: int, less: int, more: str, size: str, new: str, old: str) -> Job | None:
    assert int(new) - int(old) == int(more)
    rows = (pl.col("kind") == "bat") & (pl.col("item") == size)
    assert job.bats_and_boards.filter(rows)["count"].to_list() == [int(old)]
    return _sheet(job, "bats_and_boards", rows, "count", int(new) - less) if int(more) > less else None


def _open(job: Job, _: int, less: int, day: str) -> Job | None:
    return None if less else _opened(job, dt.date.fromisoformat(day), dt.date.fromisoformat(day))


def _open_all(job: Job, _: int, less: int, number: str, first: str, last: str) -> Job | None:
    # With one day less it is another run of days, which the words do not tell.
    return None if less else _opened(job, dt.date.fromisoformat(first), dt.date.fromisoformat(last))


def _opened(job: Job, first: dt.date, last: dt.date) -> Job:
    rows = []
    for row in job.closed_days.iter_rows(named=True):
        before, after = min(row["to"], first - dt.timedelta(1)), max(row["from"], last + dt.timedelta(1))
        if row["from"] <= before:
            rows.append({**row, "to": before})
        if after <= row["to"]:
            rows.append({**row, "from": after})
    return replace(job, closed_days=pl.DataFrame(rows, schema=job.closed_days.schema))


def _sooner(job: Job, _: int, less: int, firing: str, kiln: str, new: str, old: str) -> Job | None:
    rows = (pl.col("firing") == firing) & (pl.col("kiln") == kiln)
    assert job.firings.filter(rows)["days"].to_list() == [int(old)]
    assert int(old) - int(new) == 1
    return None if less else _sheet(job, "firings", rows, "days", int(new))


def _kiln(job: Job, _: int, less: int, kiln: str) -> Job | None:
    if less:
        return None
    sheets = {}
    for name in ("kilns", "firings", "kiln_fit"):
        rows = []
        for row in getattr(job, name).iter_rows(named=True):
            rows += [row, {**row, "kiln": "another"}] if row["kiln"] == kiln else [row]
        sheets[name] = pl.DataFrame(rows, schema=getattr(job, name).schema)
    return replace(job, **sheets)


def _delivered(job: Job, _: int, less: int, what: str, days: str) -> Job | None:
    if int(days) <= less:
        return None
    names = re.findall("`(.+?)`", what)
    sheets = {}
    for name, column in (("clay_stock", "clay"), ("clay_prices", "clay"), ("materials", "material")):
        sooner = (pl.col("lead_days") - (int(days) - less)).clip(0)
        lead = pl.when(pl.col(column).is_in(names)).then(sooner).otherwise("lead_days")
        sheets[name] = getattr(job, name).with_columns(lead.alias("lead_days"))
    return replace(job, **sheets)


def _due(job: Job, line: int, less: int, days: str, due: str) -> Job | None:
    date = dt.date.fromisoformat(due)
    assert (date - job.orders["due"][line]).days == int(days)
    # It is moved to the day on which the line is ready, so a day less is not known not to do.
    return None if less else _sheet(job, "orders", pl.int_range(pl.len()) == line, "due", date)


TYPED: dict[str, Callable[..., Job | None]] = {
    r"(\d+) more `(.+)` pieces a day at `(.+)` \((\d+) instead of (\d+)\)": _stage,
    r"(\d+) more `(.+)` a day at `(.+)` \((\d+) instead of (\d+)\)": _form,
    r"(\S+) hours? more a day of (.+) \((.+)\)": _hours,
    r"(\S+) hours? of (.+) on (\w+) too": _also_on,
    r"(\d+) more `(.+)` bats? \((\d+) instead of (\d+)\)": _bats,
    r"work on (\S+), a closed day": _open,
    r"work on (\d+) closed days, (\S+) to (\S+)": _open_all,
    r"`(.+)` out of `(.+)` a day sooner \((\d+) days? instead of (\d+)\)": _sooner,
    r"a second kiln like `(.+)`": _kiln,
    r"(`.+`) delivered (\d+) days? sooner": _delivered,
    r"a due date (\d+) days? later \((.+)\)": _due,
}
