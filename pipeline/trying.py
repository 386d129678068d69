"""An order that is only thought of, tried against the present load: when would it be ready, and what would it move?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import polars as pl

from pipeline.cheapest import with_covers
from pipeline.in_progress import left_over, share_in_progress
from pipeline.job import Job
from pipeline.lines import LINE
from pipeline.plan import Outcome, work_out
from pipeline.reading.spelling import alike
from pipeline.routes import routes
from pipeline.steps.promises import promised, with_reasons
from schemas.answers.tried import AFTER, BY_DUE, Tried
from schemas.problem import closest, problems_sheet
from schemas.settings import CHEAPEST
from schemas.sheet import blank, shaped

NAME = "tried"
"""The order's name, unless an order has it."""


@dataclass(frozen=True)
class Candidate:
    """The line tried: so many good pieces of a form of the job, its glaze, and the date by which they are wanted."""

    form: str
    quantity: int
    glaze: str | None = None
    due: date | None = None


class UnknownForm(Exception):  # noqa: N818 - named as the sentence it carries reads
    """The form tried is none of the job's; the message says which it may be."""


@dataclass(frozen=True)
class Trial:
    """What came of it: the sheet ``try``, or the ``problems`` that stand in the way of a plan, with it or without."""

    answer: pl.DataFrame
    problems: pl.DataFrame

    @property
    def stopped(self) -> bool:
        """Whether something stands in the way of a plan."""
        return not self.problems.is_empty()

    @property
    def late(self) -> bool:
        """Whether the order would be late, or make another line later that is late then."""
        return not self.answer.filter(pl.col("days_late") > 0).is_empty()


def candidate(job: Job, form: str, quantity: int, glaze: str | None = None, due: date | None = None) -> Candidate:
    """The line tried, its names spelled as in the job, whatever their capitals and inner spaces.

    Raises ``UnknownForm`` if the job has no such form. A glaze may be a new one, as in the order sheet.
    """
    forms = job.forms["form"].to_list()
    known = _known_as(form, forms)
    if known is None:
        near = closest(form, forms)
        raise UnknownForm(f"there is no form `{form}`; " + (f"did you mean `{near}`?" if near else _listed(forms)))
    if glaze is not None:
        glazes = [*job.glazes["glaze"], *job.orders["glaze"].drop_nulls()]
        glaze = _known_as(glaze, glazes) or glaze
    return Candidate(known, quantity, glaze, due)


def _known_as(word: str, names: Sequence[str]) -> str | None:
    return next((name for name in names if alike(name) == alike(word)), None)


def _listed(names: Sequence[str]) -> str:
    return f"there are {', '.join(f'`{name}`' for name in names)}"


def tried(job: Job, candidate: Candidate) -> Trial:
    """Plan a job with one line more: after all the others, and by its due date if it has one.

    After the others it has no due date, and no line with one may be ready later for it. If one were, because a kiln
    load waits for the new pieces, say, each is held to the day on which it is ready now; and if that does not help, the
    new line is made by itself once the present plan is done, which moves nothing. By its due date it takes its turn as
    a line of the order sheet would, and the lines that it moves are told.
    """
    now = work_out(("schedule",), job, problems_sheet(()))
    if now.stopped:
        return Trial(blank(Tried), now.problems)
    ready = promised(job, now.results["schedule"])
    ways = [(AFTER, _after(job, candidate, ready))]
    if candidate.due is not None:
        ways.append((BY_DUE, _planned(_with(job, candidate, candidate.due), ready)))
    answers = []
    for way, plan in ways:
        if plan.outcome.stopped:
            return Trial(blank(Tried), plan.outcome.problems)
        place = plan.ready.height - 1
        line = with_reasons(plan.job, plan.outcome.results["pieces"], plan.ready, [place])[place]
        answers.append(pl.concat([line, plan.moved], how="diagonal").with_columns(way=pl.lit(way)))
    return Trial(shaped(Tried, pl.concat(answers, how="diagonal")), problems_sheet(()))


