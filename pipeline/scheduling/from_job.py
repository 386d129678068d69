"""The shop that the scheduler works with, from the sheets of a job."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import polars as pl

from pipeline.calendar import HUNDREDTHS, LONGEST_REST, Calendar, calendar
from pipeline.entering import entering
from pipeline.in_progress import Taken, share_in_progress, staying_on_bats
from pipeline.in_the_kiln import InKiln, in_the_kiln
from pipeline.job import Job
from pipeline.kiln_counts import kiln_counts
from pipeline.lines import LINE, in_turn
from pipeline.remembered import remembered
from pipeline.routes import minutes_a_piece, routes
from pipeline.scheduling.clay_in_time import clay_in_time
from pipeline.scheduling.last_plan import last_plan
from pipeline.scheduling.shop import NO_DUE, Burning, Firing, Flow, Shop, Stop
from pipeline.scheduling.short_of_time import short_of_time
from pipeline.supplies import Supplied, materials_in_time
from pipeline.waits import Wait, days_of_firings, drying_factors, window


@remembered
def build_shop(job: Job, pieces: pl.DataFrame) -> Shop:
    """The shop of a job whose lines go through the stages as ``pieces`` says.

    A line's pieces to begin come first, then what stands in progress for it.
    """
    route = routes(job.forms, job.stages, job.form_minutes)
    taken = share_in_progress(job.orders, job.forms, route, job.in_progress, job.settings.loss_cover)
    counts = kiln_counts(job.forms, job.firings, job.kilns, job.kiln_fit)
    stops = _stops(job, route)
    factors = drying_factors(job.drying_months)
    turn = {line: place for place, line in enumerate(in_turn(job.orders.with_row_index("line"))["line"])}
    clay = clay_in_time(job, pieces)
    supplied = materials_in_time(job, pieces, route)
    entered = _entered(job.orders, pieces)
    sizes = dict(zip(job.forms["form"], job.forms["bat"], strict=True))
    weights = _weights(job.orders)
    start = job.settings.start.toordinal()
    shifts = calendar(job.labour_hours, job.closed_days, job.settings.start)
    fired = in_the_kiln(job.in_progress, route, job.firings, job.settings.start)
    out = _out_days(job, fired, shifts)
    inside: dict[int, list[Flow]] = {}
    flows = []
    for line, row in enumerate(job.orders.iter_rows(named=True)):
        way = stops[row["form"]]
        due = NO_DUE if row["due"] is None else row["due"].toordinal()
        chances = [chance for _, chance in way]
        route_of_form = tuple(stop for stop, _ in way)
        shared = {
            "line": line, "turn": turn[line], "form": row["form"], "due": due, "weight": weights[line],
            "route": route_of_form, "bat": sizes[row["form"]],
        }  # fmt: skip
        standing = [_standing(take, job, shared, chances, factors, out) for take in taken if take.line == line]
        for flow in standing:
            if flow.standing in out:
                inside.setdefault(flow.standing, []).append(flow)
        fresh = _fresh(entered[line], standing)
        own = [flow for flow in standing if flow.first < len(route_of_form)]
        if fresh[0]:
            at_once, clay_day = clay[line]
            own.append(
                Flow(**shared, first=0, totals=fresh, ready=start, latest=None, at_once=at_once, clay_day=clay_day)
            )
        own = _as_supplied(own, supplied[line]) if supplied[line] else own
        # What is to be begun goes before what stands in progress.
        flows.extend(own[-1:] + own[:-1] if fresh[0] else own)
    firings = tuple(
        Firing(
            row["firing"],
            row["kiln"],
            row["days"],
            round(row["load_minutes"] * HUNDREDTHS),
            round(row["unload_minutes"] * HUNDREDTHS),
            row["least_fill_pct"] / 100,
            {form: counts[row["firing"], row["kiln"], form].pieces for form in job.forms["form"]},
        )
        for row in job.firings.iter_rows(named=True)
    )
    bats = dict(job.bats_and_boards.filter(pl.col("kind") == "bat").select("item", "count").iter_rows())
    limited = bool(bats)
    for _, size, pieces_on in staying_on_bats(taken, job.forms, route, job.in_progress):
        bats[size] = bats.get(size, 0) - pieces_on
    shop = Shop(
        shifts,
        tuple(flows),
        firings,
        bats if limited else None,
        factors,
        tuple(job.orders.select(*LINE).iter_rows()),
        last_plan(job.last_schedule, job.orders, _places(stops), start),
        tuple(_burning(fired, out, inside, firings)),
    )
    return replace(shop, short=frozenset(short_of_time(shop)))


def followed(shop: Shop, job: Job, schedule: pl.DataFrame) -> Shop:
    """The shop of a job with this ``schedule`` of it as the last plan."""
    stops = _stops(job, routes(job.forms, job.stages, job.form_minutes))
    return replace(shop, last=last_plan(schedule, job.orders, _places(stops), shop.calendar.start))


def _out_days(job: Job, fired: Mapping[int, InKiln], shifts: Calendar) -> dict[int, int]:
    """For pieces in a kiln the day on which they are unloaded: the first on which those who do it have the time."""
    times = {
        (firing, kiln): round(minutes * HUNDREDTHS)
        for firing, kiln, minutes in job.firings.select("firing", "kiln", "unload_minutes").iter_rows()
    }
    days: dict[InKiln, int] = {}
    booked: dict[int, int] = {}
    for place, one in fired.items():
        if one in days:
            continue
        stage, time, first = (
            job.in_progress["stage_done"][place],
            times.get((one.firing, one.kiln), 0),
            one.out.toordinal(),
        )
        days[one] = shifts.next_work(first) or first
        for day in range(days[one], first + LONGEST_REST):
            together = sum(shift.time for shift in shifts.shifts(day) if shift.covers(stage, one.firing))
            if shifts.works(day) and together - booked.get(day, 0) >= time:
                days[one] = day
                booked[day] = booked.get(day, 0) + time
                break
    return {place: days[one] for place, one in fired.items()}


def _burning(
    fired: Mapping[int, InKiln], out: Mapping[int, int], inside: Mapping[int, list[Flow]], firings: tuple[Firing, ...]
) -> Iterator[Burning]:
    """What is in the kilns: pieces of one firing in one kiln that come out on one day are one load."""
    loads: dict[tuple[str, str, int], list[Flow]] = {}
    for place, one in fired.items():
        loads.setdefault((one.firing, one.kiln, out[place]), []).extend(inside.get(place, []))
    for (name, kiln, until), flows in loads.items():
        firing = next((one for one in firings if (one.firing, one.kiln) == (name, kiln)), None)
        yield Burning(firing or Firing(name, kiln, 1, 0, 0, 0, {flow.form: 1 for flow in flows}), until, tuple(flows))


def _places(stops: Mapping[str, list[tuple[Stop, float]]]) -> dict[tuple[str, str], tuple[int, str | None]]:
    return {(form, stop.stage): (stop.place, stop.firing) for form, way in stops.items() for stop, _ in way}


def _entered(orders: pl.DataFrame, pieces: pl.DataFrame) -> list[list[int]]:
    """For each line the pieces still to go through each of its stages."""
    places = {key: place for place, key in enumerate(orders.select(*LINE).iter_rows())}
    found: list[list[int]] = [[] for _ in places]
    for *key, entered, done in pieces.sort("step").select(*LINE, "pieces_in", "already_done").iter_rows():
        found[places[tuple(key)]].append(entered - done)
    return found


def _fresh(entered: list[int], standing: list[Flow]) -> tuple[int, ...]:
    """The pieces to begin and how many of them enter each stage: all that enter, less those in progress."""
    totals: list[int] = []
    for place, number in enumerate(entered):
        own = number - sum(flow.totals[place] for flow in standing if flow.first <= place)
        totals.append(max(0, min([own, *totals[-1:]])))
    return tuple(totals)


def _stops(job: Job, route: pl.DataFrame) -> dict[str, list[tuple[Stop, float]]]:
    """Each form's stages with the chance of a piece to come through."""
    route = route.with_columns(each=minutes_a_piece(job.settings.spare_clay_pct))
    fired = days_of_firings(job.firings)
    found: dict[str, list[tuple[Stop, float]]] = {}
    number = 0
    for form, rows in route.group_by("form", maintain_order=True):
        way: list[tuple[Stop, float]] = []
        tail = 0
        steps = list(rows.with_row_index("place").iter_rows(named=True))
        for row in reversed(steps):
            days = None if row["firing"] is None else fired[row["firing"]]
            wait = Wait(row["wait_days"], row["wait_days_max"], days)
            if row["place"] + 1 < len(steps):
                tail += wait.least + (days or 0)
            elif days:
                tail += days
            limits = []
            if row["most_per_day"] is not None:
                limits.append((f"{row['method']}\n{row['stage']}", row["most_per_day"]))
            if row["form_most_per_day"] is not None:
                limits.append((f"{row['method']}\n{row['stage']}\n{row['form']}", row["form_most_per_day"]))
            number += 1
            stop = Stop(
                number, row["place"], row["step"], row["stage"], row["form"], round(row["each"] * HUNDREDTHS, 6),
                way[-1][0].each if way else 0.0, round(row["setup_minutes"] * HUNDREDTHS), wait, row["bat"],
                row["firing"], tuple(limits), tail,
            )  # fmt: skip
            way.append((stop, 1 - row["loss_pct"] / 100))
        found[str(form[0])] = way[::-1]
    return found


