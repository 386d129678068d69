"""The tabs behind what the lines cost and earn: labour, firings, overhead, earnings."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.alike import once_each
from pipeline.books.entries import Days
from pipeline.money import amount
from pipeline.steps.overhead import months_between
from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.kiln import NEW_LOAD
from pipeline.writing.book.money import (
    ENERGY_PRICE,
    STAGE_NUMBER,
    WANTED_RATE,
    WHOSE,
    known,
    known_sum_of,
    unrounded_head,
)
from pipeline.writing.book.prices import Prices
from pipeline.writing.book.shares import Amount, Shares, unrounded_share
from pipeline.writing.book.tables import (
    BY_ROW,
    LINE,
    Head,
    Table,
    exact,
    formula_of,
    heads,
    placed,
    table_tab,
    with_line,
)
from schemas.fields import MONEY_DIGITS
from schemas.settings import Settings
from schemas.sheets_out.earnings import Earnings
from schemas.sheets_out.firing_costs import FiringCosts
from schemas.sheets_out.labour import Labour
from schemas.sheets_out.overhead import Overhead
from schemas.units import us_factor

WHICH_LOAD = 4
"""Columns that say which line in which load it is: the line, the load, its firing, its kiln. They stand on both pages,
for twenty-two columns on one would be too small to read."""


def labour_tab(
    labour: pl.DataFrame,
    orders: pl.DataFrame,
    prices: Prices,
    stage_numbers: pl.Series,
    by_then: pl.DataFrame | None,
    settings: Settings,
) -> tuple[Tab, Table]:
    """Who works how long for what; a changed rate moves the costs of every line.

    ``stage_numbers`` has the number of each row's form and stage on the tab of what a piece costs. ``by_then`` is the
    labour that is done when the books close, if that is before the plan ends.
    """
    grid = Grid("labour")
    grid.head(
        "Labour",
        "One row is a worker at a stage of an order line, at one rate; at a firing, in one load. Labour = minutes / "
        "60 x hourly rate, each row rounded. Paid labour is in the book cost; the owner's own time is not: it is in "
        "the full cost alone.",
    )
    at_rate = f'IF({{hourly_rate}}="","",ROUND({{minutes}}*{{hourly_rate}}/60,{settings.minor_digits}))'
    head = heads(
        Labour,
        settings,
        formulas={
            "hourly_rate": BY_ROW,
            "paid_labour": f'IF({{own_time}}="yes",0,{at_rate})',
            "own_labour": f'IF({{own_time}}="yes",{at_rate},0)',
        },
        totals=("minutes", "paid_labour", "own_labour"),
    )
    whose = pl.when("own_time").then(pl.lit("yes")).otherwise(pl.lit("no")).alias("own_time")

    def at_price(worker: str, own_time: bool, hourly_rate: Decimal | None) -> str:
        cell = prices.price("rate", worker, own_time, hourly_rate)
        return f'IF({cell}="","",{cell})'

    rates = once_each(labour.select("worker", "own_time", "hourly_rate"), at_price, pl.String)
    frame = with_line(exact(Labour, labour, settings).with_columns(whose), orders).with_columns(
        stage_numbers,
        rates.alias(formula_of("hourly_rate")),
    )
    head = [LINE, *head, STAGE_NUMBER]
    if by_then is not None:
        head += _closed_heads(settings)
        frame = frame.with_columns(_by_then(labour, by_then))
    return table_tab(grid, head, frame, settings, frozen=2)


def _closed_heads(settings: Settings) -> list[Head]:
    """What of the labour is done when the books close, before the plan ends: the costs put in read it."""
    money = f" {settings.currency}".rstrip()
    paid = (
        'IF(OR({own_time}="yes",{minutes_then}=0),0,'
        f'IF({{hourly_rate}}="","",ROUND({{minutes_then}}*{{hourly_rate}}/60,{settings.minor_digits})))'
    )
    return [
        Head("minutes_then", "minutes by the close", "number", "Those worked when the books close.", "", "SUM"),
        Head("paid_then", f"paid by the close{money}", "amount", "What these are paid.", paid, "SUM"),
    ]


def _by_then(labour: pl.DataFrame, by_then: pl.DataFrame) -> list[pl.Series]:
    keys = [name for name in labour.columns if name not in ("minutes", "paid_labour", "own_labour")]
    some = by_then.select(*keys, minutes_then="minutes", paid_then="paid_labour", there=pl.lit(True))
    joined = labour.join(some, on=keys, how="left", nulls_equal=True, maintain_order="left")
    gone = pl.col("there").is_null()
    nothing = pl.lit(0, joined.schema["paid_then"])
    done = joined.select(
        pl.col("minutes_then").fill_null(0.0), pl.when(gone).then(nothing).otherwise("paid_then").alias("paid_then")
    )
    return done.get_columns()


def firing_costs_tab(
    firing_costs: pl.DataFrame,
    orders: pl.DataFrame,
    labour: Table,
    prices: Prices,
    shares: Shares,
    stage_numbers: pl.Series,
    settings: Settings,
) -> tuple[Tab, Table, pl.DataFrame]:
    """What each line's part of each load costs. The frame is what the table holds.

    ``stage_numbers`` has the number of each row's form and firing on the tab of what a piece costs.
    """
    grid = Grid("firing costs")
    grid.head_beside(
        "What the firings cost",
        "One row is an order line in a load.",
        WHICH_LOAD,
        "Energy and wear of a load are shared by the room that each line's pieces take, so that the parts add up to "
        "the load. Cost = energy + wear, and is what the costs tab has as firing. Attendance is the time of loading "
        "and unloading; its labour stands on the labour tab, and is told here again.",
    )
    in_load = (("line", "{line}"), ("load", "{load}"))
    head = heads(
        FiringCosts,
        settings,
        formulas={
            "energy": BY_ROW,
            "wear": BY_ROW,
            "cost": known("{energy}", "{wear}"),
            "paid_labour": known_sum_of(labour, "paid_labour", *in_load),
            "own_labour": known_sum_of(labour, "own_labour", *in_load),
            "total": known("{cost}", "{paid_labour}", "{own_labour}"),
        },
        totals=("energy", "wear", "cost", "attendance_minutes", "paid_labour", "own_labour", "total"),
    )
    frame = with_line(exact(FiringCosts, firing_costs, settings), orders).with_columns(
        stage_numbers, load_number=pl.col("load").rle_id().cast(pl.Int64) + 1
    )
    extra = [Head("load_number", "load no.", "plain", "The load's number on the tab of shares."), STAGE_NUMBER]
    for name in ("energy", "wear"):
        frame = _shared_over_loads(frame, name, prices, shares, settings)
        extra.append(unrounded_head(settings, name))
    tab, table = table_tab(
        grid, [LINE, *head, *extra], frame, settings, frozen=2, paints=[NEW_LOAD], on_each_page=WHICH_LOAD
    )
    return tab, table, frame


def _shared_over_loads(
    frame: pl.DataFrame, name: str, prices: Prices, shares: Shares, settings: Settings
) -> pl.DataFrame:
    """The rows with their unrounded shares of the loads' energy or wear, and the formulas of the shares."""
    digits, unrounded = settings.minor_digits, f"{name}_unrounded"
    amounts = []
    of_load = frame.group_by("load_number", "load", "firing", "kiln", maintain_order=True).agg(
        pl.when(pl.col(name).null_count() == 0).then(pl.col(name).sum()).alias(name), pl.col("room_pct").sum().round(4)
    )
    for number, load, firing, kiln, value, _ in of_load.iter_rows():
        wear = prices.price("wear", firing, kiln)
        formula = f"ROUND(N({wear}),{digits})"
        if name == "energy":
            formula = f'IF({ENERGY_PRICE}="","",ROUND({prices.size("wear", firing, kiln)}*{ENERGY_PRICE},{digits}))'
        amounts.append(Amount(name, f"load {load}", number, formula, value))
    at = shares.add(amounts)
    totals = {number: (value, room) for number, _, _, _, value, room in of_load.iter_rows()}

    def share(number: int, room: float) -> float | None:
        value, all_room = totals[number]
        return unrounded_share(value, room, all_room, digits)

    formulas = {
        formula_of(unrounded): {number: shares.unrounded(row, "{room_pct}") for number, row in at.items()},
        formula_of(name): {number: shares.rounded(row, f"{{{unrounded}}}") for number, row in at.items()},
    }
    return frame.with_columns(
        once_each(frame.select("load_number", "room_pct"), share, pl.Float64).alias(unrounded),
        *(
            pl.Series(column, [own[number] for number in frame["load_number"]], dtype=pl.String)
            for column, own in formulas.items()
        ),
    )


