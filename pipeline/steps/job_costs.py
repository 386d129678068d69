"""What each line costs and earns."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache

import polars as pl

from pipeline.lines import LINE, Line, line_numbers, line_sums
from pipeline.money import amount, at_price, exact_price, known_sum, product
from pipeline.steps.overhead import line_overheads
from schemas.settings import SOLD, Settings
from schemas.sheet import shaped, types
from schemas.sheets_out.job_costs import JobCosts

NOTHING = Decimal(0)


def job_costs(
    orders: pl.DataFrame,
    forms: pl.DataFrame,
    pieces: pl.DataFrame,
    materials_cost: pl.DataFrame,
    labour: pl.DataFrame,
    stage_hours: pl.DataFrame,
    firing_costs: pl.DataFrame,
    overhead: pl.DataFrame,
    *,
    settings: Settings,
) -> pl.DataFrame:
    """Costs still to come of each line, for the books and for pricing, and what is left of its price.

    book_cost = materials + firing + paid labour - what the seconds to be expected fetch; full_cost = book_cost + the
    owner's own time + overhead. What is normally lost is borne by the good pieces: a cost each is the cost / the good
    pieces wanted. A part of which nothing is known is blank and not in the sums. Of a line with pieces in the studio
    already, what they have cost so far is not known, so its costs each and its margin are blank.

    Source for the seconds: IAS 2, Inventories, paragraph 14, on by-products.

    10 pieces, 37.28 of materials, 12.00 of firing, 6.00 of paid work: 55.28 for the books, 5.53 each.
    """
    digits = settings.minor_digits
    spent = {
        "materials": line_sums(materials_cost, "cost"),
        "firing": line_sums(firing_costs, "cost"),
        "paid_labour": line_sums(labour, "paid_labour"),
        "own_labour": line_sums(labour, "own_labour"),
        "overhead": _overheads(stage_hours, overhead, digits),
    }
    first = pieces.unique(LINE, keep="first", maintain_order=True)
    begun = {
        tuple(line): (entered, done)
        for *line, entered, done in first.select(*LINE, "pieces_in", "already_done").iter_rows()
    }
    seconds = _seconds(pieces, forms)
    second_price = dict(forms.select("form", "second_price").iter_rows())
    rows = []
    for row in orders.iter_rows(named=True):
        line: Line = (row["order"], row["form"], row["glaze"])
        quantity, unit_price = row["quantity"], row["unit_price"]
        entered, done = begun[line]
        parts = {name: by_line.get(line, NOTHING) for name, by_line in spent.items()}
        value = at_price(seconds[line], second_price[row["form"]], digits)
        book = known_sum([parts["materials"], parts["firing"], parts["paid_labour"], -(value or NOTHING)])
        full = known_sum([book, parts["own_labour"], parts["overhead"]])
        sales = at_price(quantity, exact_price(unit_price, SOLD, settings), digits)
        margin = None if done or sales is None or full is None else sales - full
        rows.append(
            {name: row[name] for name in ("order", "customer", "form", "glaze", "quantity", "unit_price")}
            | parts
            | {
                "pieces_to_start": entered - done,
                "already_begun": done,
                "seconds": float(seconds[line]),
                "second_price": second_price[row["form"]],
                "seconds_value": value,
                "book_cost": book,
                "full_cost": full,
                "book_cost_each": None if done else _each(book, quantity, digits),
                "full_cost_each": None if done else _each(full, quantity, digits),
                "sales": sales,
                "margin": margin,
                "margin_pct": _percent(margin, sales),
            }
        )
    return shaped(JobCosts, pl.DataFrame(rows, schema=types(JobCosts)))


def _overheads(stage_hours: pl.DataFrame, overhead: pl.DataFrame, digits: int) -> dict[Line, Decimal | None]:
    """The overhead of each line; None for hours of work of which it is not known."""
    hours = line_numbers(stage_hours, "hours")
    rate = overhead["rate"][0] if overhead.height else None
    if rate is None:
        return {line: None if worked else NOTHING for line, worked in hours.items()}
    return {**line_overheads(hours, rate, digits)}


def _seconds(pieces: pl.DataFrame, forms: pl.DataFrame) -> dict[Line, Decimal]:
    """The seconds to be expected of each line, to two places: a share of what the last stage that loses any loses."""
    share = dict(forms.select("form", "seconds_pct").iter_rows())

    @cache
    def seconds(to_do: int, loss: float, form: str) -> Decimal:
        return product(to_do, Fraction(str(loss)) / 100, Fraction(str(share[form])) / 100, digits=2)

    last = (
        pieces.sort("step")
        .filter((pl.col("loss_pct") != 0) | pl.int_range(pl.len()).over(LINE).eq(0))
        .unique(LINE, keep="last", maintain_order=True)
        .select(*LINE, "loss_pct", to_do=pl.col("pieces_in") - pl.col("already_done"))
    )
    return {(order, form, glaze): seconds(to_do, loss, form) for order, form, glaze, loss, to_do in last.iter_rows()}


def _each(cost: Decimal | None, quantity: int, digits: int) -> Decimal | None:
    return None if cost is None else product(cost, Fraction(1, quantity), digits=digits)


def _percent(part: Decimal | None, whole: Decimal | None) -> float | None:
    """A part as a percentage of a whole, to two places; None where there is no whole."""
    return None if part is None or not whole else float(amount(Fraction(part) / Fraction(whole) * 100, 2))
