"""The rows of random shops: what ``tests.shops`` makes jobs of."""

from __future__ import annotations

import datetime as dt
from random import Random
from typing import Any

from pipeline.checking.facts import Shop

Cells = dict[str, Any]

WEEKS = ("Mon-Fri", "Mon-Sat", "Tue-Sat", "Sat-Wed", "Mon-Sun")
"""Weeks of at least five days on end, so that two drying waits of two days fit into one."""


FORMS = ("cup", "bowl", "plate", "jug")
GLAZES = (None, "oat", "moss")
BIG = ("plate", "jug")


def random_sheets(random: Random, start: dt.date) -> dict[str, list[Cells]]:
    """The sheets of a shop, all but ``in_progress``; every firing and count names its kiln."""
    stages = _random_stages(random)
    kilns, firings = _random_kilns(random)
    methods = sorted({row["method"] for row in stages})
    forms = [_random_form(random, name, random.choice(methods)) for name in FORMS[: random.randint(1, 4)]]
    orders = _random_orders(random, start, [form["form"] for form in forms])
    fit = [
        {"firing": row["firing"], "kiln": row["kiln"], "form": form["form"], "pieces": _random_count(random, form)}
        for row in firings
        for form in forms
    ]
    return {
        "orders": orders,
        "forms": forms,
        "stages": stages,
        "kilns": kilns,
        "firings": firings,
        "kiln_fit": fit,
        "labour_hours": _random_labour(random, start, stages),
        "form_minutes": _random_form_minutes(random, forms),
        "drying_months": _random_months(random, start),
        "bats_and_boards": _random_bats(random, sum(order["quantity"] for order in orders)),
        "closed_days": _random_closed_days(random, start),
    }


def _random_stages(random: Random) -> list[Cells]:
    """Two or three methods: thrown, perhaps with handles; pressed; fired once. Windows are early in the route."""

    def minutes() -> float:
        return random.choice([0.5, 1.0, 1.5, 2.0, 3.25, 5.0])

    def window() -> Cells:
        least = random.choice([0, 1, 1])
        return {"wait_days": least, "wait_days_max": random.choice([least, least, least + 1, least + 3, None])}

    def most() -> int | None:
        return random.choice([None, None, None, 8, 12, 20])

    loss = random.choice([0.0, 3.0, 10.0])
    setup = random.choice([0.0, 5.0, 12.5])
    kg = random.choice([0.0, 1.5])
    # Pieces turned must go into a kiln within four weeks in a few shops: work may not wait for ever.
    dry = {"wait_days": random.randint(2, 7), "wait_days_max": random.choice([None, None, None, 28])}
    firings: list[Cells] = [
        {"stage": "bisque", "firing": "bisque", "loss_pct": loss, "wait_days": random.choice([0, 0, 1])},
        {"stage": "dip", "minutes_each": minutes(), "setup_minutes": setup, "wait_days": random.choice([0, 1])},
        {"stage": "glaze fire", "firing": "glaze", "minutes_each": random.choice([0.0, 0.2]), "loss_pct": loss},
    ]
    throw = {"stage": "throw", "minutes_each": minutes(), "minutes_per_kg": kg, "setup_minutes": setup, "bat": "on"}
    turn = {"stage": "turn", "minutes_each": minutes(), "loss_pct": loss, "most_per_day": most(), "bat": "off"}
    thrown = [throw | window() | {"most_per_day": most()}]
    if random.random() < 0.5:
        thrown += [turn | window(), {"stage": "handle", "minutes_each": minutes(), "loss_pct": loss} | dry]
    else:
        thrown += [turn | dry]
    press = {
        "stage": "press",
        "minutes_each": minutes(),
        "setup_minutes": setup,
        "loss_pct": loss,
        "most_per_day": most(),
    }
    pressed = [press | window(), {"stage": "trim", "minutes_each": minutes(), "wait_days": dry["wait_days"]}]
    once = [throw | window(), turn | dry, {"stage": "once fire", "firing": "glaze", "loss_pct": loss}]
    methods = {"thrown": thrown + firings, "pressed": pressed + firings, "once fired": once}
    if random.random() < 0.5:
        del methods["once fired"]
    return [{"method": method} | row for method, rows in methods.items() for row in rows]


