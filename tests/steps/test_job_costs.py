"""What a line costs and earns: small sums on paper."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import polars as pl
import pytest

from pipeline.job import Job
from tests.random_sheets import Cells
from tests.shops import START, frame, make_job
from tests.steps.worked import inputs, step

D = Decimal

CUP: Cells = {"order": "A", "form": "cup", "quantity": 10}
FIRED: list[Cells] = [{"stage": "throw"}, {"stage": "fire", "firing": "glaze"}]


def job_of(*orders: Cells, **more: Any) -> Job:
    return make_job(**{"orders": list(orders), "stages": FIRED} | more)


def materials(cost: str, **line: Any) -> Cells:
    return {"order": "A", "form": "cup", "material": "buff", "quantity": 1.0, "cost": D(cost)} | line


def hours(worked: float, labour: str, own: str = "0", **line: Any) -> Cells:
    row = {"order": "A", "form": "cup", "stage": "throw", "pieces": 10, "hours": worked}
    return row | {"labour_cost": D(labour), "own_labour": D(own)} | line


def loaded(pieces: int, **line: Any) -> Cells:
    return {"order": "A", "form": "cup", "load": "L1", "firing": "glaze", "kiln": "kiln", "pieces": pieces} | line


def costs(
    job: Job,
    materials_cost: Sequence[Cells] = (),
    stage_hours: Sequence[Cells] = (),
    kiln_loads: Sequence[Cells] = (),
) -> pl.DataFrame:
    """What the lines of a job cost, by sheets made by hand."""
    return step("job_costs")(**inputs("job_costs", job, by_hand(job, materials_cost, stage_hours, kiln_loads)))


def by_hand(
    job: Job, materials_cost: Sequence[Cells] = (), stage_hours: Sequence[Cells] = (), kiln_loads: Sequence[Cells] = ()
) -> dict[str, pl.DataFrame]:
    """The sheets behind what lines cost: a stage's labour is done by two workers, one paid and one the owner."""
    results = {
        "pieces": step("pieces")(**inputs("pieces", job, {})),
        "materials_cost": frame("materials_cost", list(materials_cost)),
        "stage_hours": frame("stage_hours", list(stage_hours)),
        "kiln_loads": frame("kiln_loads", list(kiln_loads)),
        "schedule": frame("schedule", [{"date": START}]),
        "labour": frame("labour", [row for worked in stage_hours for row in labour(worked)]),
    }
    for name in ("firing_costs", "overhead"):
        results[name] = step(name)(**inputs(name, job, results))
    return results


def labour(worked: Cells) -> list[Cells]:
    """The labour of a row of stage hours, its whole time counted as the owner's."""
    at = {name: worked[name] for name in ("order", "form", "glaze", "stage") if name in worked}
    own = worked["own_labour"]
    paid = D(0) if own is None else worked["labour_cost"] - own
    return [
        at | {"own_time": False, "minutes": 0.0, "paid_labour": paid, "own_labour": D(0)},
        at | {"own_time": True, "minutes": worked["hours"] * 60, "paid_labour": D(0), "own_labour": own},
    ]


def one(*sheets: Any) -> dict[str, Any]:
    return costs(*sheets).row(0, named=True)


def test_tenths_add_up_exactly() -> None:
    # IEEE 754 doubles make 0.30000000000000004 of 0.1 and 0.2.
    job = job_of(CUP, firings=[{"firing": "glaze", "other_cost": D("0.20")}])
    assert one(job, [materials("0.10")], [], [loaded(10)])["book_cost"] == D("0.30")


def test_every_cost_is_the_sum_of_its_rows() -> None:
    # Materials 20.40 + 2.88 + 14.00 = 37.28. Labour 24.00 + 10.00 = 34.00, of which 18.00 + 10.00 = 28.00 is own time
    # and 6.00 paid. 2.25 + 1.5 = 3.75 hours at 4.50: 16.875, so 16.88. A firing of 12.00, all of it for this line.
    # Books: 37.28 + 12.00 + 6.00 = 55.28. Full: 55.28 + 28.00 + 16.88 = 100.16.
    job = job_of(
        CUP | {"customer": "Harbour Kitchen", "glaze": "oat", "unit_price": D("14.00")},
        firings=[{"firing": "glaze", "other_cost": D("12.00")}],
        settings={"overhead_per_hour": D("4.50")},
    )
    oat = {"glaze": "oat"}
    found = one(
        job,
        [materials("20.40", **oat), materials("2.88", material="feldspar", **oat), materials("14.00", **oat)],
        [hours(2.25, "24.00", "18.00", **oat), hours(1.5, "10.00", "10.00", stage="fire", **oat)],
        [loaded(10, **oat)],
    )
    assert {name: found[name] for name in ("materials", "firing", "paid_labour", "own_labour", "overhead")} == {
        "materials": D("37.28"),
        "firing": D("12.00"),
        "paid_labour": D("6.00"),
        "own_labour": D("28.00"),
        "overhead": D("16.88"),
    }
    assert (found["book_cost"], found["full_cost"]) == (D("55.28"), D("100.16"))
    # 55.28 / 10 = 5.528 and 100.16 / 10 = 10.016.
    assert (found["book_cost_each"], found["full_cost_each"]) == (D("5.53"), D("10.02"))
    # 10 x 14.00 = 140.00; 140.00 - 100.16 = 39.84; 39.84 / 140.00 = 28.457 %.
    assert (found["sales"], found["margin"], found["margin_pct"]) == (D("140.00"), D("39.84"), 28.46)
    assert (found["customer"], found["quantity"], found["pieces_to_start"]) == ("Harbour Kitchen", 10, 10)


