"""The tabs of what a piece has cost by stage, and of what was lost."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal

import polars as pl

from pipeline.alike import once_each
from pipeline.books.content import contents
from pipeline.job import Job
from pipeline.routes import routes
from pipeline.steps.piece_costs import last_that_loses
from pipeline.taken_at import stage_taken
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.content import content_heads, with_content
from pipeline.writing.book.grid import Grid, letter
from pipeline.writing.book.money import OVERHEAD_RATE, known_sum_of
from pipeline.writing.book.prices import Prices
from pipeline.writing.book.tables import BY_ROW, Head, Table, exact, formula_of, heads, placed, table_tab
from schemas.fields import MONEY_DIGITS
from schemas.sheets_out.losses import Losses
from schemas.sheets_out.piece_costs import PieceCosts

NUMBER = Head("number", "no.", "plain", "The number by which materials, labour, hours and firings find the row.")

WHAT = 4
"""Columns that say which form and stage it is, on each page."""

NEW_FORM = ("{form}<>{form_above}", "new day")
"""A line above the first row of each form."""


def stage_numbers(job: Job, results: Mapping[str, pl.DataFrame]) -> dict[str, pl.Series]:
    """By sheet the number of each row's form and stage on the tab of what a piece costs, counted from 1.

    A firing that a form meets twice is counted at the first.
    """
    rows = {key: row for row, key in enumerate(results["piece_costs"].select("form", "stage").iter_rows(), 1)}
    route = routes(job.forms, job.stages, job.form_minutes)
    fired: dict[tuple[str, str], str] = {}
    for form, firing, stage in route.select("form", "firing", "stage").iter_rows():
        fired.setdefault((form, firing), stage)

    stage_of = stage_taken(job.clay_stock, job.form_materials, route)

    def numbered(sheet: str, column: str, stage: Callable[[str, str], str | None]) -> pl.Series:
        found = results[sheet].select("form", column)
        return once_each(found, lambda form, cell: rows.get((form, stage(form, cell))), pl.Int64).alias("stage_number")

    return {
        "costs_put_in": numbered("costs_put_in", "item", lambda _, item: item),
        "materials_cost": numbered("materials_cost", "material", stage_of),
        "firing_costs": numbered("firing_costs", "firing", lambda form, firing: fired.get((form, firing))),
        "labour": numbered("labour", "stage", lambda _, stage: stage),
        "stage_hours": numbered("stage_hours", "stage", lambda _, stage: stage),
    }


def last_stages(piece_costs: pl.DataFrame) -> dict[str, int]:
    """By form the number of its last stage on the tab of what a piece costs."""
    return {form: at for at, form in enumerate(piece_costs["form"], 1)}


def piece_costs_tab(
    piece_costs: pl.DataFrame,
    job: Job,
    results: Mapping[str, pl.DataFrame],
    numbers: Mapping[str, pl.Series],
    tables: Mapping[str, Table],
    prices: Prices,
) -> tuple[Tab, Table]:
    """What a piece of each form has cost by the time it leaves each stage.

    ``numbers`` are ``stage_numbers``; ``tables`` has the tables materials, labour, stage hours and firing costs.
    """
    settings = job.settings
    grid = Grid("piece costs")
    grid.head_beside(
        "What a piece has cost by stage",
        "One row is a form at a stage.",
        WHAT,
        "What the stage costs in this plan is spread over the pieces that go through "
        "it. Cost each = (cost of one that enters + what the stage adds - what the seconds fetch) / the share that is"
        " not lost, so the good pieces bear the normal loss. Book cost has no own time and no overhead; full cost has"
        " both.",
    )
    own = ("stage_number", "{number}")
    spent = {
        "materials": (f"SUMIFS({_of(tables, 'materials', 'cost')},{_of(tables, 'materials', own[0])},{own[1]})"),
        "firing": BY_ROW,
        "paid_labour": known_sum_of(tables["labour"], "paid_labour", own),
        "own_labour": known_sum_of(tables["labour"], "own_labour", own),
    }
    each = {name: _each(f"{{{name}_spent}}", "{pieces}") for name in ("materials", "paid_labour", "own_labour")}
    head = heads(
        PieceCosts,
        settings,
        formulas=each
        | {
            "firing": _each("{firing_spent}", "{fired}"),
            "overhead": _each(f"({{hours}}*{OVERHEAD_RATE})", "{pieces}", f'{OVERHEAD_RATE}=""'),
            "seconds_value": BY_ROW,
            "book_cost_each": _rounded("book_unrounded"),
            "full_cost_each": _rounded("full_unrounded"),
        },
    )
    money = f" {settings.currency}".rstrip()
    for name, formula in spent.items():
        note = "What the stage costs in this plan, all pieces together."
        total = Head(f"{name}_spent", f"{name.replace('_', ' ')}, all{money}", "amount", note, formula, "SUM")
        head = placed(head, total, after="pieces")
    hours = f"ROUND(SUMIFS({_of(tables, 'stage hours', 'hours')},{_of(tables, 'stage hours', own[0])},{own[1]}),4)"
    head = placed(head, Head("fired", "fired", "whole", "Pieces over which the firing is spread.", BY_ROW), "pieces")
    head = placed(head, Head("hours", "hours", "hours", "Hours of the stage in this plan.", hours, "SUM"), "pieces")
    for name, words in (("book_unrounded", "book cost"), ("full_unrounded", "full cost")):
        note = "Cost each before it is rounded; the next stage goes on from it."
        head.append(Head(name, f"{words} unrounded{money}", "price", note, BY_ROW))
    head = [NUMBER, *head, *content_heads(settings)]
    inside = contents(piece_costs, settings)
    letters = {column.name: letter(at) for at, column in enumerate(head)}
    frame = _with_sums(exact(PieceCosts, piece_costs, settings), job, results, numbers)
    rate = results["overhead"]["rate"][0] if results["overhead"].height else None
    return table_tab(
        grid,
        head,
        with_content(
            _with_formulas(frame, job, tables["firing costs"], prices).with_columns(_unrounded(frame, job, rate)),
            inside,
            grid.next_row + 2,
            letters,
            settings,
        ),
        settings,
        frozen=WHAT,
        paints=[NEW_FORM],
        on_each_page=WHAT,
    )


def _of(tables: Mapping[str, Table], tab: str, column: str) -> str:
    return tables[tab].place.cells(column)


def _each(spent: str, pieces: str, unknown: str = "") -> str:
    """What is spent on a piece, rounded; blank where none goes through the stage or it is not known."""
    blank = unknown or f'{spent}=""'
    return f'IF(OR({pieces}=0,{blank}),"",ROUND({spent}/{pieces},{MONEY_DIGITS}))'


def _rounded(name: str) -> str:
    return f'IF({{{name}}}="","",ROUND({{{name}}},{MONEY_DIGITS}))'


def _with_sums(
    frame: pl.DataFrame, job: Job, results: Mapping[str, pl.DataFrame], numbers: Mapping[str, pl.Series]
) -> pl.DataFrame:
    """The rows with their numbers, and what their stage costs in all."""
    frame = frame.with_columns(number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64))

    def sums(sheet: str, column: str, name: str) -> pl.DataFrame:
        total = pl.col(column).sum()
        known = pl.when((total != 0) | (pl.col(column).null_count() == 0)).then(total)
        given = results[sheet].select(column).with_columns(number=numbers[sheet])
        return given.group_by("number").agg(known.alias(name), there=pl.lit(True)).drop_nulls("number")

    for sheet, column, name in (
        ("materials_cost", "cost", "materials_spent"),
        ("labour", "paid_labour", "paid_labour_spent"),
        ("labour", "own_labour", "own_labour_spent"),
        ("stage_hours", "hours", "hours"),
    ):
        joined = frame.join(sums(sheet, column, name), on="number", how="left", maintain_order="left")
        none = pl.lit(0.0 if name == "hours" else 0, joined.schema[name])
        frame = joined.with_columns(pl.when(pl.col("there").is_null()).then(none).otherwise(name).alias(name))
        frame = frame.drop("there")
    return _with_firings(frame, job, results["firing_costs"]).with_columns(pl.col("hours").round(4))


def _with_firings(frame: pl.DataFrame, job: Job, firing_costs: pl.DataFrame) -> pl.DataFrame:
    """The rows with what is fired at the stage and what that costs, and ``fired_as``, the number that firings find."""
    route = routes(job.forms, job.stages, job.form_minutes).select("form", "stage", name="firing")
    cost = pl.col("cost").sum()
    fired = firing_costs.group_by("form", name="firing").agg(
        fired=pl.col("pieces").sum(),
        firing_spent=pl.when((cost != 0) | (pl.col("cost").null_count() == 0)).then(cost),
    )
    joined = frame.join(route, on=["form", "stage"], how="left", maintain_order="left")
    joined = joined.join(fired, on=["form", "name"], how="left", maintain_order="left")
    nothing = pl.col("fired").is_null()
    return joined.with_columns(
        firing_spent=pl.when(nothing).then(pl.lit(0, pl.Decimal(38, 6))).otherwise("firing_spent"),
        fired=pl.when(nothing).then("pieces").otherwise("fired"),
        fired_as=pl.when(pl.col("name").is_not_null()).then(pl.col("number").first().over("form", "name")),
    )


def _with_formulas(frame: pl.DataFrame, job: Job, fired: Table, prices: Prices) -> pl.DataFrame:
    """The rows with the formulas that differ from row to row, and the costs before they are rounded."""
    last = _last_losses(job)
    rows: list[tuple[str, ...]] = []
    above: str | None = None
    for form, step, number in frame.select("form", "step", "fired_as").iter_rows():
        of_load = f"{fired.place.cells('stage_number')},{number}"
        pieces = f"SUMIFS({fired.place.cells('pieces')},{of_load})"
        fetched = ""
        if step == last.get(form):
            price, share = prices.price("second_price", form), prices.size("second_price", form)
            fetched = f"{{loss_pct}}/100*{share}/100*N({price})"
        entered = ("N({book_unrounded_above})", "N({full_unrounded_above})") if form == above else ("0", "0")
        known = 'OR({pieces}=0,{book_unrounded_above}="")' if form == above else "{pieces}=0"
        above = form
        less = f"-{fetched}" if fetched else ""
        per = "N({materials_spent})/{pieces}+N({paid_labour_spent})/{pieces}+N({firing_spent})/{fired}" + less
        more = f"+N({{own_labour_spent}})/{{pieces}}+{{hours}}*N({OVERHEAD_RATE})/{{pieces}}"
        good = "(1-{loss_pct}/100)"
        rows.append(
            (
                known_sum_of(fired, "cost", ("stage_number", str(number))) if number else "",
                f"IF({pieces}=0,{{pieces}},{pieces})" if number else "{pieces}",
                f"ROUND({fetched},{MONEY_DIGITS})" if fetched else "",
                f'IF({known},"",({entered[0]}+{per})/{good})',
                f'IF({known},"",({entered[1]}+{per}{more})/{good})',
            )
        )
    names = ("firing_spent", "fired", "seconds_value", "book_unrounded", "full_unrounded")
    formulas = pl.DataFrame(rows, schema={formula_of(name): pl.String for name in names}, orient="row")
    return pl.concat([frame, formulas], how="horizontal")


def _last_losses(job: Job) -> dict[str, int | None]:
    """By form the step of the last stage that loses any."""
    route = routes(job.forms, job.stages, job.form_minutes)
    return {str(form): last_that_loses(steps) for (form,), steps in route.group_by("form", maintain_order=True)}


def _unrounded(frame: pl.DataFrame, job: Job, rate: Decimal | None) -> list[pl.Series]:
    """What the formulas of the costs before rounding come to."""
    last = _last_losses(job)
    sold = {form: values for form, *values in job.forms.select("form", "seconds_pct", "second_price").iter_rows()}
    book: list[float | None] = []
    full: list[float | None] = []
    before: str | None = None
    for row in frame.iter_rows(named=True):
        entered = (book[-1], full[-1]) if row["form"] == before else (0.0, 0.0)
        before = row["form"]
        if not row["pieces"] or entered[0] is None or entered[1] is None:
            book.append(None)
            full.append(None)
            continue
        share, price = sold.get(row["form"], (0, None))
        fetched = row["loss_pct"] / 100 * share / 100 * float(price or 0) if row["step"] == last.get(row["form"]) else 0
        count, good = row["pieces"], 1 - row["loss_pct"] / 100
        spent = float((row["materials_spent"] or 0) + (row["paid_labour_spent"] or 0)) / count
        spent += float(row["firing_spent"] or 0) / row["fired"] - fetched
        more = (float(row["own_labour_spent"] or 0) + row["hours"] * float(rate or 0)) / count
        book.append((entered[0] + spent) / good)
        full.append((entered[1] + spent + more) / good)
    return [
        pl.Series("book_unrounded", book, dtype=pl.Float64),
        pl.Series("full_unrounded", full, dtype=pl.Float64),
    ]


def losses_tab(
    losses: pl.DataFrame, job: Job, pieces: Table, results: Mapping[str, pl.DataFrame], prices: Prices
) -> tuple[Tab, Table]:
    """What the work log shows lost, and what of it is no cost of pieces; ``pieces`` is what a piece costs."""
    settings = job.settings
    grid = Grid("losses")
    grid.head(
        "Losses",
        "One row is a form at a stage, by the work log. Abnormal loss = pieces in - pieces out - normal loss, at the "
        "cost of a good piece that leaves the stage: an expense, not a cost of pieces (IAS 2). Net loss = abnormal "
        "cost - what the seconds beyond the normal ones fetch.",
    )
    digits = settings.minor_digits
    cost = f"ROUND({{abnormal_loss}}*{{cost_each}},{digits})"
    head = heads(
        Losses,
        settings,
        formulas={
            "lost": "{pieces_in}-{pieces_out}-{seconds}",
            "abnormal_loss": "{pieces_in}-{pieces_out}-{normal_loss}",
            "cost_each": BY_ROW,
            "abnormal_cost": f'IF({{cost_each}}="","",{cost})',
            "seconds_value": BY_ROW,
            "abnormal_seconds": BY_ROW,
            "net_loss": 'IF({abnormal_cost}="","",{abnormal_cost}-SUM({abnormal_seconds}))',
        },
        totals=("pieces_in", "pieces_out", "seconds", "lost", "abnormal_cost", "seconds_value", "net_loss"),
    )
    route = routes(job.forms, job.stages, job.form_minutes)
    steps = {(form, stage): step for form, stage, step in route.select("form", "stage", "step").iter_rows()}
    last = _last_losses(job)
    known = results["piece_costs"].select("form", "stage").iter_rows()
    at = {key: row for row, key in enumerate(known, pieces.place.first)}
    rows = []
    for form, stage in losses.select("form", "stage").iter_rows():
        row = at.get((form, stage))
        each = "" if row is None else f"'{pieces.place.tab}'!${pieces.place.letters['book_cost_each']}${row}"
        price, share = prices.price("second_price", form), prices.size("second_price", form)
        usual = f"-{{normal_loss}}*{share}/100" if last.get(form) == steps.get((form, stage), 0) else ""

        def sold(seconds: str, price: str = price) -> str:
            return f'IF({price}="",IF({seconds}=0,0,""),ROUND(({seconds})*{price},{digits}))'

        rows.append((f'IF({each}="","",{each})' if each else "", sold("{seconds}"), sold(f"{{seconds}}{usual}")))
    names = ("cost_each", "seconds_value", "abnormal_seconds")
    formulas = pl.DataFrame(rows, schema={formula_of(name): pl.String for name in names}, orient="row")
    frame = pl.concat([exact(Losses, losses, settings), formulas], how="horizontal")
    return table_tab(grid, head, frame, settings)
