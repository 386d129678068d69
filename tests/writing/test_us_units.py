"""A plan for US readers: every weight is the CSV's by the pound, wherever people read it; nothing else differs."""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from datetime import date
from io import BytesIO, StringIO
from itertools import pairwise
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.job import Job
from pipeline.plan import Outcome, whole_plan
from pipeline.reading.read import read_job
from pipeline.writing.book import book
from pipeline.writing.book.clay import clay_tabs
from pipeline.writing.book.prices import prices_tab
from pipeline.writing.book.shares import Shares
from pipeline.writing.csvs import csv_text
from pipeline.writing.day import day_pages, day_sheet
from pipeline.writing.events import plan_events
from pipeline.writing.files import plan_files
from pipeline.writing.screen import table
from pipeline.writing.shown import clay_weight, weight_of_a_ball
from pipeline.writing.xlsx import draw
from schemas import REQUIRED, SHEETS_IN, SHEETS_OUT
from schemas.problem import problems_sheet
from schemas.settings import Settings, Units
from schemas.sheet import blank
from tests.shops import frame, make_job
from tests.writing.libreoffice import Tabs, recalculated

BUFF = make_job(orders=[{"order": "A", "form": "cup", "quantity": 1}])
"""A job with a lot of buff."""

STUDIO = Path(__file__).resolve().parents[2] / "sample_data" / "studio"

UNITS: tuple[Units, ...] = ("metric", "us")

POUND, OUNCE = 0.45359237, 28.349523125
"""In kilograms and in grams. Source: the international yard and pound agreement of 1959; a pound is 16 ounces."""

WEIGHTS = {
    "clay to buy": ("clay_to_buy", ("needed", "on hand", "keep", "reclaim", "short", "bought", "left")),
    "packs to buy": ("packs_to_buy", ("covers", "pack", "bought")),
    "materials to buy": ("materials_to_buy", ("needed", "on hand", "keep", "short", "pack", "bought", "left")),
    "wedging": ("clay_to_wedge", ("added", "spare", "total")),
    "earnings": ("earnings", ("clay",)),
    "purchases": ("purchases", ("pack",)),
    "materials ledger": ("materials_ledger", ("opening", "bought", "reclaimed", "used", "closing")),
}
"""Tabs with weights in kilograms, their sheets, and the columns."""


def studio(units: Units) -> Job:
    job = read_job(STUDIO, today=date(2027, 3, 1), needed=REQUIRED).job
    assert job is not None
    return replace(job, settings=replace(job.settings, units=units))


@pytest.fixture(scope="module")
def outcome() -> Outcome:
    return whole_plan(studio("metric"), problems_sheet(()))


@pytest.fixture(scope="module")
def both(outcome: Outcome, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Tabs]:
    """The tabs of the workbook in either units, as LibreOffice computes them."""
    room = tmp_path_factory.mktemp("units")
    found = {}
    for units in UNITS:
        (room / units).mkdir()
        (room / units / "plan.xlsx").write_bytes(draw(book(studio(units), outcome.results)))
        found[units] = recalculated(room / units / "plan.xlsx", room / units)
    return found


def records(sheet: str, outcome: Outcome) -> list[dict[str, str]]:
    """The rows of a sheet's CSV."""
    return list(csv.DictReader(StringIO(csv_text(SHEETS_OUT[sheet], outcome.results[sheet], 2), newline="")))


def under(rows: list[list[str]], heading: str) -> tuple[list[str], str]:
    """The cells below a heading of a tab, and the one in the row of the totals."""
    top = next(at for at, row in enumerate(rows) if heading in row)
    column = rows[top].index(heading)
    last = next(at for at, row in enumerate(rows) if row[0] == "total")
    return [row[column] for row in rows[top + 1 : last]], rows[last][column]


