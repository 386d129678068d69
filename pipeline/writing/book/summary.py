"""The first tab: the plan at a glance, what is late, and the cautions."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from datetime import date

import polars as pl

from pipeline.job import Job
from pipeline.writing.book.cells import ROW, Cells, Kind, Look, Plain, Print, Shown, Tab, live
from pipeline.writing.book.fit import LINE_HEIGHT, row_heights
from pipeline.writing.book.grid import NOTE, Grid, letter
from pipeline.writing.book.money import OVERHEAD_RATE, WANTED_RATE
from pipeline.writing.book.prices import TAX_RATE
from pipeline.writing.book.tables import Table, with_line

WIDEST = 34.0
"""Characters of a column in which texts run over several lines."""

WIDTHS = (34.0, 22.0, 18.0, 16.0, 13.0, 13.0, 11.0, WIDEST, WIDEST)

CAUTION_WIDTH = 84
"""Characters in a line of caution: where nothing is late the page ends with the third column, and cuts off the rest."""

LATE: dict[str, Kind] = {
    "order": "text",
    "line": "plain",
    "form": "text",
    "glaze": "text",
    "due": "day",
    "ready": "day",
    "days_late": "whole",
    "held_up_by": "wrap",
    "mended_by": "wrap",
}
"""What is said of a line that is late."""

RATES: tuple[tuple[str, str, Kind, str], ...] = (
    (OVERHEAD_RATE, "overhead for an hour of work", "price", "overhead"),
    (WANTED_RATE, "wanted for an hour of own time", "price", "prices"),
    (TAX_RATE, "tax on sales and purchases, %", "pct", "prices"),
)
"""The rates that are told: their names in the workbook, words, kinds and tabs."""

US_WEIGHTS = (
    "Weights are in pounds (lb) and ounces (oz), worked out from the kilograms and grams of the CSVs: 1 lb is "
    "0.45359237 kg. They are held exactly and shown rounded, so a column added up by hand may differ in the last place."
)
"""What a reader of a workbook in US units has to know of its figures."""

CAUTIONS = (
    "Silica dust harms the lungs: clean wet, never dry-sweep, and wear a fitted respirator when you mix dry glaze.",
    "A kiln gives off heat and fumes: ventilate the room, keep clear space around it, have its wiring done by a "
    "licensed electrician, and follow your local codes. Do not open it early because of a date.",
    "A firing may run on over nights and closed days: if your kiln must not burn unattended, load it on another day.",
    "A bag of clay is heavy: lift it with straight back or with help. Rest your hands and wrists between long runs.",
    "Whether a glaze is safe for food no plan can tell: have a laboratory test fired pieces for leaching.",
    "Tax and accounts: these figures are a help. An accountant decides what counts and how.",
)
"""The usual ones, where the work can hurt someone."""


def summary_tab(
    job: Job, results: Mapping[str, pl.DataFrame], tables: Mapping[str, Table], failed: tuple[str, int]
) -> Tab:
    """Figures read from the other tabs, the late lines, and the cautions.

    ``failed`` is how many checks do not come out, as a formula and its value.
    """
    grid = Grid("summary")
    start = job.settings.start
    grid.head(
        f"Plan from {start.day} {start:%B %Y}",
        "The plan at a glance. Every figure is read from the tab that is named beside it.",
        *([US_WEIGHTS] if job.settings.units == "us" else []),
    )
    heading = Look("text", "heading")
    grid.add(Plain("what", heading), Plain("figure", Look("number", "heading")), Plain("from the tab", heading))
    _figures(grid, job, results, tables)
    count, value = failed
    grid.add(Plain("checks that do not come out"), live(count, value, Look("whole", "figure")), Plain("checks"))
    rates = {
        OVERHEAD_RATE: results["overhead"]["rate"][0] if results["overhead"].height else None,
        WANTED_RATE: job.settings.wanted_hourly_rate,
        TAX_RATE: job.settings.tax_pct,
    }
    for name, words, kind, tab in RATES:
        label = Plain(words if kind == "pct" else f"{words}{_in_currency(job)}")
        grid.add(label, live(f'IF({name}="","",{name})', rates[name], Look(kind, "figure")), Plain(tab))
    _late(grid, results["promises"], job.orders, tables["promises"])
    grid.add()
    grid.add(Plain("Cautions", Look("text", "strong")))
    for caution in CAUTIONS:
        for line in textwrap.wrap(f"- {caution}", CAUTION_WIDTH, subsequent_indent="  ", break_on_hyphens=False):
            grid.add(Plain(line, NOTE))
    for at, width in enumerate(WIDTHS):
        grid.widen(at, width)
    return grid.tab(printed=Print(pages_down=1))


def _in_currency(job: Job) -> str:
    return f" {job.settings.currency}".rstrip()


def _figures(grid: Grid, job: Job, results: Mapping[str, pl.DataFrame], tables: Mapping[str, Table]) -> None:
    currency = _in_currency(job)
    late = results["promises"].filter(pl.col("days_late") > 0).height
    at = {name: table.place.cells for name, table in tables.items()}

    def figure(label: str, kind: Kind, formula: str, value: Shown | None, tab: str) -> None:
        grid.add(Plain(label), live(formula, value, Look(kind, "figure")), Plain(tab))

    def total(label: str, kind: Kind, table: str, column: str) -> None:
        found = tables[table].totals.get(column, 0)
        figure(label, kind, tables[table].total(column), found, tables[table].place.tab)

    def latest(label: str, table: str, column: str) -> None:
        cells = at[table](column)
        figure(
            label,
            "day",
            f'IF(COUNT({cells})=0,"",MAX({cells}))',
            _last(results[table][column]),
            tables[table].place.tab,
        )

    figure("order lines", "whole", f"COUNT({at['orders']('line')})", job.orders.height, "orders")
    total("good pieces wanted", "whole", "orders", "quantity")
    total("pieces still to start", "whole", "costs", "pieces_to_start")
    figure("lines that are late", "whole", f'COUNTIF({at["promises"]("days_late")},">0")', late, "promises")
    latest("last line ready on", "promises", "ready")
    latest("last day of work", "schedule", "date")
    total("bags of clay to buy", "whole", "clay to buy", "bags_to_buy")
    unit: Kind = "lb" if job.settings.units == "us" else "kg"
    total(f"clay to buy, {unit}", unit, "clay to buy", "bought_kg")
    total(f"cost of clay to buy{currency}", "amount", "clay to buy", "cost")
    total(f"cost of glaze materials and the like to buy{currency}", "amount", "materials to buy", "cost")
    total("hours of work", "hours", "hours", "worked")
    total("hours available on those days", "hours", "hours", "available")
    loads = results["kiln_loads"]["load"].n_unique()
    figure("kiln loads", "whole", f"COUNT({at['kiln loads']('load_on')})", loads, "kiln loads")
    for label, column in (
        ("materials", "materials"),
        ("firing", "firing"),
        ("paid labour", "paid_labour"),
        ("book cost, for the books", "book_cost"),
        ("owner's own unpaid time", "own_labour"),
        ("overhead", "overhead"),
        ("full cost, for pricing", "full_cost"),
        ("sales", "sales"),
        ("margin on the lines that show one", "margin"),
    ):
        total(f"{label}{currency}", "amount", "costs", column)
    doubts = results["problems"].filter(pl.col("severity") == "doubt").height
    figure("doubts about the sheets", "whole", f'COUNTIF({at["problems"]("severity")},"doubt")', doubts, "problems")


def _last(days: Iterable[date | None]) -> date | None:
    return max((day for day in days if day is not None), default=None)


def _late(grid: Grid, promises: pl.DataFrame, orders: pl.DataFrame, table: Table) -> None:
    """The late lines, or that there is none."""
    grid.add()
    lines = with_line(promises, orders).filter(pl.col("days_late") > 0)
    if lines.is_empty():
        grid.add(Plain("Nothing is late.", Look("text", "strong")))
        return
    grid.add(Plain("What is late", Look("text", "strong")))
    heading = grid.add(*(Plain(name.replace("_", " "), Look(kind, "heading")) for name, kind in LATE.items()))
    line = f"${letter(list(LATE).index('line'))}${ROW}"
    columns = {}
    for at, (name, kind) in enumerate(LATE.items()):
        found = table.place.look_up(name, "line", line)
        # A blank cell that is looked up would read 0, were it not made text.
        formula = f'{found}&""' if kind in ("text", "wrap") else found
        columns[at] = Cells(lines[name], Look(kind), "" if name == "line" else formula)
    wrapped = {name: WIDEST for name, kind in LATE.items() if kind == "wrap"}
    grid.heights |= row_heights(grid.next_row, lines, wrapped)
    grid.stack(lines.height, columns)
    grid.heights[heading] = LINE_HEIGHT + 2
