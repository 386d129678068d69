"""What is taken of the lots where the books close before the plan ends: its lots, and its shares of their money."""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl

from pipeline.books.period import closes
from pipeline.books.stock_then import Bought, bought_by
from pipeline.clay import to_mg
from pipeline.job import Job
from pipeline.taken_at import EACH_PIECE
from pipeline.writing.book.lots import Lots
from pipeline.writing.book.money import LOT_NUMBER, unrounded_head
from pipeline.writing.book.prices import Prices
from pipeline.writing.book.shares import Shares, unrounded_share
from pipeline.writing.book.tables import Head, formula_of
from pipeline.writing.shown import FORMULA_PLACES
from schemas.settings import Settings
from schemas.sheets_out.costs_put_in import MATERIALS, OTHER

LOTS_THEN = "lots at the close"
"""The tab of the lots that are there when the books close."""


class Closed:
    """The materials of the costs put in, valued by the lots that are there when the books close."""

    def __init__(
        self,
        job: Job,
        results: Mapping[str, pl.DataFrame],
        ledger: Mapping[tuple[str, str | None], int],
        shares: Shares,
        prices: Prices,
    ) -> None:
        """``ledger`` has the number of each lot on the materials ledger."""
        put_in = results["costs_put_in"]
        taken = put_in.filter(pl.col("what").is_in([MATERIALS, OTHER])).rename({"item": "material"})
        mg = taken.filter(pl.col("what") == MATERIALS).select("material", mg=to_mg(pl.col("quantity")))
        used = dict(mg.group_by("material").agg(pl.col("mg").sum()).iter_rows())
        lists = Bought(results["clay_to_buy"], results["packs_to_buy"], results["materials_to_buy"])
        there = bought_by(lists, used, closes(results["schedule"], job.settings))
        self.lots = Lots(
            job,
            {**results, **there._asdict(), "materials_cost": taken},
            ledger,
            results["packs_to_buy"],
            LOTS_THEN,
        )
        self._numbers = self.lots.numbers()
        self._forms = taken.select("form", "material").rows()
        self._prices, self._shares = prices, shares
        amounts = self.lots.amounts(self._numbers)
        self._at = shares.add(amounts)
        self._total = {each.number: each.value for each in amounts}
        self.formulas: list[tuple[str, str]] = []
        """Of each row of materials the formulas of its cost and of its price."""

    def share(self, frame: pl.DataFrame, settings: Settings) -> tuple[pl.DataFrame, list[Head]]:
        """The costs put in with the number of each row's lot and its share before it is rounded."""
        digits = settings.minor_digits
        of_materials = frame["what"].is_in([MATERIALS, OTHER])
        found = iter(self._numbers)
        numbers = [next(found) if taken else None for taken in of_materials]
        frame = frame.with_columns(pl.Series("lot_number", numbers, dtype=pl.Int64))
        weights = frame.group_by("lot_number").agg(pl.col("quantity").sum().round(FORMULA_PLACES[settings.units]))
        spread_of = dict(weights.iter_rows())
        unrounded: list[float | None] = []
        formulas: list[str] = []
        for number, quantity in frame.select("lot_number", "quantity").iter_rows():
            known = number is not None
            unrounded.append(
                unrounded_share(self._total[number], quantity, spread_of[number], digits) if known else None
            )
            formulas.append(self._shares.unrounded(self._at[number], "{quantity}") if known else "")
        for (form, material), number in zip(self._forms, self._numbers, strict=True):
            if number is not None:
                self.formulas.append(
                    (self._shares.rounded(self._at[number], "{unrounded}"), self.lots.unit_cost(number))
                )
            else:
                each = f"N({self._prices.price('other_cost', form)})" if material == EACH_PIECE else ""
                self.formulas.append((f"ROUND({{quantity}}*{{unit_cost}},{digits})", each))
        return frame.with_columns(
            pl.Series("unrounded", unrounded, dtype=pl.Float64),
            pl.Series(formula_of("unrounded"), formulas, dtype=pl.String),
        ), [LOT_NUMBER, unrounded_head(settings)]