def test_the_owners_own_time_is_not_in_the_books() -> None:
    found = one(job_of(CUP), [], [hours(2.0, "36.00", "36.00")])
    assert (found["book_cost"], found["full_cost"]) == (0, D("36.00"))


def test_a_line_that_loses_money_has_a_margin_below_nought() -> None:
    # 10 x 1.00 = 10.00; costs 15.00: -5.00, -50 %.
    found = one(job_of(CUP | {"unit_price": D("1.00")}), [materials("15.00")])
    assert (found["margin"], found["margin_pct"]) == (D("-5.00"), -50.0)


def test_without_a_price_there_are_no_sales_and_at_a_price_of_nought_no_percentage() -> None:
    found = costs(job_of(CUP, CUP | {"order": "B", "unit_price": D(0)}), [materials("15.00")])
    assert found.select("order", "unit_price", "sales", "margin", "margin_pct").rows() == [
        ("A", None, None, None, None),
        ("B", 0, 0, 0, None),
    ]


def test_rows_go_to_their_own_line() -> None:
    job = job_of(CUP, CUP | {"glaze": "oat"}, CUP | {"form": "bowl"}, CUP | {"order": "B"})
    rows = [
        materials("1.00"),
        materials("2.00", glaze="oat"),
        materials("4.00", form="bowl"),
        materials("8.00", order="B"),
    ]
    assert costs(job, rows)["materials"].to_list() == [1, 2, 4, 8]


def test_pieces_to_start_are_those_still_to_begin() -> None:
    # 10 wanted, 20 % lost, 4 thrown (3.2, so 3 good): 7 / 0.8 = 8.75, so 9.
    job = job_of(
        CUP,
        stages=[{"stage": "throw"}, {"stage": "turn", "loss_pct": 20.0}],
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 4}],
    )
    assert one(job)["pieces_to_start"] == 9


# Firings


def test_a_load_is_shared_to_the_penny() -> None:
    # 100.00 in three equal parts: 33.34 + 33.33 + 33.33, the odd penny to the first.
    job = job_of(*(CUP | {"order": order} for order in "ABC"), firings=[{"firing": "glaze", "other_cost": D("100.00")}])
    found = costs(job, [], [], [loaded(10, order=order, batch=f"B{order}") for order in "ABC"])
    assert found["firing"].to_list() == [D("33.34"), D("33.33"), D("33.33")]


def test_a_load_is_shared_by_room_and_not_by_pieces() -> None:
    # 12 of the 48 cups that fill the kiln take a quarter, 9 of 12 plates three quarters. 40 kWh at 0.25 and 2.00 of
    # wear: 12.00, so 3.00 and 9.00.
    job = job_of(
        CUP,
        CUP | {"form": "plate"},
        firings=[{"firing": "glaze", "kwh": 40.0, "other_cost": D("2.00")}],
        kiln_fit=[
            {"firing": "glaze", "form": "cup", "pieces": 48},
            {"firing": "glaze", "form": "plate", "pieces": 12},
        ],
        settings={"energy_price": D("0.25")},
    )
    found = costs(job, [], [], [loaded(12), loaded(9, form="plate")])
    assert found["firing"].to_list() == [D("3.00"), D("9.00")]


def test_a_kiln_that_is_not_full_costs_the_same() -> None:
    # One cup alone in the kiln pays for all of it.
    job = job_of(CUP, firings=[{"firing": "glaze", "other_cost": D("12.00")}])
    assert one(job, [], [], [loaded(1)])["firing"] == D("12.00")


def test_a_line_pays_for_each_load_that_it_is_in_by_what_that_kiln_costs() -> None:
    # A load of the small kiln at 5.00 and one of the big at 9.00: 14.00.
    job = job_of(
        CUP,
        kilns=[{"kiln": "small"}, {"kiln": "big"}],
        firings=[
            {"firing": "glaze", "kiln": "small", "other_cost": D("5.00")},
            {"firing": "glaze", "kiln": "big", "other_cost": D("9.00")},
        ],
    )
    found = one(job, [], [], [loaded(4, kiln="small"), loaded(6, kiln="big", load="L2")])
    assert found["firing"] == D("14.00")


# Currencies


