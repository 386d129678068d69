"""What the plan rests on without a sheet saying so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

import polars as pl

from pipeline.books.method import method
from pipeline.glazing import glazing_stage
from pipeline.in_progress import share_in_progress
from pipeline.job import Job
from pipeline.kiln_counts import kiln_counts
from pipeline.routes import routes
from schemas.accounts import PART_MADE
from schemas.settings import BOTH, BOUGHT, CHEAPEST, NONE, SOLD, THOROUGH
from schemas.sheet import shaped
from schemas.sheets_out.assumptions import Assumptions

if TYPE_CHECKING:
    from pipeline.spares import Run

Assumption = tuple[str, str, str]
"""What was taken, as what, and why."""


def assumptions(job: Job, pieces: pl.DataFrame) -> pl.DataFrame:
    """Every default and reading that a plan of the job rests on: those made in reading, then those of the steps."""
    rows = [
        *_search(job, pieces),
        *_loss_cover(job),
        *_spare_pieces(job),
        *_clay(job),
        *_glazing(job),
        *_materials(job),
        *_kiln_room(job),
        *_costs(job),
        *_money(job),
        *_books(job, pieces),
    ]
    own = pl.DataFrame(rows, schema=["what", "value", "why"], orient="row") if rows else None
    parts = [job.readings.select("what", "value", "why")] + ([own] if own is not None else [])
    return shaped(Assumptions, pl.concat(parts, how="vertical_relaxed"))


def _listed(names: list[str]) -> str:
    return ", ".join(dict.fromkeys(names))


def _ordered(job: Job) -> pl.DataFrame:
    """The forms that are ordered."""
    return job.forms.filter(pl.col("form").is_in(job.orders["form"].implode()))


def _search(job: Job, pieces: pl.DataFrame) -> Iterator[Assumption]:
    """Which schedule the thorough search took, and what it has proven of it."""
    if job.settings.search == THOROUGH:
        from pipeline.thorough import thorough  # brings the scheduler along, which few plans ask of

        found = thorough(job, pieces)
        yield "schedule of the thorough search", found.taken, found.why


def _loss_cover(job: Job) -> Iterator[Assumption]:
    if job.settings.loss_cover == CHEAPEST:
        yield from _cheapest(job)
    elif job.settings.loss_cover is not None:
        yield (
            "spares by chance",
            f"{job.settings.loss_cover * 100:g} times in a hundred enough come out",
            "every piece is taken to be lost by itself; a kiln load that fails as a whole is not in it",
        )


def _cheapest(job: Job) -> Iterator[Assumption]:
    """What the number of spares of each form rests on, from the least to the most of its lines."""
    from pipeline.cheapest import line_runs  # reads every room of the plan, and few plans need it

    digits = job.settings.minor_digits

    def span(values: Iterable[float]) -> str:
        known = list(values)
        least, most = f"{min(known):.{digits}f}", f"{max(known):.{digits}f}"
        return least if least == most else f"{least} to {most}"

    by_form: dict[str, list[Run]] = {}
    for form, run in zip(job.orders["form"], line_runs(job), strict=True):
        by_form.setdefault(form, []).append(run)
    for form, runs in by_form.items():
        if all(run.each <= 0 for run in runs):
            yield f"spares of {form}", "enough on average", "nothing is known of what a piece costs"
            continue
        missed = [run.missed for run in runs if run.missed is not None]
        lost = f", or a piece never made loses {span(missed)}" if missed else ""
        value = (
            f"a piece begun costs {span(run.each for run in runs)}, another run {span(run.again for run in runs)} more"
            f"{lost}; a spare is worth {span(run.spare for run in runs)}"
        )
        yield f"spares of {form} at the least cost", value, CHEAPEST_WHY


CHEAPEST_WHY = (
    "clay, glaze, work at its rates and room in the kiln; another run costs its set-ups again. Every piece is taken to "
    "be lost by itself, and what is still missing is made again or its income lost, whichever costs less"
)


def _spare_pieces(job: Job) -> Iterator[Assumption]:
    """Pieces in progress that no line wants."""
    route = routes(job.forms, job.stages, job.form_minutes)
    taken = share_in_progress(job.orders, job.forms, route, job.in_progress, job.settings.loss_cover)
    for place, row in enumerate(job.in_progress.iter_rows(named=True)):
        used = sum(take.pieces for take in taken if take.standing == place)
        if used < row["pieces"]:
            yield (
                f"{row['pieces'] - used} of the {row['pieces']} pieces of {row['form']} at {row['stage_done']}",
                "left where they are",
                f"no order needs them (in_progress row {row['row']})",
            )
    if not job.in_progress.is_empty():
        yield (
            "clay in the studio",
            "as counted without the pieces in progress",
            "their clay is taken to be used up: count clay_stock again before planning again",
        )
    if taken:
        yield (
            "costs of work in progress",
            "only what is still to come",
            "its clay and the hours already worked on it are not in hours, materials or costs, so its lines have no "
            "cost each, no margin and no earnings; piece_costs has what a piece costs from clay on",
        )


def _clay(job: Job) -> Iterator[Assumption]:
    waited_for = pl.concat([job.clay_stock.select("clay", "lead_days"), job.clay_prices.select("clay", "lead_days")])
    leads = waited_for.filter(pl.col("lead_days") > 0)["clay"].to_list()
    if leads:
        yield (
            "clay to be bought",
            f"in the studio lead_days after {job.settings.start.isoformat()} at the soonest",
            f"nothing that needs it is begun before ({_listed(leads)}); the dates hold if it is ordered by order_by",
        )
    if job.settings.reclaim_pct:
        yield (
            "reclaim",
            f"{job.settings.reclaim_pct:g} % of the trimmings, at no cost",
            "settings say so; the pieces it was trimmed from have paid for it",
        )


def _glazing(job: Job) -> Iterator[Assumption]:
    at = glazing_stage(routes(_ordered(job), job.stages, job.form_minutes))
    named = at.filter(pl.col("stage").str.to_lowercase() != "glaze").join(
        job.orders.filter(pl.col("glaze").is_not_null()), on="form", how="semi"
    )
    for stage, forms in named.group_by("stage", maintain_order=True).agg("form").iter_rows():
        yield (
            f"the stage at which {_listed(forms)} is glazed",
            stage,
            "no stage is called glaze, so it is the last by hand before the last firing",
        )
    bare = job.orders.filter(~pl.col("glaze").is_in(job.glazes["glaze"].implode())).join(
        job.forms.filter(pl.col("glaze_g") > 0), on="form", how="semi", maintain_order="left"
    )
    if not bare.is_empty():
        yield (
            f"cost of glaze {_listed(bare['glaze'].to_list())}",
            "0",
            "glazes have no recipe for it, so it has no price",
        )


def _materials(job: Job) -> Iterator[Assumption]:
    recipes = job.glazes.filter(pl.col("glaze").is_in(job.orders["glaze"].implode()))["material"]
    on_forms = job.form_materials.filter(pl.col("form").is_in(job.orders["form"].implode()))["material"]
    priced = job.materials.drop_nulls("pack_price")["material"]
    unpriced = [name for name in (*recipes, *on_forms) if name not in priced]
    if unpriced:
        yield f"price of {_listed(unpriced)}", "0", "materials do not say"
    mixed = job.glaze_buckets.filter(pl.col("in_bucket_ml") > 0)["glaze"].to_list()
    if mixed:
        yield (
            f"cost of what is in the bucket of {_listed(mixed)}",
            "the price of the oldest lot of each material",
            "what it cost when it was mixed is not known",
        )


def _kiln_room(job: Job) -> Iterator[Assumption]:
    """How many pieces fill a kiln, where the count was worked out."""
    counts = kiln_counts(job.forms, job.firings, job.kilns, job.kiln_fit)
    route = routes(_ordered(job), job.stages, job.form_minutes)
    fired = route.filter(pl.col("firing").is_not_null()).select("form", "firing").unique(maintain_order=True)
    for form, firing in fired.iter_rows():
        for (name, kiln, of), count in counts.items():
            if (name, of) == (firing, form):
                yield (
                    f"{form}: pieces that fill {kiln} at {firing}",
                    str(count.pieces),
                    count.how if count.known else f"{count.how}; kiln_fit takes your own count",
                )


def _costs(job: Job) -> Iterator[Assumption]:
    """What is not known of costs, and left blank."""
    ordered = _ordered(job)
    unpriced = ordered.filter(pl.col("seconds_pct") > 0, pl.col("second_price").is_null())["form"].to_list()
    if unpriced:
        yield (
            f"seconds of {_listed(unpriced)}",
            "of no value",
            "forms have no second_price, so nothing comes off the cost of the good pieces",
        )
    month, hours = job.settings.overhead_per_month, job.settings.normal_hours_per_month
    if month is not None and hours:
        yield (
            "overhead of an hour",
            "overhead_per_month / normal_hours_per_month",
            "a month in which the plan begins or ends counts by its days; what is not absorbed is an expense of the "
            "time (IAS 2), and other work of the same days is not in it",
        )
    elif month is not None or hours is not None:
        yield (
            "overhead of a month",
            "left out",
            "settings must give overhead_per_month and normal_hours_per_month, both above 0",
        )
    if not job.work_log.is_empty():
        yield (
            "losses of the work log",
            "told in losses, and left out of the plan",
            "normal is what stages and form_minutes say; the costs are those of this plan. What is lost beyond it on "
            "days that the books take in is an expense in them. Change loss_pct if it is something else as a rule",
        )


TAX_IN = {
    NONE: "comes on top of every price of the sheets",
    SOLD: "taken out of the prices of sales, comes on top of those of purchases",
    BOUGHT: "comes on top of the prices of sales, taken out of those of purchases",
    BOTH: "taken out of the prices of sales and of purchases",
}
"""What is done with the tax, by ``prices_with_tax``."""


def _money(job: Job) -> Iterator[Assumption]:
    unpriced = job.orders.filter(pl.col("unit_price").is_null())
    if not unpriced.is_empty():
        yield (
            "sales without a price",
            "left blank",
            f"no unit_price in orders {_listed(unpriced['order'].to_list())}",
        )
    if job.settings.tax_pct:
        yield (
            f"tax of {job.settings.tax_pct:g} %",
            TAX_IN[job.settings.prices_with_tax],
            "by prices_with_tax in settings; costs and margins are without it",
        )
    yield (
        "book cost",
        "materials, firing, paid labour, less what seconds fetch",
        "own time and overhead are in the full cost alone; an accountant decides what goes into the books",
    )


def _books(job: Job, pieces: pl.DataFrame) -> Iterator[Assumption]:
    """How the books value stock, and what they cannot know of it."""
    yield (
        "the books",
        method(job.settings),
        "settings stock_value and stock_overhead; an accountant decides whether it is the right one (IAS 2)",
    )
    yield (
        "lines delivered",
        "all of a line on the day it is ready",
        "its deposit and its cost stay in the books until then, and for good where it has no unit_price and so is made "
        "for stock; spares are of no value until somebody buys them",
    )
    if job.in_progress.is_empty():
        return
    carried = set(job.opening_balances.filter(pl.col("what") == PART_MADE).select("item", "stage").iter_rows())
    stood = job.in_progress.select("form", "stage_done").unique(maintain_order=True).rows()
    new = [at for at in stood if at not in carried]
    if not new:
        return
    begun = dict(_first_seen(pieces).iter_rows())
    unknown = [f"{form} after {stage}" for form, stage in new if not begun.get(form)]
    known = [f"{form} after {stage}" for form, stage in new if begun.get(form)]
    why = "opening_balances do not have them: save the last period's closing_balances under that name"
    if known:
        yield f"what is in {_listed(known)} when the books open", "what the plan's own pieces cost up to there", why
    if unknown:
        yield (
            f"what is in {_listed(unknown)} when the books open",
            "not known, so counted as nought",
            f"no piece of this plan goes all that way, and {why}",
        )


def _first_seen(pieces: pl.DataFrame) -> pl.DataFrame:
    """For each form, how many pieces of the plan are still to begin."""
    first = pieces.filter(pl.col("step") == pl.col("step").min().over("form"))
    return first.group_by("form").agg((pl.col("pieces_in") - pl.col("already_done")).sum())
