"""Purchases to make, on paper."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import polars as pl

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import make_job
from tests.steps.worked import unscheduled

THROW: list[Cells] = [{"stage": "throw"}]


def cups(quantity: int, **sheets: object) -> Job:
    """An order of cups of a kilogram each, thrown and done, of a clay in bags of 12.5 kg of which there is none."""
    return make_job(
        **{
            "orders": [{"order": "A", "form": "cup", "quantity": quantity, "due": dt.date(2027, 4, 30)}],
            "forms": [{"form": "cup", "ball_g": 1000.0}],
            "clay_stock": [{"clay": "buff", "supplier": "North Yard", "bags": 0, "bag_price": Decimal("14.40")}],
            "stages": THROW,
        }
        | sheets  # type: ignore[arg-type]
    )


def money(job: Job, **only: str) -> list[tuple[Decimal | None, ...]]:
    return unscheduled("purchases", job).filter(**only).select("net", "tax", "gross").rows()


def test_net_tax_and_gross_of_the_clay() -> None:
    # 50 cups take 50 kg: 4 bags at 14.40 are 57.60; 20 % of that are 11.52; together 69.12.
    found = unscheduled("purchases", cups(50, settings={"tax_pct": 20.0})).row(0, named=True)
    assert (found["supplier"], found["description"], found["quantity"]) == ("North Yard", "buff", 4)
    assert (found["net"], found["tax"], found["gross"]) == (Decimal("57.60"), Decimal("11.52"), Decimal("69.12"))


def test_carriage_is_taxed_too() -> None:
    # 57.60 and a van at 9.00 are 66.60; 20 % are 13.32; together 79.92.
    van: Cells = {"supplier": "North Yard", "carriage": Decimal(9)}
    prices = [van | {"clay": "buff", "pack_kg": 12.5, "pack_price": Decimal("14.40")}]
    found = money(cups(50, clay_prices=prices, settings={"tax_pct": 20.0}))
    assert found == [(Decimal("66.60"), Decimal("13.32"), Decimal("79.92"))]


def test_half_a_cent_of_tax_is_rounded_up() -> None:
    # 4 bags at 14.45 are 57.80; 7.5 % of that are 4.335, so 4.34.
    stock = [{"clay": "buff", "bags": 0, "bag_price": Decimal("14.45")}]
    assert money(cups(50, clay_stock=stock, settings={"tax_pct": 7.5})) == [
        (Decimal("57.80"), Decimal("4.34"), Decimal("62.14"))
    ]


def test_without_a_rate_there_is_no_tax() -> None:
    assert money(cups(50)) == [(Decimal("57.60"), Decimal(0), Decimal("57.60"))]


def test_a_material_without_a_price_is_bought_at_an_unknown_one() -> None:
    job = cups(
        50, materials=[{"material": "wool"}], form_materials=[{"form": "cup", "material": "wool", "each_g": 10.0}]
    )
    found = unscheduled("purchases", job).filter(description="wool")
    assert found["quantity"].to_list() == [1]
    assert found.select("unit_price", "net", "tax", "gross").null_count().row(0) == (1, 1, 1, 1)


def test_what_is_in_stock_is_not_bought() -> None:
    assert unscheduled("purchases", cups(50, clay_stock=[{"clay": "buff", "bags": 9}])).is_empty()


def test_every_pack_to_buy_is_a_purchase() -> None:
    job = cups(
        50,
        clay_stock=[{"clay": "buff", "bags": 1, "bag_price": Decimal("14.40")}],
        materials=[{"material": "wool", "pack_price": Decimal("8.75")}],
        form_materials=[{"form": "cup", "material": "wool", "each_g": 10.0}],
    )
    bought = unscheduled("packs_to_buy", job)["cost"].sum() + unscheduled("materials_to_buy", job)["cost"].sum()
    assert unscheduled("purchases", job).select(pl.col("net").sum()).item() == bought == Decimal("51.95")


STOCK: list[Cells] = [{"clay": "buff", "bags": 0, "bag_price": Decimal("14.40")}]
SUPPLIES: list[Cells] = [{"material": name, "pack_price": Decimal(8)} for name in ("wool", "wax", "flint")]
OF_A_CUP: list[Cells] = [
    {"form": "cup", "material": "wool", "each_g": 10.0, "stage": None},
    {"form": "cup", "material": "wax", "each_g": 10.0, "stage": None},
    {"form": "cup", "material": "wax", "each_g": 1.0, "stage": "throw"},
]


def accounts_of(*accounts: Cells) -> dict[str, str]:
    """What is bought to its account; the glaze's flint is not packing, though some goes into each parcel."""
    job = cups(
        50,
        orders=[{"order": "A", "form": "cup", "glaze": "oat", "quantity": 50}],
        forms=[{"form": "cup", "ball_g": 1000.0, "glaze_g": 20.0}],
        stages=[{"stage": "throw"}, {"stage": "glaze"}],
        glazes=[{"glaze": "oat", "material": "flint", "percent": 100.0}],
        clay_stock=STOCK,
        materials=SUPPLIES,
        form_materials=[*OF_A_CUP, {"form": "cup", "material": "flint", "each_g": 1.0, "stage": None}],
        accounts=list(accounts),
    )
    return dict(unscheduled("purchases", job).select("description", "account").iter_rows())


def test_what_is_taken_only_at_the_sale_is_packing() -> None:
    raw = "raw materials"
    assert accounts_of() == {"buff": raw, "wool": "packing materials", "wax": raw, "flint": raw}


def test_an_account_goes_by_its_code_and_name_or_else_by_its_words() -> None:
    coded: Cells = {"what": "raw materials", "code": "1010", "name": "Clay and glaze"}
    found = accounts_of(coded, {"what": "packing materials", "code": None, "name": "Packing"})
    assert (found["buff"], found["wool"]) == ("1010 Clay and glaze", "packing materials")