@pytest.mark.parametrize("tab", WEIGHTS)
def test_every_weight_of_clay_is_the_csvs_by_the_pound(both: dict[str, Tabs], outcome: Outcome, tab: str) -> None:
    sheet, names = WEIGHTS[tab]
    rows = records(sheet, outcome)
    assert len(rows) > 1
    for name in names:
        cells, total = under(both["us"][tab], f"{name} lb")
        kilograms = [float(row[f"{name.replace(' ', '_')}_kg"]) for row in rows]
        assert [float(cell) * POUND for cell in cells] == pytest.approx(kilograms, rel=1e-12, abs=1e-9)
        if total:
            assert float(total) * POUND == pytest.approx(sum(kilograms), rel=1e-12, abs=1e-9)
            assert float(total) == pytest.approx(sum(map(float, cells)), rel=1e-12, abs=1e-9)


def test_balls_are_in_ounces(both: dict[str, Tabs], outcome: Outcome) -> None:
    cells, _ = under(both["us"]["wedging"], "ball oz")
    grams = [float(row["ball_g"]) for row in records("clay_to_wedge", outcome)]
    assert [float(cell) * OUNCE for cell in cells] == pytest.approx(grams, rel=1e-12)


def test_materials_and_their_prices_go_by_the_pound(both: dict[str, Tabs], outcome: Outcome) -> None:
    """So many pounds at so much a pound cost what so many kilograms do at so much a kilogram; a piece is a piece."""
    us = both["us"]["materials"]
    quantities, prices, units = (under(us, name)[0] for name in ("quantity", "unit cost EUR", "unit"))
    for row, quantity, price, unit in zip(records("materials_cost", outcome), quantities, prices, units, strict=True):
        factor = POUND if row["unit"] == "kg" else 1
        assert unit == {"kg": "lb", "piece": "piece"}[row["unit"]]
        assert float(quantity) * factor == pytest.approx(float(row["quantity"]), rel=1e-12)
        assert float(price) / factor == pytest.approx(float(row["unit_cost"]), rel=1e-12)
    assert set(units) == {"lb", "piece"}


def test_nothing_else_differs(both: dict[str, Tabs]) -> None:
    """Bags, money, hours, dates and words are the same in either; the summary says which pounds are meant."""
    metric, us = both["metric"], both["us"]
    assert metric.keys() == us.keys()
    changed = {(tab, name) for tab, (_, names) in WEIGHTS.items() for name in names}
    changed |= {("packs to buy", "for certain")}
    changed |= {("glaze to mix", name) for name in ("needed", "keep", "in bucket", "to mix", "batch", "mixed", "left")}
    changed |= {("prices", "for so many"), ("prices", "unit"), ("shares", "spread over")}
    # The last places of what the odd coins go by, too; and on the tab of lots the price of one.
    changed |= {
        ("shares", "least part of a coin to get one"),
        ("shares", "the same and its row"),
        ("materials", "unrounded EUR"),
    }
    changed |= {(tab, "unit") for tab in ("costs put in", "closing balances", "stock count", "stock differences")}
    changed |= {("costs put in", "quantity"), ("costs put in", "unit cost EUR"), ("closing balances", "quantity")}
    changed |= {("stock count", "expected"), ("stock count", "unit cost EUR")}
    changed |= {("stock differences", "carried"), ("stock differences", "now")}
    changed |= {("lots", name) for name in ("there", "price EUR of a", "price counted EUR", "taken")}
    changed |= {("wedging", "ball"), ("materials", "quantity"), ("materials", "unit"), ("materials", "unit cost EUR")}
    for tab in metric.keys() - {"summary"}:
        kept = [_without(rows[tab], {name for at, name in changed if at == tab}) for rows in (metric, us)]
        assert kept[0] == kept[1], tab
    differing = [(row, other) for row, other in zip(_figures(metric), _figures(us), strict=True) if row != other]
    assert [(row[0], other[0]) for row, other in differing] == [("clay to buy, kg", "clay to buy, lb")]
    ((kilograms, pounds),) = [(float(row[1]), float(other[1])) for row, other in differing]
    assert pounds * POUND == pytest.approx(kilograms, rel=1e-12)


