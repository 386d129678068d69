"""The tabs behind what the lines cost: labour, firings, overhead, earnings, a piece by stage, losses."""

from __future__ import annotations

import polars as pl

from pipeline.writing.book.cells import Tab
from pipeline.writing.book.grid import Grid
from pipeline.writing.book.kiln import NEW_LOAD
from pipeline.writing.book.money import OVERHEAD_RATE, WANTED_RATE, WHOSE, known, known_sum_of
from pipeline.writing.book.tables import LINE, Table, exact, heads, table_tab, with_line
from schemas.settings import Settings
from schemas.sheets_out.earnings import Earnings
from schemas.sheets_out.firing_costs import FiringCosts
from schemas.sheets_out.labour import Labour
from schemas.sheets_out.losses import Losses
from schemas.sheets_out.overhead import Overhead
from schemas.sheets_out.piece_costs import PieceCosts
from schemas.units import us_factor


def labour_tab(labour: pl.DataFrame, orders: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """Who works how long for what; a changed rate moves the costs of every line."""
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
            "paid_labour": f'IF({{own_time}}="yes",0,{at_rate})',
            "own_labour": f'IF({{own_time}}="yes",{at_rate},0)',
        },
        totals=("minutes", "paid_labour", "own_labour"),
    )
    whose = pl.when("own_time").then(pl.lit("yes")).otherwise(pl.lit("no")).alias("own_time")
    frame = with_line(exact(Labour, labour, settings).with_columns(whose), orders)
    return table_tab(grid, [LINE, *head], frame, settings, frozen=2)


def firing_costs_tab(
    firing_costs: pl.DataFrame, orders: pl.DataFrame, labour: Table, settings: Settings
) -> tuple[Tab, Table]:
    """What each line's part of each load costs."""
    grid = Grid("firing costs")
    grid.head(
        "What the firings cost",
        "One row is an order line in a load. Energy and wear of a load are shared by the room that each line's pieces"
        " take, so that the parts add up to the load. Cost = energy + wear, and is what the costs tab has as firing. "
        "Attendance is the time of loading and unloading; its labour stands on the labour tab, and is told here "
        "again.",
    )
    in_load = (("line", "{line}"), ("load", "{load}"))
    head = heads(
        FiringCosts,
        settings,
        formulas={
            "cost": known("{energy}", "{wear}"),
            "paid_labour": known_sum_of(labour, "paid_labour", *in_load),
            "own_labour": known_sum_of(labour, "own_labour", *in_load),
            "total": known("{cost}", "{paid_labour}", "{own_labour}"),
        },
        totals=("energy", "wear", "cost", "attendance_minutes", "paid_labour", "own_labour", "total"),
    )
    frame = with_line(exact(FiringCosts, firing_costs, settings), orders)
    return table_tab(grid, [LINE, *head], frame, settings, frozen=2, paints=[NEW_LOAD])


def overhead_tab(overhead: pl.DataFrame, costs: Table, hours: Table, settings: Settings) -> tuple[Tab, Table]:
    """The overhead of the plan's days, and what of it no piece bears."""
    grid = Grid("overhead")
    grid.head(
        "Overhead",
        "One row is the plan's days. Rate = overhead of a month / its normal hours, or the rate that the settings "
        "give; with more hours than are normal it is the overhead / those hours. Absorbed = the overhead of all lines"
        " on the costs tab. Unabsorbed = overhead - absorbed: an expense of those days, not a cost of pieces (IAS 2).",
    )
    head = heads(
        Overhead,
        settings,
        formulas={
            "hours": f"ROUND({hours.total('hours')},4)",
            "rate": f'IF({OVERHEAD_RATE}="","",{OVERHEAD_RATE})',
            "absorbed": f'IF({{rate}}="","",{costs.total("overhead")})',
            "unabsorbed": 'IF(OR({overhead}="",{absorbed}=""),"",{overhead}-{absorbed})',
        },
    )
    return table_tab(grid, head, exact(Overhead, overhead, settings), settings)


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
        "hours. Price needed = (book cost + overhead + own hours x the wanted rate on the summary) / quantity. A kiln"
        " load is a full one, all firings together. A line with pieces in the studio already is blank: what they have"
        " cost so far is not known, so figures of what is still to come would mislead.",
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


def piece_costs_tab(piece_costs: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What a piece of each form has cost by the time it leaves each stage."""
    grid = Grid("piece costs")
    grid.head(
        "What a piece has cost by stage",
        "One row is a form at a stage. What the stage costs in this plan is spread over the pieces that go through "
        "it. Cost each = (cost of one that enters + what the stage adds - what the seconds fetch) / the share that is"
        " not lost, so the good pieces bear the normal loss. Book cost has no own time and no overhead; full cost has"
        " both.",
    )
    return table_tab(
        grid, heads(PieceCosts, settings), exact(PieceCosts, piece_costs, settings), settings, paints=[NEW_FORM]
    )


NEW_FORM = ("{form}<>{form_above}", "new day")
"""A line above the first row of each form."""


def losses_tab(losses: pl.DataFrame, settings: Settings) -> tuple[Tab, Table]:
    """What the work log shows lost, and what of it is no cost of pieces."""
    grid = Grid("losses")
    grid.head(
        "Losses",
        "One row is a form at a stage, by the work log. Abnormal loss = pieces in - pieces out - normal loss, at the "
        "cost of a good piece that leaves the stage: an expense, not a cost of pieces (IAS 2). Net loss = abnormal "
        "cost - what the seconds beyond the normal ones fetch.",
    )
    cost = f"ROUND({{abnormal_loss}}*{{cost_each}},{settings.minor_digits})"
    head = heads(
        Losses,
        settings,
        formulas={
            "lost": "{pieces_in}-{pieces_out}-{seconds}",
            "abnormal_loss": "{pieces_in}-{pieces_out}-{normal_loss}",
            "abnormal_cost": f'IF({{cost_each}}="","",{cost})',
            "net_loss": 'IF({abnormal_cost}="","",{abnormal_cost}-SUM({abnormal_seconds}))',
        },
        totals=("pieces_in", "pieces_out", "seconds", "lost", "abnormal_cost", "seconds_value", "net_loss"),
    )
    return table_tab(grid, head, exact(Losses, losses, settings), settings)