def _standing(
    take: Taken,
    job: Job,
    shared: dict[str, object],
    chances: list[float],
    factors: Mapping[int, float],
    out: Mapping[int, int],
) -> Flow:
    """The flow of pieces in progress; their next stage's window counts from the date in the sheet, or from the day on
    which they come ``out`` of the kiln.
    """
    done = take.done
    route: tuple[Stop, ...] = shared["route"]  # type: ignore[assignment]  # one mapping holds fields of many types
    since = out.get(take.standing) or job.in_progress["date"][take.standing].toordinal()
    first, last = window(route[done].wait, since, factors)
    totals = (*(take.pieces for _ in range(done + 1)), *entering(take.pieces, chances[done + 1 :])[:-1])
    start = job.settings.start.toordinal()
    return Flow(
        **shared,  # type: ignore[arg-type]  # one mapping holds fields of many types
        first=done + 1,
        totals=totals,
        ready=max(first, start),
        latest=last,
        standing=take.standing,
    )


def _as_supplied(flows: Sequence[Flow], supplied: Supplied) -> list[Flow]:
    """A line's flows, those in progress first, each with what of it there is enough for at each stage.

    Pieces in progress whose window closes go on without waiting: they would be lost.
    """
    found = []
    given = {stage: enough for stage, (enough, _) in supplied.items()}
    for flow in flows:
        own = {}
        for place, stop in enumerate(flow.route):
            if place >= flow.first and stop.stage in supplied:
                some = min(given[stop.stage], flow.totals[place])
                given[stop.stage] -= some
                own[place] = some, supplied[stop.stage][1]
        found.append(replace(flow, supplied=own) if own and flow.latest is None else flow)
    return found


def _weights(orders: pl.DataFrame) -> list[float]:
    """How much a piece's late day counts: priority 1 counts once, 2 half, 3 a third; a blank one follows the last."""
    last = orders["priority"].max()
    blank = 1 + (last if isinstance(last, int) else 0)
    return [1 / (blank if priority is None else priority) for priority in orders["priority"]]
