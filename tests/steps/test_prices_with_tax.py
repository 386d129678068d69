"""Prices that hold the tax, on paper: the gross is what is paid, and costs are without the tax."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.money import amount, at_price, at_tax, exact_price, known_sum, net_price
from schemas.settings import BOTH, BOUGHT, NONE, SOLD, Settings
from tests.reading.folders import TODAY, job_of
from tests.steps.worked import Results, worked

ORDERS = "order,form,quantity,unit_price,deposit\nA,cup,{quantity},{price},\n"
SHEETS = {
    "forms": "form,clay,ball_g,other_cost,second_price,seconds_pct\ncup,buff,1000,0.60,6.00,50\n",
    "clay_stock": "clay,supplier,bag_kg,bags,bag_price\nbuff,North Yard,10,1,12.00\n",
    "clay_prices": "clay,supplier,pack_kg,pack_price,carriage\nbuff,North Yard,10,18.79,6.00\n",
    "labour_hours": "worker,day,hours,hourly_rate,own_time\nAda,Mon-Fri,8,12,no\n",
    "stages": "method,step,stage,minutes_each\nthrown,1,throw,1\n",
}
"""Cups of a kilogram; 10 kg are there, and more comes in bags of 10 kg with a van at 6.00."""


def plan(folder: Path, prices_with_tax: str, quantity: int, price: str = "16.00") -> Results:
    settings = (
        f"name,value\nstart,{TODAY}\ncurrency,EUR\nspare_clay_pct,0\ntax_pct,20\nprices_with_tax,{prices_with_tax}\n"
    )
    return worked(job_of(folder, orders=ORDERS.format(quantity=quantity, price=price), settings=settings, **SHEETS))


def test_a_price_of_sales_that_holds_the_tax(tmp_path: Path) -> None:
    # 60 at 16.00 are 960.00 as paid; / 1.20 = 800.00; 160.00 are tax. The price without tax is 16 / 1.2 = 13.333333.
    results = plan(tmp_path, SOLD, 60)
    row = results["sales"].row(0, named=True)
    assert (row["net"], row["tax"], row["gross"]) == (800, 160, 960)
    assert row["unit_price"] == Decimal("13.333333")
    assert results["job_costs"]["sales"][0] == 800


def test_what_is_divided_is_the_whole_sum_rounded_once(tmp_path: Path) -> None:
    # 3 at 18.79 are 56.37; / 1.20 = 46.975, so 46.98, and 56.37 - 46.98 = 9.39. Three times 15.658333 would be 46.97.
    row = plan(tmp_path, BOTH, 3, "18.79")["sales"].row(0, named=True)
    assert (row["net"], row["tax"], row["gross"]) == (Decimal("46.98"), Decimal("9.39"), Decimal("56.37"))


def test_tax_stays_on_top_of_prices_that_do_not_hold_it(tmp_path: Path) -> None:
    # 60 at 16.00 are 960.00, and 20 % of that 192.00.
    for chosen in (NONE, BOUGHT):
        row = plan(tmp_path, chosen, 60)["sales"].row(0, named=True)
        assert (row["net"], row["tax"], row["gross"]) == (960, 192, 1152)


def test_purchases_that_hold_the_tax(tmp_path: Path) -> None:
    # 40 cups take 40 kg; 10 are there: 3 bags at 18.79 are 56.37, the van 6.00: 62.37 to be paid. Without tax
    # 46.98 (46.975) and 5.00, together 51.98; tax 62.37 - 51.98 = 10.39.
    results = plan(tmp_path, BOUGHT, 40)
    row = results["purchases"].row(0, named=True)
    assert (row["quantity"], row["carriage"]) == (3, 5)
    assert (row["net"], row["tax"], row["gross"]) == (Decimal("51.98"), Decimal("10.39"), Decimal("62.37"))
    assert results["packs_to_buy"]["cost"][0] == row["net"]


def test_costs_are_without_the_tax(tmp_path: Path) -> None:
    # The 10 kg in stock at 12.00, without tax 10.00; 51.98 for those bought; 40 x 0.60 / 1.20 = 20.00: 81.98 in all.
    results = plan(tmp_path, BOUGHT, 40)
    assert results["job_costs"]["materials"][0] == Decimal("81.98")
    ledger = results["materials_ledger"].select("opening_value", "bought_value").sum().row(0)
    assert ledger == (10, Decimal("51.98"))


def test_a_second_sells_with_the_tax_in_its_price(tmp_path: Path) -> None:
    # A second at 6.00 holds 1.00 of tax.
    assert plan(tmp_path, SOLD, 10)["job_costs"]["second_price"][0] == 5
    assert plan(tmp_path, BOUGHT, 10)["job_costs"]["second_price"][0] == 6


@pytest.mark.parametrize("chosen", [NONE, SOLD, BOUGHT, BOTH])
def test_every_row_adds_up(tmp_path: Path, chosen: str) -> None:
    results = plan(tmp_path, chosen, 37, "17.35")
    for name in ("sales", "purchases"):
        for net, tax, gross in results[name].select("net", "tax", "gross").iter_rows():
            assert net + tax == gross


@given(
    pence=st.integers(0, 100_000),
    number=st.integers(0, 5_000),
    rate=st.sampled_from((5.0, 5.5, 7.5, 8.875, 10.0, 12.0, 19.0, 20.0, 25.0)),
)
def test_the_gross_is_what_is_paid_and_the_net_is_that_divided(pence: int, number: int, rate: float) -> None:
    """Net of n at a price p of so many pence = n p / (1 + t), to the penny, half a penny up; gross = n p, exactly."""
    settings = Settings(TODAY, "EUR", tax_pct=rate, prices_with_tax=SOLD)
    price = net_price(Decimal(pence) / 100, settings)
    each = exact_price(price, SOLD, settings)
    assert each is not None
    net = at_price(number, each, 2)
    tax, gross = at_tax(net, number * each, SOLD, settings)
    paid = Fraction(number * pence, 100)
    assert gross == paid
    assert net == amount(paid / (1 + Fraction(str(rate)) / 100), 2)
    assert [net, tax].count(None) == 0
    assert known_sum([net, tax]) == gross