def _random_kilns(random: Random) -> tuple[list[Cells], list[Cells]]:
    """One or two kilns; each firing in one of them at least."""
    kilns: list[Cells] = [
        {"kiln": "front kiln", "shelf_shape": "round", "shelf_width_mm": 480.0, "inside_height_mm": 640.0},
        {"kiln": "back kiln", "shelf_shape": "rectangular", "shelf_width_mm": 600.0, "shelf_depth_mm": 450.0},
    ]
    kilns = kilns[: random.randint(1, 2)]
    firings = []
    for firing in ("bisque", "glaze"):
        for kiln in random.sample(kilns, random.randint(1, len(kilns))):
            firings.append(
                {
                    "firing": firing,
                    "kiln": kiln["kiln"],
                    "days": random.choice([1, 2, 2, 3]),
                    "load_minutes": random.choice([0.0, 20.0, 45.0]),
                    "unload_minutes": random.choice([0.0, 15.0, 30.0]),
                    "least_fill_pct": random.choice([0.0, 50.0, 80.0, 100.0]),
                }
            )
    return kilns, firings


def _random_form(random: Random, form: str, method: str) -> Cells:
    big = form in BIG
    return {
        "form": form,
        "method": method,
        "ball_g": float(random.randrange(900, 1800, 50) if big else random.randrange(250, 700, 10)),
        "added_clay_g": random.choice([0.0, 60.0]),
        "height_mm": float(random.choice([30, 180] if big else [70, 110])),
        "width_mm": float(random.choice([180, 250] if big else [80, 120])),
        "bat": random.choice(["large", "large", None] if big else ["small", "small", None]),
        "per_board": random.choice([None, 6]),
        "least_extra": random.choice([0, 0, 2]),
    }


def _random_count(random: Random, form: Cells) -> int:
    return random.choice([7, 9, 12] if form["form"] in BIG else [16, 30, 55])


def _random_orders(random: Random, start: dt.date, forms: list[str]) -> list[Cells]:
    """1 to 6 different lines, 20 to 300 pieces together."""
    possible = [(order, form, glaze) for order in ("A1", "A2", "A3") for form in forms for glaze in GLAZES]
    lines = random.sample(possible, random.randint(1, min(6, len(possible))))
    whole = random.choice([20, 20, 40, 80, 150, 300])
    cuts = [0, *sorted(random.sample(range(1, whole), len(lines) - 1)), whole]
    return [
        {
            "order": order,
            "form": form,
            "glaze": glaze,
            "quantity": cuts[i + 1] - cuts[i],
            "due": random.choice([None, _days(start, random.randint(3, 14)), _days(start, random.randint(30, 90))]),
            "priority": random.choice([None, None, 1, 2]),
        }
        for i, (order, form, glaze) in enumerate(lines)
    ]


def _random_labour(random: Random, start: dt.date, stages: list[Cells]) -> list[Cells]:
    """Somebody for every stage through a week of five days on end; perhaps helpers, and dates with other hours."""
    names = list(dict.fromkeys(row["stage"] for row in stages))
    week = random.choice(WEEKS)
    hours = random.choice([4.0, 5.5, 8.0])
    if random.random() < 0.3:
        # Two share the stages between them; the second is told of firings by the firing's own name.
        of_firing = {row["stage"]: row.get("firing") or row["stage"] for row in stages}
        first, second = names[::2], [of_firing[name] for name in names[1::2]]
        # A firing's name stands for every stage of that firing, so nobody is left out by it.
        workers = [
            {"worker": "Ada", "day": week, "hours": hours, "stages": "; ".join(first)},
            {"worker": "Ben", "day": week, "hours": 4.0, "stages": ";".join(dict.fromkeys(second))},
        ]
    else:
        workers = [{"worker": "Ada", "day": week, "hours": hours, "stages": None}]
    if random.random() < 0.4:
        does = random.choice([None, "dip", "throw; turn"])
        workers.append(
            {"worker": "Cleo", "day": random.choice(["Sat", "Tue", "Fri-Mon"]), "hours": 2.5, "stages": does}
        )
    for days in random.sample(range(20), random.choice([0, 0, 1, 2])):
        changed = random.choice(workers)
        workers.append(changed | {"day": str(_days(start, days)), "hours": random.choice([0.0, 1.25, 9.0])})
    return list({(row["worker"], row["day"]): row for row in workers}.values())


