"""How the pieces of each line move from the opening of the books to their close."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import cache
from math import floor

import polars as pl

from pipeline.books.period import cut_short, opens, progress
from pipeline.in_progress import share_in_progress
from pipeline.job import Job
from pipeline.lines import LINE
from pipeline.money import amount, at_price
from pipeline.remembered import remembered
from pipeline.routes import routes
from pipeline.steps.piece_costs import last_that_loses

Goods = tuple[str | None, str, str | None]
"""Order (None of pieces that no order needs), form, glaze."""

Flows = Mapping[Goods, "Flow"]


@dataclass(slots=True)
class Flow:
    """The pieces of a line, by the last stage that they have had.

    ``opening`` and ``closing`` are part-made, ``lost`` is the abnormal loss; ``finished`` are good pieces that were
    finished before, ``made`` those finished since. ``seconds`` are those expected, ``seconds_done`` their
    part of the plan's, ``more_seconds`` those counted beyond the normal ones, both with the money that they fetch.
    """

    opening: dict[str, int] = field(default_factory=dict)
    closing: dict[str, int] = field(default_factory=dict)
    lost: dict[str, Fraction] = field(default_factory=dict)
    finished: int = 0
    made: int = 0
    seconds: Fraction = Fraction(0)
    seconds_done: Fraction = Fraction(0)
    seconds_value: Decimal = Decimal(0)
    more_seconds: list[Fraction] = field(default_factory=list)
    more_seconds_value: Decimal = Decimal(0)


@remembered
def flows(job: Job, pieces: pl.DataFrame, schedule: pl.DataFrame, job_costs: pl.DataFrame) -> Flows:
    """The flow of every line, in the order of ``pieces``, then of the pieces that no line takes.

    What the plan loses is its normal loss. What ``work_log`` shows beyond it, of days that the books take in, is
    missing among the pieces of that stage, or else of those after it. A row of the log without an order is shared over
    the lines that it fits, by their pieces at the stage; one that fits none is told by ``doubts``.
    """
    far = progress(pieces, schedule, job.settings)
    found = _at_the_close(far)
    for line, stage, finished, count in _at_the_opening(job):
        flow = found.setdefault(line, Flow())
        if finished:
            flow.finished += count
            flow.made -= count
        else:
            flow.opening[stage] = flow.opening.get(stage, 0) + count
        if line[0] is None:
            flow.closing, flow.made = dict(flow.opening), 0
    _expect_seconds(job, far, job_costs, found)
    _take_losses(job, far, schedule, found)
    return found


def _at_the_close(far: pl.DataFrame) -> dict[Goods, Flow]:
    """What stands after each stage: what has left it, less what has gone through the next."""
    found: dict[Goods, Flow] = {}
    beyond = pl.col("already_done") + pl.col("worked")
    last = pl.struct(LINE) != pl.struct(LINE).shift(-1)
    rows = far.select(
        *LINE,
        "stage",
        stands=pl.max_horizontal(pl.col("left") - beyond.shift(-1), 0),
        good="left",
        last=last.fill_null(True),
    ).filter((pl.col("stands") > 0) | pl.col("last"))
    for order, form, glaze, stage, stands, good, at_last in rows.iter_rows():
        flow = found.setdefault((order, form, glaze), Flow())
        if at_last:
            flow.made = good
        else:
            flow.closing[stage] = stands
    return found


def _at_the_opening(job: Job) -> Iterator[tuple[Goods, str, bool, int]]:
    """Pieces in progress by the line that takes them: line, last stage done, whether it is the last of all, pieces."""
    if job.in_progress.is_empty():
        return
    route = routes(job.forms, job.stages, job.form_minutes)
    last = dict(route.group_by("form").agg(pl.col("stage").last()).iter_rows())
    taken = share_in_progress(job.orders, job.forms, route, job.in_progress, job.settings.loss_cover)
    lines = job.orders.select(*LINE).rows()
    rows = job.in_progress.select("form", "glaze", "stage_done", "pieces").rows()
    left = [pieces for *_, pieces in rows]
    for take in taken:
        form, _, stage, _ = rows[take.standing]
        left[take.standing] -= take.pieces
        yield lines[take.line], stage, stage == last[form], take.pieces
    for (form, glaze, stage, _), count in zip(rows, left, strict=True):
        if count:
            yield (None, form, glaze), stage, stage == last[form], count


def _expect_seconds(job: Job, far: pl.DataFrame, job_costs: pl.DataFrame, found: dict[Goods, Flow]) -> None:
    """The seconds that ``job_costs`` expects, as far as the last stage that loses any is done."""
    expected = job_costs.filter(pl.col("seconds") > 0)
    if expected.is_empty():
        return
    done = (
        far.filter(pl.col("loss_pct") > 0)
        .unique(LINE, keep="last", maintain_order=True)
        .select(*LINE, "worked", "to_do")
        .join(expected.select(*LINE, "seconds", "seconds_value"), on=LINE, nulls_equal=True, maintain_order="left")
    )

    @cache
    def part(worked: int, to_do: int, seconds: float, value: Decimal | None) -> tuple[Fraction, Fraction, Decimal]:
        share = Fraction(worked, to_do) if to_do else Fraction(0)
        return Fraction(str(seconds)) * share, share, amount(Fraction(value or 0) * share, job.settings.minor_digits)

    for order, form, glaze, *row in done.iter_rows():
        flow = found[order, form, glaze]
        flow.seconds, flow.seconds_done, flow.seconds_value = part(*row)


def _take_losses(job: Job, far: pl.DataFrame, schedule: pl.DataFrame, found: dict[Goods, Flow]) -> None:
    """Abnormal losses and seconds of the work log, out of the pieces that stand or are made."""
    log = logged(job, schedule)
    if log.is_empty():
        return
    route = routes(job.forms, job.stages, job.form_minutes)
    ways = {form: steps for (form,), steps in route.group_by("form", maintain_order=True)}
    sold = {form: values for form, *values in job.forms.select("form", "seconds_pct", "second_price").iter_rows()}
    through: dict[tuple[str, str], list[tuple[Goods, int]]] = {}
    counted = far.select(*LINE, "stage", count=pl.col("already_done") + pl.col("worked"))
    for order, form, glaze, stage, count in counted.iter_rows():
        through.setdefault((form, stage), []).append(((order, form, glaze), count))
    for row in log.iter_rows(named=True):
        form, stage = row["form"], row["stage"]
        fits = {
            line: count
            for line, count in through.get((form, stage), [])
            if row["order"] in (None, line[0]) and row["glaze"] in (None, line[2])
        }
        if not any(fits.values()):
            fits = dict.fromkeys(fits, 1)
        steps = ways[form]
        step, loss = steps.filter(pl.col("stage") == stage).select("step", "loss_pct").row(0)
        normal = row["pieces_in"] * Fraction(str(loss)) / 100
        share, price = sold[form]
        usual = normal * Fraction(str(share)) / 100 if step == last_that_loses(steps) else Fraction(0)
        abnormal, more = row["pieces_in"] - row["pieces_out"] - normal, row["seconds"] - usual
        whole = sum(fits.values())
        for line, count in fits.items():
            part = Fraction(count, whole)
            flow = found[line]
            flow.lost[stage] = flow.lost.get(stage, Fraction(0)) + abnormal * part
            flow.more_seconds.append(more * part)
            flow.more_seconds_value += at_price(more * part, price, job.settings.minor_digits) or Decimal(0)
    for (_, form, _), flow in found.items():
        for stage, lost in flow.lost.items():
            way = ways[form]["stage"].to_list()
            _missing(flow, way[way.index(stage) :], floor(lost + Fraction(1, 2)))


def logged(job: Job, schedule: pl.DataFrame) -> pl.DataFrame:
    """The rows of the work log of days that the books take in, and those without a date."""
    day = pl.col("date")
    log = job.work_log.filter(day.is_null() | (day > opens(job.settings)))
    if job.settings.books_to is None or not cut_short(schedule, job.settings):
        return log
    return log.filter(day.is_null() | (day <= job.settings.books_to))


def _missing(flow: Flow, onward: list[str], pieces: int) -> None:
    """Takes whole pieces off those that stand at the first of the stages, then at those after it, then off the made."""
    for stage in onward:
        some = min(flow.closing.get(stage, 0), pieces) if pieces > 0 else 0
        if some:
            flow.closing[stage] -= some
            pieces -= some
    flow.made -= min(pieces, flow.made)
