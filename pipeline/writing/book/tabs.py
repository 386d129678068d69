"""All the tabs, in the order in which people read them."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.accounts import packing_materials, stock_account
from pipeline.books.content import contents
from pipeline.books.entries import Days, all_entries
from pipeline.books.flow import flows
from pipeline.books.opening import finished_carried, finished_takes
from pipeline.books.period import cut_short
from pipeline.job import Job
from pipeline.steps.labour import labour as labour_of
from pipeline.writing.book.balances import closing_tab, differences_tab, stock_count_tab
from pipeline.writing.book.calendar import calendar_tab
from pipeline.writing.book.cells import Book
from pipeline.writing.book.charts import charts_tab
from pipeline.writing.book.checks import checks_tab
from pipeline.writing.book.clay import clay_tabs, wedging_tab
from pipeline.writing.book.closed import LOTS_THEN, Closed
from pipeline.writing.book.contents import TOTALS, contents_tab
from pipeline.writing.book.costing import earnings_tab, firing_costs_tab, labour_tab, overhead_tab
from pipeline.writing.book.days import days_tab
from pipeline.writing.book.goods import cost_of_goods_tab, finished_tab, put_in_tab
from pipeline.writing.book.hours import hours_tab
from pipeline.writing.book.journal import journal_tabs, numbered, purchase_entries, sale_entries
from pipeline.writing.book.kiln import kiln_contents_tab, kiln_loads_tab, load_sheets_tab
from pipeline.writing.book.ledgers import ledger_numbers, ledger_tab, purchases_tab, sales_tab, with_in_books
from pipeline.writing.book.lists import (
    assumptions_tab,
    pieces_tab,
    problems_tab,
    schedule_tab,
    space_tab,
    stage_hours_tab,
)
from pipeline.writing.book.lots import Lots
from pipeline.writing.book.money import OVERHEAD_RATE, costs_tab, materials_tab
from pipeline.writing.book.opening import opening_tab
from pipeline.writing.book.orders import orders_tab, pace_tab, promises_tab
from pipeline.writing.book.part_made import part_made_tabs
from pipeline.writing.book.piece import last_stages, losses_tab, piece_costs_tab, stage_numbers
from pipeline.writing.book.prices import RATES, prices_tab
from pipeline.writing.book.seconds import seconds_tab
from pipeline.writing.book.shares import Shares, Spread
from pipeline.writing.book.stages import stages_in_order
from pipeline.writing.book.summary import summary_tab
from pipeline.writing.book.supplies import glaze_tab, supplies_tab
from schemas import accounts as to
from schemas.sheets_out.costs_put_in import FIRING, MATERIALS, OTHER, OVERHEAD, PAID

OUT_OF = {OTHER: to.OTHER_COSTS, PAID: to.WAGES, FIRING: to.FIRING, OVERHEAD: to.OVERHEAD}
"""The account out of which each kind of cost comes that is not stock."""


def book(job: Job, results: Mapping[str, pl.DataFrame]) -> Book:
    """The workbook of a plan.

    ``results`` has every sheet of ``SHEETS_OUT``; any may be empty. Each figure that follows from others in the
    workbook is a formula and has the value that the sheets have.
    """
    settings, orders = job.settings, job.orders
    schedule, loads = results["schedule"], results["kiln_loads"]
    cut = cut_short(schedule, settings)
    days = Days.of(schedule, settings)
    prices = prices_tab(job, results["packs_to_buy"], results["materials_to_buy"])
    shares = Shares(settings)
    ledger_at = ledger_numbers(results["materials_ledger"])
    lots = Lots(job, results, ledger_at, results["packs_to_buy"])
    stages = stage_numbers(job, results)
    asked_tab, asked = orders_tab(orders, settings)
    buying_tab, buying, packs_tab, packs, packs_held = clay_tabs(
        results["clay_to_buy"], results["packs_to_buy"], prices, shares, settings
    )
    mixing_tab, _ = glaze_tab(results["glaze_batches"], settings)
    supply_tab, supplies = supplies_tab(results["materials_to_buy"], prices, settings)
    wedge_tab, _ = wedging_tab(results["clay_to_wedge"], settings)
    dated_tab, dated = schedule_tab(schedule, settings)
    loaded_tab, loaded = kiln_contents_tab(loads, settings)
    load_tab, load = kiln_loads_tab(loads, loaded, settings)
    day_tab, by_day = hours_tab(job, schedule, dated)
    stage_tab, by_stage = stage_hours_tab(results["stage_hours"], orders, stages["stage_hours"], settings)
    flow_tab, _ = pieces_tab(results["pieces"], orders, settings)
    promise_tab, promised = promises_tab(results["promises"], orders, settings)
    asked_pace_tab, _ = pace_tab(results["pace"], orders, settings)
    material_tab, materials, materials_held = materials_tab(
        results["materials_cost"], orders, lots, shares, prices, stages["materials_cost"], settings
    )
    worked = (
        labour_of(schedule.filter(pl.col("date") <= days.last), job.labour_hours, job.closed_days, settings=settings)
        if cut
        else None
    )
    work_tab, labour = labour_tab(results["labour"], orders, prices, stages["labour"], worked, settings)
    fire_tab, fired, fired_held = firing_costs_tab(
        results["firing_costs"], orders, labour, prices, shares, stages["firing_costs"], settings
    )
    cost_tab, costs = costs_tab(
        results["job_costs"], orders, asked, materials, by_stage, labour, fired, prices, settings
    )
    earned_tab, _ = earnings_tab(results["earnings"], orders, costs, by_stage, labour, settings)
    rent_tab, rent = overhead_tab(results["overhead"], days, costs, by_stage, prices, settings)
    spent = {"materials": materials, "labour": labour, "stage hours": by_stage, "firing costs": fired}
    piece_tab, piece = piece_costs_tab(results["piece_costs"], job, results, stages, spent, prices)
    lost_tab, _ = losses_tab(results["losses"], job, piece, results, prices)
    stock_tab, stock = lots.tab(materials, materials_held, packs, prices)
    packing = packing_materials(job.form_materials, job.glazes)
    possible = all_entries(
        orders,
        job.opening_balances,
        schedule,
        results["overhead"],
        results["purchases"],
        results["costs_put_in"],
        results["finished_goods"],
        results["stock_differences"],
        results["sales"],
        packing,
        settings,
    )
    entries = numbered(possible)
    posted = [
        purchase_entries(results["purchases"], entries, days),
        pl.Series(
            "stock", [stock_account(item, packing) for item in results["purchases"]["description"]], dtype=pl.String
        ),
    ]
    bought_tab, bought = purchases_tab(
        results["purchases"],
        results["materials_to_buy"],
        ledger_at,
        packs,
        supplies,
        prices,
        posted,
        days.last if cut else None,
        settings,
    )
    sale_tab, sold = sales_tab(
        results["sales"], orders, asked, promised, sale_entries(results["sales"], entries, days), days.last, settings
    )
    of_stock = results["costs_put_in"].select("what", "item").iter_rows()
    out_of = [stock_account(item or "", packing) if what == MATERIALS else OUT_OF[what] for what, item in of_stock]
    accounts = pl.Series("account", out_of, dtype=pl.String)
    taken = Closed(job, results, ledger_at, shares, prices) if cut else None
    put_tab, put_in, put_held = put_in_tab(job, results, spent, stages["costs_put_in"], accounts, taken)
    then_tab, then = taken.lots.tab(put_in, put_held, packs, prices) if taken else (None, stock)
    lot_tab, ledger = ledger_tab(results["materials_ledger"], bought, then, settings, cut=cut)
    begin_tab, begun = opening_tab(job.opening_balances, settings)
    moved = flows(job, results["pieces"], schedule, results["job_costs"])
    inside = contents(results["piece_costs"], settings)
    second_tab, seconds = seconds_tab(job, results, moved, costs, prices)
    goods = {
        "piece costs": piece,
        "opening balances": begun,
        "costs put in": put_in,
        "seconds": seconds,
        "sales": sold,
    }
    part_tab, part, unit_tab, units, opened = part_made_tabs(job, results, inside, goods, shares)
    goods["part-made"] = part
    takes = finished_takes(moved, inside, finished_carried(job.opening_balances), settings.minor_digits)
    shelf_tab, shelf = finished_tab(
        results["finished_goods"], orders, goods, takes, last_stages(results["piece_costs"]), settings
    )
    goods |= {"finished goods": shelf, "materials ledger": ledger, "orders": asked}
    differ_tab, differing, differ_held = differences_tab(job, results, goods)
    made_tab, made = cost_of_goods_tab(results["cost_of_goods"], ledger, put_in, shelf, differing, settings)
    close_tab, closing = closing_tab(results, goods, settings)
    count_tab, to_count = stock_count_tab(results["stock_count"], results["closing_balances"], closing, settings)
    (post_tab, journal), (more_tab, more, more_held) = journal_tabs(
        results["journal"],
        possible,
        job,
        goods | {"purchases": bought, "stock differences": differing, "overhead": rent},
        settings,
    )
    share_tab = shares.tab(
        [
            Spread(packs, packs_held, "supplier_number", "bought_kg", "carriage_unrounded"),
            Spread(materials, materials_held, "lot_number", "quantity", "unrounded"),
            Spread(fired, fired_held, "load_number", "room_pct", "energy_unrounded"),
            Spread(fired, fired_held, "load_number", "room_pct", "wear_unrounded"),
            *([Spread(put_in, put_held, "lot_number", "quantity", "unrounded")] if taken else []),
            *opened,
        ]
    )
    room_tab, room = space_tab(results["space"], stages_in_order(job.stages, schedule), settings)
    taken_tab, _ = assumptions_tab(results["assumptions"], settings)
    wrong_tab, wrong = problems_tab(results["problems"], settings)
    tables = {
        "orders": asked,
        "clay to buy": buying,
        "materials to buy": supplies,
        "schedule": dated,
        "kiln loads": load,
        "hours": by_day,
        "promises": promised,
        "costs": costs,
        "problems": wrong,
        "packs to buy": packs,
        "purchases": bought,
        "materials ledger": ledger,
        "materials": materials,
        "firing costs": fired,
        "labour": labour,
        "sales": sold,
        "lots": stock,
        LOTS_THEN: then,
        "piece costs": piece,
        "costs put in": put_in,
        "part-made": part,
        "seconds": seconds,
        "equivalent units": units[0],
        "where it goes": units[1],
        "finished goods": shelf,
        "cost of goods": made,
        "opening balances": begun,
        "stock differences": differing,
        "closing balances": closing,
        "stock count": to_count,
        "journal": journal,
        "more entries": more,
    }
    sides = {**results, "stock_differences": differ_held, "more_entries": more_held}
    if cut:
        sides["purchases"] = with_in_books(results["purchases"], days.last)
    check_tab, count, failed = checks_tab(tables, sides, settings, cut=cut)
    first_tab = summary_tab(job, results, tables, (count, failed))
    groups = {
        "to do": (
            buying_tab,
            packs_tab,
            supply_tab,
            mixing_tab,
            wedge_tab,
            calendar_tab(job, schedule, loads),
            promise_tab,
            days_tab(job, schedule),
            dated_tab,
            load_tab,
            loaded_tab,
            load_sheets_tab(loads, loaded, settings),
            day_tab,
            charts_tab(by_day, room, load),
            room_tab,
            stage_tab,
            flow_tab,
            asked_pace_tab,
        ),
        "money": (cost_tab, earned_tab, material_tab, work_tab, fire_tab, rent_tab, piece_tab, lost_tab),
        "books": (
            begin_tab,
            differ_tab,
            bought_tab,
            lot_tab,
            sale_tab,
            put_tab,
            second_tab,
            part_tab,
            unit_tab,
            shelf_tab,
            made_tab,
            close_tab,
            count_tab,
            post_tab,
            more_tab,
            check_tab,
        ),
        "to type over": (asked_tab, prices.tab),
        "behind the figures": (stock_tab, *([then_tab] if then_tab else []), share_tab, taken_tab, wrong_tab),
    }
    rates = {name: prices.typed(name) for name, _ in RATES} | {OVERHEAD_RATE: rent.cell("rate", 0)}
    return Book(
        title=f"Plan from {settings.start.isoformat()}",
        made=settings.start,
        minor_digits=settings.minor_digits,
        paper="Letter" if settings.units == "us" else "A4",
        tabs=(first_tab, contents_tab(groups, tables), *(tab for tabs in groups.values() for tab in tabs)),
        names=rates | {name: tables[table].total(column) for name, (table, column, _) in TOTALS.items()},
    )