def overhead_tab(
    overhead: pl.DataFrame, books: Days, costs: Table, hours: Table, prices: Prices, settings: Settings
) -> tuple[Tab, Table]:
    """The overhead of the plan's days, and what of it no piece bears; then that of the days of the ``books``."""
    grid = Grid("overhead")
    grid.head(
        "Overhead",
        "One row is the plan's days. Rate = overhead of a month / its normal hours, or the rate that the settings "
        "give; with more hours than are normal it is the overhead / those hours. Absorbed = the overhead of all lines"
        " on the costs tab. Unabsorbed = overhead - absorbed: an expense of those days, not a cost of pieces (IAS 2). "
        "The last columns are the days of the books and what these cost; what the costs put in have not absorbed of it "
        "by then is an entry of the journal.",
    )
    hourly, monthly = prices.price("overhead_per_hour"), prices.price("overhead_per_month")
    normal, digits = prices.size("overhead_per_month"), settings.minor_digits
    of_month = f"IF({{hours}}>{{months}}*{normal},{{overhead}}/{{hours}},{monthly}/{normal})"
    head = heads(
        Overhead,
        settings,
        formulas={
            "hours": f"ROUND({hours.total('hours')},4)",
            "normal_hours": f'IF(OR({monthly}="",N({normal})=0),"",ROUND({{months}}*{normal},4))',
            "overhead": f'IF({{normal_hours}}="","",ROUND({{months}}*{monthly},{digits}))',
            "rate": f'IF({{overhead}}="",IF({hourly}="","",{hourly}),ROUND({of_month},{MONEY_DIGITS}))',
            "absorbed": f'IF({{rate}}="","",{costs.total("overhead")})',
            "unabsorbed": 'IF(OR({overhead}="",{absorbed}=""),"",{overhead}-{absorbed})',
        },
    )
    months = Head("months", "months", "quantity", "The plan's days in months: each day is its part of its month.")
    frame = exact(Overhead, overhead, settings).with_columns(
        months=pl.Series(
            [float(months_between(*days)) for days in overhead.select("first_day", "last_day").iter_rows()],
            dtype=pl.Float64,
        )
    )
    monthly_cost = f'IF({{overhead}}="","",ROUND({{books_months}}*{monthly},{digits}))'
    money = f" {settings.currency}".rstrip()
    of_books = [
        Head("books_months", "months of the books", "quantity", "The days of the books in months."),
        Head("books_overhead", f"overhead of the books{money}", "amount", "What these days cost.", monthly_cost),
    ]
    days = Fraction(months_between(books.first, books.last))
    cost = pl.lit(None, pl.Decimal(38, MONEY_DIGITS))
    if settings.overhead_per_month is not None:
        cost = pl.lit(amount(days * Fraction(settings.overhead_per_month), digits), pl.Decimal(38, MONEY_DIGITS))
    frame = frame.with_columns(
        books_months=pl.lit(float(days)), books_overhead=pl.when(pl.col("overhead").is_not_null()).then(cost)
    )
    return table_tab(grid, [*placed(head, months, after="last_day"), *of_books], frame, settings)


