"""What each line costs and earns."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import polars as pl

from pipeline.alike import once_each
from pipeline.coins import MONEY, coins, money, nearest
from pipeline.in_places import in_places
from pipeline.lines import LINE, known_across, with_line, with_number, with_total
from pipeline.money import at_price, exact_price, product_units
from pipeline.steps.overhead import line_overhead
from schemas.settings import SOLD, Settings
from schemas.sheet import shaped
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

    def fetch(hundredths: int, price: Decimal | None) -> Decimal | None:
        return at_price(Fraction(hundredths, 100), price, digits)

    def sell(quantity: int, price: Decimal | None) -> Decimal | None:
        return at_price(quantity, exact_price(price, SOLD, settings), digits)

    first = pieces.unique(LINE, keep="first", maintain_order=True)
    lines = orders.join(forms.select("form", "second_price"), on="form", how="left", maintain_order="left")
    lines = with_line(lines, first.select(*LINE, "pieces_in", already_begun="already_done"))
    lines = with_line(lines, _seconds(pieces, forms))
    lines = with_total(lines, "materials", materials_cost, "cost")
    lines = with_total(lines, "firing", firing_costs, "cost")
    lines = with_total(lines, "paid_labour", labour, "paid_labour")
    lines = with_total(lines, "own_labour", labour, "own_labour")
    lines = with_number(lines, "hours", stage_hours, "hours")
    cost = (
        lines.with_columns(
            overhead=_overhead(overhead, digits),
            seconds_value=once_each(lines.select("hundredths", "second_price"), fetch, MONEY),
            sales=once_each(lines.select("quantity", "unit_price"), sell, MONEY),
        )
        .with_columns(fetched=-pl.col("seconds_value").fill_null(NOTHING))
        .with_columns(book_cost=known_across("materials", "firing", "paid_labour", "fetched"))
        .with_columns(full_cost=known_across("book_cost", "own_labour", "overhead"))
    )
    fresh = pl.when(pl.col("already_begun") == 0)
    earned = cost.with_columns(margin=fresh.then(pl.col("sales") - pl.col("full_cost")))
    per_ten_thousand = nearest(
        coins("margin", digits) * 10_000, pl.when(pl.col("sales") != 0).then(coins("sales", digits))
    )
    return shaped(
        JobCosts,
        earned.with_columns(
            pieces_to_start=pl.col("pieces_in") - pl.col("already_begun"),
            seconds=in_places(pl.col("hundredths"), 2),
            book_cost_each=fresh.then(_each("book_cost", digits)),
            full_cost_each=fresh.then(_each("full_cost", digits)),
            margin_pct=in_places(per_ten_thousand, 2),
        ),
    )


def _overhead(overhead: pl.DataFrame, digits: int) -> pl.Expr:
    """The overhead of each line by its ``hours``; blank for hours of work of which it is not known."""
    rate = overhead["rate"][0] if overhead.height else None
    if rate is None:
        return pl.when(pl.col("hours") == 0).then(NOTHING)
    return line_overhead("hours", rate, digits)


def _seconds(pieces: pl.DataFrame, forms: pl.DataFrame) -> pl.DataFrame:
    """The seconds to expect of each line in ``hundredths``: a share of what the last stage that loses any loses."""
    last = (
        pieces.sort("step")
        .filter((pl.col("loss_pct") != 0) | pl.struct(LINE).is_first_distinct())
        .unique(LINE, keep="last", maintain_order=True)
        .join(forms.select("form", "seconds_pct"), on="form", how="left", validate="m:1", maintain_order="left")
        .with_columns(to_do=pl.col("pieces_in") - pl.col("already_done"))
    )

    def seconds(to_do: int, loss: float, share: float) -> int:
        return product_units(to_do, Fraction(str(loss)) / 100, Fraction(str(share)) / 100, digits=2)

    return last.select(*LINE, hundredths=once_each(last.select("to_do", "loss_pct", "seconds_pct"), seconds, pl.Int64))


def _each(cost: str, digits: int) -> pl.Expr:
    return money(nearest(coins(cost, digits), pl.col("quantity")), digits)
