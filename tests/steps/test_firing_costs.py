"""What firings cost and how lines share it: small sums on paper, and published energy sums."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import frame, make_job
from tests.steps.worked import inputs, step

D = Decimal

CUP: Cells = {"order": "A", "form": "cup", "quantity": 10}
FIRED: list[Cells] = [{"stage": "throw"}, {"stage": "fire", "firing": "glaze"}]


def loaded(pieces: int, **line: Any) -> Cells:
    return {"order": "A", "form": "cup", "load": "L1", "firing": "glaze", "kiln": "kiln", "pieces": pieces} | line


def attended(minutes: float, paid: str | None, own: str | None, **at: Any) -> Cells:
    row = {"order": "A", "form": "cup", "stage": "fire", "load": "L1", "minutes": minutes}
    return row | {"paid_labour": paid and D(paid), "own_labour": own and D(own)} | at


def costs(job: Job, kiln_loads: list[Cells], labour: list[Cells] | None = None) -> pl.DataFrame:
    results = {"kiln_loads": frame("kiln_loads", kiln_loads), "labour": frame("labour", labour or [])}
    return step("firing_costs")(**inputs("firing_costs", job, results))


def job_of(*orders: Cells, **more: Any) -> Job:
    return make_job(**{"orders": list(orders or (CUP,)), "stages": FIRED} | more)


@pytest.mark.parametrize(
    ("kwh", "price", "cost"),
    [
        # 48 A x 240 V = 11.52 kW: seven hours at 15 % duty, 12.096 kWh, and nine at 50 %, 51.84; at 0.10 a kWh 6.3936.
        # Duties and times: a pottery school's page on what an electric firing costs.
        (63.936, "0.10", "6.39"),
        # 3.6 kW full on for 3.25 h is 11.7 kWh; at 0.17 1.989. Source: a forum of glass fusers.
        (11.7, "0.17", "1.99"),
        # One element for an hour costs 0.0782; on are 1, 2, 3, 4 and 4 of them in turn: 14 element-hours, 1.0948, the
        # 14 taken as kWh. Source: the text file KILN-AMP.TXT.
        (14.0, "0.0782", "1.09"),
    ],
)
def test_energy_is_kilowatt_hours_at_their_price(kwh: float, price: str, cost: str) -> None:
    job = job_of(firings=[{"firing": "glaze", "kwh": kwh}], settings={"energy_price": D(price)})
    assert costs(job, [loaded(10)])["energy"].to_list() == [D(cost)]


def test_energy_and_wear_are_shared_each_to_the_penny() -> None:
    # A quarter and three quarters of the room: 10.01 of energy is 2.50 (2.5025) and 7.51 (7.5075), 2.01 of wear 0.50
    # (0.5025) and 1.51 (1.5075).
    job = job_of(
        CUP,
        CUP | {"form": "plate"},
        firings=[{"firing": "glaze", "kwh": 40.04, "other_cost": D("2.01")}],
        kiln_fit=[
            {"firing": "glaze", "form": "cup", "pieces": 48},
            {"firing": "glaze", "form": "plate", "pieces": 12},
        ],
        settings={"energy_price": D("0.25")},
    )
    found = costs(job, [loaded(12), loaded(9, form="plate")])
    assert found.select("room_pct", "energy", "wear", "cost").rows() == [
        (25.0, D("2.50"), D("0.50"), D("3.00")),
        (75.0, D("7.51"), D("1.51"), D("9.02")),
    ]


def test_two_batches_of_a_line_are_one_row() -> None:
    found = costs(job_of(firings=[{"firing": "glaze", "other_cost": D("9.00")}]), [loaded(4), loaded(6, batch="B2")])
    assert found.select("pieces", "room_pct", "wear").rows() == [(10, 100.0, D("9.00"))]


def test_attendance_is_the_labour_in_that_load() -> None:
    # Tam 30 minutes, 7.25 paid, and Ada 20, 6.00 of her own time; another 5.00 are of another load.
    labour = [
        attended(30.0, "7.25", "0", worker="Tam"),
        attended(20.0, "0", "6.00", worker="Ada"),
        attended(12.0, "5.00", "0", load="L2"),
        attended(99.0, "9.00", "0", load=None, stage="throw"),
    ]
    job = job_of(firings=[{"firing": "glaze", "other_cost": D("3.00")}], settings={"energy_price": D(0)})
    row = costs(job, [loaded(10)], labour).row(0, named=True)
    assert (row["attendance_minutes"], row["paid_labour"], row["own_labour"]) == (50.0, D("7.25"), D("6.00"))
    # 3.00 of wear and 13.25 of labour.
    assert (row["cost"], row["total"]) == (D("3.00"), D("16.25"))


def test_energy_without_a_price_is_blank_and_wear_alone_is_told() -> None:
    worn = costs(job_of(firings=[{"firing": "glaze", "kwh": 40.0, "other_cost": D("3.00")}]), [loaded(10)])
    assert worn.select("energy", "wear", "cost", "total").rows() == [(None, D("3.00"), D("3.00"), D("3.00"))]
    bare = costs(job_of(firings=[{"firing": "glaze", "kwh": 40.0}]), [loaded(10)])
    assert bare.select("energy", "wear", "cost", "total").rows() == [(None, D(0), None, None)]