def _figures(tabs: Tabs) -> list[list[str]]:
    rows = tabs["summary"]
    return rows[next(at for at, row in enumerate(rows) if row[0] == "what") :]


def _without(rows: list[list[str]], names: set[str]) -> list[list[str]]:
    """A tab without the columns of these names, with whatever unit."""
    units = re.compile(" (kg|lb|g|oz)$")
    plain = [[units.sub("", cell) for cell in row] for row in rows]
    gone = {at for row in plain for at, cell in enumerate(row) if cell in names} if names else set()
    return [[cell for at, cell in enumerate(row) if at not in gone] for row in plain]


def test_the_workbook_is_set_up_for_us_paper(outcome: Outcome) -> None:
    """US Letter is paper 1 in ECMA-376 part 1, 18.3.1.63; weights have two places, balls one."""
    read = openpyxl.load_workbook(BytesIO(draw(book(studio("us"), outcome.results))))
    assert {sheet.page_setup.paperSize for sheet in read} == {1}
    formats = {
        cell.value: read["wedging"].cell(cell.row + 1, cell.column).number_format
        for row in read["wedging"].iter_rows()
        for cell in row
        if cell.value in ("ball oz", "total lb")
    }
    assert formats == {"ball oz": "#,##0.0", "total lb": "#,##0.00"}


def test_what_is_no_longer_round_is_shown_to_few_places(outcome: Outcome) -> None:
    """Pounds of a glaze material to a thousandth, a price of one to a hundredth of a cent; kilograms as they are."""
    formats = {}
    for units in UNITS:
        tab = openpyxl.load_workbook(BytesIO(draw(book(studio(units), outcome.results))))["materials"]
        heads = {cell.value: cell for row in tab.iter_rows() for cell in row if cell.value}
        formats[units] = [
            tab.cell(heads[name].row + 1, heads[name].column).number_format for name in ("quantity", "unit cost EUR")
        ]
    assert formats == {"metric": ["#,##0.0?????", "#,##0.00????"], "us": ["#,##0.0??", "#,##0.00??"]}


def test_csvs_stay_metric(outcome: Outcome) -> None:
    metric, us = (plan_files(studio(units), outcome.results) for units in UNITS)
    assert metric.keys() == us.keys()
    assert {name for name in metric if metric[name] != us[name]} == {"plan.xlsx", "plan.ics"}