def earnings_tab(
    earnings: pl.DataFrame, orders: pl.DataFrame, costs: Table, hours: Table, labour: Table, settings: Settings
) -> tuple[Tab, Table]:
    """What an hour of own time earns, and the price that a wanted rate needs, read from the costs tab."""
    digits = settings.minor_digits
    grid = Grid("earnings")
    grid.head_beside(
        "What the owner's own time earns",
        "One row is an order line.",
        WHOSE,
        "Left for own time = sales - book cost - overhead; earned an hour = that / own "
        "hours. Price needed = (book cost + overhead + own hours x the wanted rate on the tab of prices) / quantity. A "
        "kiln load is a full one, all firings together. A line with pieces in the studio already is blank: what they "
        "have cost so far is not known, so figures of what is still to come would mislead.",
    )

    def of_line(column: str) -> str:
        return costs.place.look_up(column, "line", "{line}")

    book, overhead, sales, price = (of_line(name) for name in ("book_cost", "overhead", "sales", "unit_price"))
    full, margin, begun = of_line("full_cost"), of_line("margin"), f"{of_line('already_begun')}>0"
    spent = f"SUM({book},{overhead})"
    unknown = f"AND({spent}=0,COUNT({book},{overhead})<2)"
    own_minutes = f"{labour.place.cells('minutes')},{labour.place.cells('line')},{{line}}"
    own = f'SUMIFS({own_minutes},{labour.place.cells("own_time")},"yes")'
    worked = f"SUMIFS({hours.place.cells('hours')},{hours.place.cells('line')},{{line}})"
    # A cost for each kilogram stays one in US units, too: the amount is rounded, and that for a pound would round anew.
    kilograms = "{clay_kg}" if settings.units == "metric" else f"({{clay_kg}}/{float(us_factor('kg'))!r})"
    head = heads(
        Earnings,
        settings,
        formulas={
            "quantity": of_line("quantity"),
            "hours": f"ROUND({worked},4)",
            "own_hours": f"ROUND({own}/60,4)",
            "unit_price": f'IF({price}="","",{price})',
            "left_for_own_time": f'IF(OR({begun},{sales}="",{unknown}),"",{sales}-{spent})',
            "earned_an_hour": f'IF({{left_for_own_time}}="","",IF({{own_hours}}=0,"",'
            f"ROUND({{left_for_own_time}}/{{own_hours}},{digits})))",
            "wanted_rate": f'IF({WANTED_RATE}="","",{WANTED_RATE})',
            "price_needed": f'IF(OR({begun},{{wanted_rate}}="",{unknown}),"",'
            f"ROUND(({spent}+{{own_hours}}*{{wanted_rate}})/{{quantity}},{digits}))",
            "full_cost_a_load": f'IF(OR({begun},{full}="",{{kiln_loads}}=0),"",ROUND({full}/{{kiln_loads}},{digits}))',
            "full_cost_a_kg": f'IF(OR({begun},{full}="",{{clay_kg}}=0),"",ROUND({full}/{kilograms},{digits}))',
            "margin_a_load": f'IF(OR({margin}="",{{kiln_loads}}=0),"",ROUND({margin}/{{kiln_loads}},{digits}))',
        },
        totals=("quantity", "hours", "own_hours", "left_for_own_time", "kiln_loads", "clay_kg"),
    )
    frame = with_line(exact(Earnings, earnings, settings), orders)
    return table_tab(grid, [LINE, *head], frame, settings, frozen=2, on_each_page=WHOSE)