def _random_form_minutes(random: Random, forms: list[Cells]) -> list[Cells]:
    rows = []
    for form in forms:
        if random.random() < 0.3:
            first = {"thrown": "throw", "pressed": "press", "once fired": "throw"}[form["method"]]
            rows.append(
                {"form": form["form"], "stage": first, "minutes_each": 4.0, "most_per_day": random.choice([None, 7])}
            )
        if random.random() < 0.2 and form["method"] == "thrown":
            rows.append({"form": form["form"], "stage": "bisque", "wait_days": 2, "loss_pct": 5.0})
    return rows


def _random_months(random: Random, start: dt.date) -> list[Cells]:
    """The month of the start and those after it, slow or fast; the factor is 2 at most, for the windows' sake."""
    months = [(start.month - 1 + later) % 12 + 1 for later in range(random.choice([0, 0, 1, 3]))]
    return [{"month": month, "wait_factor": random.choice([0.5, 0.75, 1.1, 1.5, 2.0])} for month in months]


def _random_bats(random: Random, pieces: int) -> list[Cells]:
    """Scarce bats, plenty, or none told of, which is no limit."""
    if random.random() < 0.2:
        return []
    least = max(3, pieces // 15)
    sizes = [
        {"item": size, "kind": "bat", "count": random.choice([least, 2 * least, 100])} for size in ("small", "large")
    ]
    return [*sizes, {"item": "board", "kind": "board", "count": 20}]


def _random_closed_days(random: Random, start: dt.date) -> list[Cells]:
    closed: list[Cells] = []
    for _ in range(random.choice([0, 0, 1, 2])):
        first = _days(start, random.randint(-3, 40))
        closed.append({"from": first, "to": _days(first, random.choice([0, 1, 6, 8]))})
    return closed


def random_in_progress(random: Random, made: Shop, orders: list[Cells]) -> list[Cells]:
    """Up to four lots anywhere in the routes of what is ordered, few enough to be gone on with in time."""
    lots = []
    used_bats = 0
    for _ in range(random.choice([0, 0, 1, 2, 4])):
        order = random.choice(orders)
        route = made.routes[order["form"]]
        done = random.choice(route)
        date = _days(made.job.settings.start, -random.choice([1, 1, 2, 4, 12]))
        windowed = done.wait_days_max is not None
        pieces = random.randint(1, 2) if windowed else random.randint(1, 12)
        on_bats = any(stage.bat == "on" for stage in route[: done.place + 1]) and not any(
            stage.bat == "off" for stage in route[: done.place + 1]
        )
        used_bats += pieces if on_bats else 0
        if used_bats > 3 or not _can_still_be_kept(made, order["form"], done.place, date):
            continue
        glazed = done.place >= next((stage.place for stage in route if stage.name == "dip"), len(route))
        lots.append(
            {
                "order": random.choice([None, order["order"]]),
                "form": order["form"],
                "glaze": order["glaze"] if glazed else None,
                "stage_done": done.name,
                "pieces": pieces,
                "date": date,
            }
        )
    return lots


def _can_still_be_kept(made: Shop, form: str, place: int, done: dt.date) -> bool:
    """Whether the windows from here on leave a day on which the whole shop's week is worked, or the first is missed.

    A window closed before the plan's start counts as missed: that lot is worked when it can be.
    """
    start = made.job.settings.start
    stage = made.routes[form][place]
    first, last = made.window(stage, done)
    if last is None or last < start:
        return True
    days = [_days(first, i) for i in range((last - first).days + 1)]
    return any(
        made.days.has_work(day)
        and all(made.days.shift(worker, day).hours >= 4 for worker in ("Ada", "Ben") if _works(made, worker))
        and _can_still_be_kept(made, form, place + 1, day)
        for day in days
        if day >= start
    )


def _works(made: Shop, worker: str) -> bool:
    return worker in made.job.labour_hours["worker"]


def _days(date: dt.date, days: int) -> dt.date:
    return date + dt.timedelta(days=days)