@given(
    st.integers(1, 400), st.sampled_from([11.33981, 12.5, 10.0, 20.0, 22.67962, 0.5]), st.integers(-3, 3),
    st.integers(0, 99_999),
)  # fmt: skip
def test_whole_bags_stay_whole(bags: int, bag_kg: float, milligrams: int, on_hand_grams: int) -> None:
    """Clay that fills so many bags just so, or a few milligrams more or less, asks for as many bags in pounds as in
    kilograms: the formula, worked out here from the cells, gives the sheet's number."""
    short = round(bags * bag_kg + milligrams / 1e6, 6)
    on_hand = on_hand_grams / 1000
    # A thousandth of a milligram is below what the sheets hold: what is short by no more fills the bag.
    wanted = -(-round(short * 1e6) // round(bag_kg * 1e6))
    clay = {
        "clay": "buff", "needed_kg": round(short + on_hand, 6), "on_hand_kg": on_hand, "keep_kg": 0.0,
        "reclaim_kg": 0.0, "short_kg": short, "bag_kg": bag_kg, "bags_to_buy": wanted,
        "bought_kg": round(wanted * bag_kg, 6), "left_kg": round(wanted * bag_kg - short, 6), "bag_price": 0, "cost": 0,
    }  # fmt: skip
    packs = {
        "clay": "buff", "lot": "to buy", "covers_kg": short, "pack_kg": bag_kg, "from_packs": 1, "packs": wanted,
        "bought_kg": round(wanted * bag_kg, 6), "pack_price": 0, "carriage": 0, "cost": 0, "lead_days": 0,
    }  # fmt: skip
    settings = Settings(date(2027, 3, 1), units="us")
    sheets = frame("clay_to_buy", [clay]), frame("packs_to_buy", [packs])
    prices = prices_tab(BUFF, sheets[1], blank(SHEETS_OUT["materials_to_buy"]))
    clay_tab, table, packs_tab, _, _ = clay_tabs(*sheets, prices, Shares(settings), settings)
    row = clay_tab.rows[table.place.first - 1]
    heads = [cell.value for cell in clay_tab.rows[table.place.first - 2]]
    needed, on_hand_lb = (float(row[heads.index(name)].value) for name in ("needed lb", "on hand lb"))
    assert row[heads.index("short lb")].formula.endswith(",10)")
    names, pack = next(
        (above, row)
        for above, row in pairwise(packs_tab.rows)
        if above and any(c and c.value == "pack lb" for c in above)
    )
    pack_lb = float(pack[[cell.value for cell in names].index("pack lb")].value)
    left = round(max(0.0, needed - on_hand_lb), 10)
    assert -(-round(left / pack_lb, 9) // 1) == wanted


@pytest.mark.parametrize(
    ("grams", "words"),
    [
        # 567 / 28.349523 = 20.0003 oz = 1 lb 4 oz; 380 = 13.404 oz; 453.59237 is a pound; 453 is 15.979 oz, which is a
        # pound to a tenth of an ounce; 780 is 27.514 oz = 1 lb 11.5 oz; 28 is 0.9877 oz.
        (567, "1 lb 4 oz"),
        (380, "13.4 oz"),
        (453.59237, "1 lb"),
        (453, "1 lb"),
        (780, "1 lb 11.5 oz"),
        (28, "1 oz"),
        (4, "0.1 oz"),
    ],
)
def test_balls_in_words(grams: float, words: str) -> None:
    assert weight_of_a_ball(grams, "us") == words


def test_clay_to_wedge_in_words() -> None:
    # 7.6 / 0.45359237 = 16.7551 lb.
    assert clay_weight(7.6, "us") == (16.76, "lb")
    assert clay_weight(7.604, "metric") == (7.6, "kg")


def test_the_screen_shows_pounds_and_the_pipe_kilograms(outcome: Outcome) -> None:
    bought = outcome.results["clay_to_buy"]
    model = SHEETS_OUT["clay_to_buy"]
    shown = table(model, bought, 2, "us")
    assert "needed_lb" in shown
    assert "_kg" not in shown
    # A bag of 12.5 kg is 27.5578 lb.
    assert bought["bag_kg"].to_list()[0] == 12.5
    assert " 27.56 " in shown
    assert "needed_kg" in table(model, bought, 2, "metric")


def test_a_length_would_be_shown_in_inches() -> None:
    """No result has one today; the sheet of the forms does: 105 mm / 25.4 = 4.13 in, 380 g = 13.4 oz, 320 ml / 29.5735
    = 10.8 fl oz."""
    forms = frame("forms", [{"form": "cup", "clay": "buff", "ball_g": 380.0, "height_mm": 105.0, "capacity_ml": 320.0}])
    words = table(SHEETS_IN["forms"], forms, 2, "us").split("\n")
    shown = dict(zip(words[0].split(), words[1].split(), strict=False))
    assert {"ball_oz", "height_in", "capacity_fl_oz"} <= shown.keys()
    assert all(f" {value} " in words[1] for value in ("13.4", "4.13", "10.8"))


def test_the_day_and_the_phone_say_pounds_and_ounces(outcome: Outcome) -> None:
    job = studio("us")
    first = outcome.results["schedule"]["date"].min()
    page = day_pages(job, day_sheet(job, outcome.results["schedule"], first, 7), outcome.results, first, 7)
    told = "\n".join(event.description for event in plan_events(job, outcome.results))
    for words in (page, told):
        assert re.search(r"[0-9] lb\b", words)
        assert re.search(r"[0-9] oz\b", words)
        assert not re.search(r"[0-9] k?g\b", words)
