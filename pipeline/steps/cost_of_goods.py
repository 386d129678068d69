"""The cost of goods made and sold."""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from schemas.accounts import FINISHED, PACKING, PART_MADE, RAW
from schemas.sheet import shaped, types
from schemas.sheets_out.cost_of_goods import CostOfGoods
from schemas.sheets_out.costs_put_in import FIRING, OTHER, OVERHEAD, PAID

NOTHING = Decimal(0)


def cost_of_goods(
    materials_ledger: pl.DataFrame,
    costs_put_in: pl.DataFrame,
    finished_goods: pl.DataFrame,
    stock_differences: pl.DataFrame,
) -> pl.DataFrame:
    """The statement: materials used, labour and works overhead, part-made goods at both ends, and finished ones.

    Opening figures are those that the last books closed with, where ``opening_balances`` are given; what the sheets now
    have more or less is a line of its own. What seconds fetch is among the goods made: they are stock. Nothing stands
    in it without an order: then nothing is made.

    Opening 100.00 + purchases 60.00 - closing 80.00 = 80.00 used; + 40.00 labour + 30.00 firing + 20.00 part-made
    before - 10.00 after = 160.00 made; + 50.00 finished before - 70.00 after = 140.00 sold.
    """
    if finished_goods.is_empty():
        return shaped(CostOfGoods, pl.DataFrame(schema=types(CostOfGoods)))
    stock, goods = _totals(materials_ledger), _totals(finished_goods)
    put_in = dict(costs_put_in.group_by("what").agg(pl.col("cost").sum()).iter_rows())
    differing = dict(stock_differences.group_by("what").agg(pl.col("difference").sum()).iter_rows())
    counted = differing.get(RAW, NOTHING) + differing.get(PACKING, NOTHING)
    part, shelf = differing.get(PART_MADE, NOTHING), differing.get(FINISHED, NOTHING)
    left = stock["opening_value"] + stock["bought_value"] - stock["used_value"]
    statement = _Statement()
    first = statement.next
    statement.add(
        "opening raw materials", stock["opening_value"] - counted, "materials_ledger: opening_value, less line 2"
    )
    statement.add("stock differences in raw materials", counted, "stock_differences: raw and packing materials")
    statement.add("purchases", stock["bought_value"], "materials_ledger: bought_value")
    statement.add("less closing raw materials", -left, "materials_ledger: closing_value")
    used = statement.sum("raw materials used", first)
    statement.add("other costs of pieces", put_in.get(OTHER, NOTHING), "costs_put_in: other, which is in no lot")
    statement.add("paid labour", put_in.get(PAID, NOTHING), "costs_put_in: paid labour")
    statement.add("works overhead: firing", put_in.get(FIRING, NOTHING), "costs_put_in: firing")
    statement.add("works overhead: absorbed", put_in.get(OVERHEAD, NOTHING), "costs_put_in: overhead")
    statement.add(
        "opening part-made goods", goods["opening_part_made"] - part,
        f"finished_goods: opening_part_made, less line {statement.next + 1}",
    )  # fmt: skip
    statement.add("stock differences in part-made goods", part, "stock_differences: part-made goods")
    statement.add("less closing part-made goods", -goods["closing_part_made"], "finished_goods: closing_part_made")
    statement.add("less abnormal loss", -goods["abnormal_loss"], "finished_goods: abnormal_loss")
    made = statement.sum("cost of goods made", used)
    statement.add(
        "opening finished goods", goods["opening_value"] - shelf,
        f"finished_goods: opening_value, less line {statement.next + 1}",
    )  # fmt: skip
    statement.add("stock differences in finished goods", shelf, "stock_differences: finished goods")
    statement.add("less closing finished goods", -goods["closing_value"], "finished_goods: closing_value")
    statement.sum("cost of goods sold", made)
    return shaped(CostOfGoods, pl.DataFrame(statement.rows, schema=types(CostOfGoods), orient="row"))


class _Statement:
    """Lines that are numbered as they are added."""

    def __init__(self) -> None:
        self.rows: list[tuple[int, str, Decimal, str]] = []

    @property
    def next(self) -> int:
        """The number of the line that comes next."""
        return len(self.rows) + 1

    def add(self, what: str, money: Decimal, found_in: str) -> None:
        """A line."""
        self.rows.append((self.next, what, money, found_in))

    def sum(self, what: str, first: int) -> int:
        """A line that adds up those from ``first`` to here; gives its number."""
        last = self.next - 1
        money = sum((row[2] for row in self.rows[first - 1 :]), NOTHING)
        self.add(what, money, f"lines {first} to {last}")
        return self.next - 1


def _totals(frame: pl.DataFrame) -> dict[str, Decimal]:
    """The sum of every column of money; nought of an empty one."""
    money = [name for name, kind in frame.schema.items() if isinstance(kind, pl.Decimal)]
    return {name: total or NOTHING for name, total in frame.select(pl.col(money).sum()).row(0, named=True).items()}
