"""Sales and deposits, on paper."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from tests.shops import make_job
from tests.steps.worked import worked


def sale(settings: dict[str, Any], **line: Any) -> dict[str, Any]:
    """The sale of a line of 60 tumblers, or as many as the line says."""
    job = make_job(
        orders=[{"order": "A", "form": "tumbler", "quantity": 60} | line],
        forms=[{"form": "tumbler", "ball_g": 400.0}],
        clay_stock=[{"clay": "buff", "bags": 9}],
        stages=[{"stage": "throw"}],
        settings=settings,
    )
    results = worked(job)
    row = results["sales"].row(0, named=True)
    assert row["ready"] == results["promises"]["ready"][0]
    assert row["net"] == results["job_costs"]["sales"][0]
    return row


def test_a_deposit_is_owed_to_the_customer_until_delivery() -> None:
    # 60 at 16.00 are 960.00; 20 % are 192.00; of 1,152.00 a deposit of 300.00 leaves 852.00.
    found = sale({"tax_pct": 20.0}, unit_price=Decimal("16.00"), deposit=Decimal(300))
    assert (found["net"], found["tax"], found["gross"]) == (Decimal(960), Decimal(192), Decimal(1152))
    assert (found["deposit_held"], found["still_owed"]) == (Decimal(300), Decimal(852))


def test_more_paid_than_owed_is_to_be_given_back() -> None:
    # 60 at 1.00 are 60.00, without tax; 75.00 were paid.
    assert sale({}, unit_price=Decimal(1), deposit=Decimal(75))["still_owed"] == Decimal(-15)


def test_without_a_price_a_deposit_is_held_and_what_is_owed_is_not_known() -> None:
    found = sale({"tax_pct": 20.0}, deposit=Decimal(75))
    assert found["deposit_held"] == Decimal(75)
    assert [found[name] for name in ("unit_price", "net", "tax", "gross", "still_owed")] == [None] * 5


def test_a_currency_without_cents() -> None:
    # 60 at 1,253 are 75,180; 8 % are 6,014.4, so 6,014.
    found = sale({"tax_pct": 8.0, "currency": "JPY"}, unit_price=Decimal(1253))
    assert (found["tax"], found["gross"]) == (Decimal(6014), Decimal(81194))


@pytest.mark.parametrize(
    ("currency", "price", "net"),
    [
        # The ROUND_HALF_UP of the General Decimal Arithmetic specification (M. Cowlishaw), from memory; a binary float
        # gives 2.67 and 1.00 for two of them, and half-even 0.12, 1.00, 0 and 2.
        ("EUR", "0.125", "0.13"),
        ("EUR", "0.135", "0.14"),
        ("EUR", "2.675", "2.68"),
        ("EUR", "1.005", "1.01"),
        ("JPY", "0.5", "1"),
        ("JPY", "1.5", "2"),
        ("JPY", "2.5", "3"),
    ],
)
def test_halves_are_rounded_up(currency: str, price: str, net: str) -> None:
    found = sale({"currency": currency}, quantity=1, unit_price=Decimal(price))
    assert (found["net"], found["gross"]) == (Decimal(net), Decimal(net))