@dataclass(frozen=True)
class _Planned:
    """A plan with the line: its job, when its lines are ready, the one tried last, and those of them that are ready
    later in it than now.
    """

    job: Job
    outcome: Outcome
    ready: pl.DataFrame
    moved: pl.DataFrame

    @property
    def moves_dated(self) -> bool:
        """Whether it makes a line with a due date ready later."""
        return not self.moved.drop_nulls("due").is_empty()


def _planned(job: Job, now: pl.DataFrame) -> _Planned:
    outcome = work_out(("schedule",), job, problems_sheet(()))
    if outcome.stopped:
        return _Planned(job, outcome, now.clear(), now.clear())
    then = promised(job, outcome.results["schedule"])
    before = now.select(*LINE, ready_now="ready")
    both = then.join(before, on=LINE, how="inner", nulls_equal=True, validate="1:1", maintain_order="left")
    days = (pl.col("ready") - pl.col("ready_now")).dt.total_days()
    return _Planned(job, outcome, then, both.with_columns(days_later=days).filter(pl.col("days_later") > 0))


def _after(job: Job, candidate: Candidate, now: pl.DataFrame) -> _Planned:
    """The first way that moves no line with a due date; the last one moves none at all."""
    together = _planned(_with(job, candidate, None), now)
    if together.outcome.stopped or not together.moves_dated:
        return together
    held = _planned(_with(_held(job, now), candidate, None), now)
    if not held.outcome.stopped and not held.moves_dated:
        return held
    return _planned(_alone(job, candidate, now), now)


def _held(job: Job, now: pl.DataFrame) -> Job:
    """The job with each due date brought forward to the day on which its line is ready now: later is late."""
    ready = job.orders.select(*LINE).join(now.select(*LINE, "ready"), on=LINE, how="left", nulls_equal=True,
                                          validate="1:1", maintain_order="left")["ready"]  # fmt: skip
    due = pl.when(pl.col("due").is_not_null()).then(ready).cast(pl.Date)
    return replace(job, orders=job.orders.with_columns(due=due))


def _name(job: Job) -> str:
    name = NAME
    while name in job.orders["order"]:
        name += "?"
    return name


def _with(job: Job, candidate: Candidate, due: date | None) -> Job:
    """The job with the line at the end of its order sheet."""
    line = {
        "order": _name(job),
        "form": candidate.form,
        "glaze": candidate.glaze,
        "quantity": candidate.quantity,
        "due": due,
        "deposit": 0,
    }
    more = replace(job, orders=pl.concat([job.orders, pl.DataFrame([line], schema=job.orders.schema)]))
    return with_covers(more) if job.settings.loss_cover == CHEAPEST else more


def _alone(job: Job, candidate: Candidate, now: pl.DataFrame) -> Job:
    """The line by itself from the day after the present plan on, its clay all to be bought on the plan's first day.

    Of what is in progress, what no line takes now stands there still.
    """
    last = now["ready"].max()
    start = (last if isinstance(last, date) else job.settings.start) + timedelta(days=1)
    passed = (start - job.settings.start).days
    stock = job.clay_stock.with_columns(
        bags=pl.lit(0, dtype=pl.Int64), loose_kg=0.0, keep_kg=0.0,
        lead_days=(pl.col("lead_days") - passed).clip(lower_bound=0),
    )  # fmt: skip
    route = routes(job.forms, job.stages, job.form_minutes)
    taken = share_in_progress(job.orders, job.forms, route, job.in_progress, job.settings.loss_cover)
    left = job.in_progress.with_columns(pieces=pl.Series(left_over(taken, job.in_progress), dtype=pl.Int64))
    prices = job.clay_prices.with_columns(lead_days=(pl.col("lead_days") - passed).clip(lower_bound=0))
    bare = replace(
        job,
        orders=job.orders.clear(),
        in_progress=left.filter(pl.col("pieces") > 0),
        clay_stock=stock,
        clay_prices=prices,
    )
    return _with(replace(bare, settings=replace(job.settings, start=start)), candidate, None)