@pytest.mark.parametrize(
    ("currency", "shares", "overhead", "each"),
    [
        # 100 in three parts, and an hour's overhead of 2.6667 a third of which is 0.8889; costs each are a tenth.
        ("JPY", ("34", "33", "33"), "1", "4"),  # 34 + 1 = 35; 3.5 each, so 4
        ("EUR", ("33.34", "33.33", "33.33"), "0.89", "3.42"),  # 34.23; 3.423 each
        ("KWD", ("33.334", "33.333", "33.333"), "0.889", "3.422"),  # 34.223; 3.4223 each
    ],
)
def test_amounts_have_the_places_of_the_currency(
    currency: str, shares: tuple[str, ...], overhead: str, each: str
) -> None:
    # Yen have no smaller coin; the dinar of Kuwait has three places. Source: ISO 4217, from memory.
    job = job_of(
        *(CUP | {"order": order} for order in "ABC"),
        firings=[{"firing": "glaze", "other_cost": D(100)}],
        settings={"currency": currency, "overhead_per_hour": D("2.6667")},
    )
    found = costs(job, [], [hours(0.3333333, "0")], [loaded(10, order=order, batch=f"B{order}") for order in "ABC"])
    assert found["firing"].to_list() == [D(share) for share in shares]
    row = found.row(0, named=True)
    assert (row["overhead"], row["full_cost_each"]) == (D(overhead), D(each))


def test_money_is_exact() -> None:
    # 0.10 + 0.20 is 0.30, which in binary numbers it is not.
    assert one(job_of(CUP), [materials("0.10"), materials("0.20")])["materials"] == D("0.30")


# Published jobs


@pytest.mark.parametrize(
    ("quantity", "material", "labour_cost", "hours_worked", "rate", "full", "each"),
    [
        # Job 334: material 5,000; labour 2,400 at 6 an hour, 400 h; overhead 100,000 / 40,000 h = 2.50: 1,000. 200.
        (200, "5000", "2400", 400.0, "2.50", "8400", "42.00"),
        # Job 413: 12,000, 8,000 and overhead of 120 % of labour, 9,600, here 8,000 h at 1.20. 200 units.
        (200, "12000", "8000", 8_000.0, "1.20", "29600", "148.00"),
        # Job 420: 4,000, 5,000 and 120 % of labour, 6,000, here 5,000 h at 1.20. 7,500 units.
        (7_500, "4000", "5000", 5_000.0, "1.20", "15000", "2.00"),
    ],
)
def test_jobs_of_textbooks(
    quantity: int, material: str, labour_cost: str, hours_worked: float, rate: str, full: str, each: str
) -> None:
    job = job_of(CUP | {"quantity": quantity}, settings={"overhead_per_hour": D(rate)})
    found = one(job, [materials(material)], [hours(hours_worked, labour_cost)])
    assert (found["full_cost"], found["full_cost_each"]) == (D(full), D(each))


# Seconds

LOSING: list[Cells] = [{"stage": "throw"}, {"stage": "fire", "loss_pct": 20.0}, {"stage": "finish"}]


def test_seconds_are_a_share_of_what_the_last_stage_that_loses_loses() -> None:
    # 10 / 0.8 = 12.5, so 13 are fired, 2.6 lost, and half of those sell as seconds: 1.3 at 4.00 are 5.20. 20.00 of
    # clay less 5.20: 14.80, 1.48 each.
    job = job_of(CUP, stages=LOSING, forms=[{"form": "cup", "seconds_pct": 50.0, "second_price": D("4.00")}])
    found = one(job, [materials("20.00")])
    assert (found["seconds"], found["seconds_value"]) == (1.3, D("5.20"))
    assert (found["book_cost"], found["book_cost_each"]) == (D("14.80"), D("1.48"))


def test_seconds_without_a_price_take_nothing_off() -> None:
    job = job_of(CUP, stages=LOSING, forms=[{"form": "cup", "seconds_pct": 50.0}])
    found = one(job, [materials("20.00")])
    assert (found["seconds"], found["seconds_value"], found["book_cost"]) == (1.3, None, D("20.00"))


# What is not known


def test_of_pieces_in_the_studio_already_no_figure_each_is_told() -> None:
    # What the four thrown have cost is not known: of the six others alone a cost each would say too little.
    job = job_of(
        CUP | {"unit_price": D("14.00")},
        stages=[{"stage": "throw"}, {"stage": "turn"}],
        in_progress=[{"form": "cup", "stage_done": "throw", "pieces": 4}],
    )
    found = one(job, [materials("20.00")])
    assert (found["pieces_to_start"], found["already_begun"]) == (6, 4)
    assert (found["book_cost"], found["full_cost"], found["sales"]) == (D("20.00"), D("20.00"), D("140.00"))
    for name in ("book_cost_each", "full_cost_each", "margin", "margin_pct"):
        assert found[name] is None


def test_what_nobody_gave_a_price_for_is_blank_and_the_rest_is_added_up() -> None:
    # Neither energy nor Ada's rate nor overhead: 20.00 of clay are all that is known.
    job = job_of(CUP, firings=[{"firing": "glaze", "kwh": 40.0}])
    worked = hours(2.0, "0") | {"own_labour": None, "labour_cost": None}
    found = one(job, [materials("20.00")], [worked], [loaded(10)])
    assert found["firing"] is found["own_labour"] is found["overhead"] is None
    assert (found["paid_labour"], found["book_cost"], found["full_cost"]) == (0, D("20.00"), D("20.00"))
