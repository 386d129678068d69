"""A small job and its results, made up and reckoned by hand: three lines, a blend, two loads, one line late.

The customer's name, an order and a note are written like formulas, as no honest sheet would have them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import polars as pl

from pipeline.job import Job
from schemas import SHEETS_IN, SHEETS_OUT
from schemas.settings import Settings
from schemas.sheet import Sheet, blank, columns, shaped
from tests.shops import frame
from tests.writing.example_books import books

FORMULA = "=1+1"
LINK = "https://example.org/shop"

MUG = ("A-1", "mug", "oat")
PLATE = ("A-1", "plate", None)
JUG = ("@fair", "jug", "fern*")

SETTINGS = Settings(
    start=date(2027, 3, 1),
    currency="EUR",
    energy_price=Decimal("0.28"),
    overhead_per_hour=Decimal("4.50"),
    wanted_hourly_rate=Decimal(20),
    tax_pct=10.0,
)


def march(day: int) -> date:
    return date(2027, 3, day)


def sheet(model: type[Sheet], *rows: tuple[Any, ...]) -> pl.DataFrame:
    """A sheet of these rows; numbers for money may be typed as text."""
    made = {}
    for at, column in enumerate(columns(model)):
        cells = [row[at] for row in rows]
        if column.kind in ("amount", "price"):
            cells = [None if cell is None else Decimal(cell) for cell in cells]
        made[column.name] = pl.Series(cells, dtype=column.type)
    return shaped(model, pl.DataFrame(made))


def given(name: str, *rows: tuple[Any, ...]) -> pl.DataFrame:
    """An input sheet as a job holds it, with the rows of its spreadsheet."""
    model = SHEETS_IN[name]
    frame = sheet(model, *rows) if rows else blank(model)
    return frame.with_columns(row=pl.int_range(2, pl.len() + 2, dtype=pl.Int64))


def said(name: str, *rows: dict[str, Any]) -> pl.DataFrame:
    """The same from the cells that matter."""
    return frame(name, list(rows)).with_columns(row=pl.int_range(2, pl.len() + 2, dtype=pl.Int64))


STAGES = ("wedge", "throw", "turn", "bisque firing", "glaze", "glaze firing", "finish")


def job() -> Job:
    """The job. The sheets that the workbook does not read are empty."""
    empty = {name: given(name) for name in SHEETS_IN if name != "settings"}
    sheets = empty | {
        "orders": given(
            "orders",
            (*MUG[:1], FORMULA, *MUG[1:], 20, march(19), "16.00", "50.00", 1, LINK),
            (*PLATE[:1], FORMULA, *PLATE[1:], 12, date(2027, 4, 30), "18.50", "0", None, None),
            (*JUG[:1], "Mill Lane", *JUG[1:], 4, None, None, "0", None, "+ lid"),
        ),
        "forms": said(
            "forms",
            {"form": "mug", "second_price": Decimal(8), "seconds_pct": 50.0, "other_cost": Decimal("0.40")},
            {"form": "plate", "clay": "half and half", "other_cost": Decimal("0.55")},
            {"form": "jug", "clay": "dark", "other_cost": Decimal("1.10")},
        ),
        "clay_stock": said(
            "clay_stock",
            {"clay": "buff", "lot": "L204", "bag_kg": 12.5, "bags": 1, "loose_kg": 4.5, "bag_price": Decimal("13.80")},
            {"clay": "dark", "lot": "D17", "bag_kg": 10.0, "bags": 2, "loose_kg": 1.5, "bag_price": Decimal("15.25")},
        ),
        "materials": said(
            "materials",
            {"material": "feldspar", "pack_kg": 5.0, "loose_kg": 1.2, "pack_price": Decimal("9.60")},
            {"material": "quartz", "pack_kg": 5.0, "loose_kg": 2.4},
        ),
        "firings": said(
            "firings",
            {"firing": "bisque", "kiln": "back kiln", "kwh": 46.0, "other_cost": Decimal("3.20")},
            {"firing": "glaze", "kiln": "back kiln", "kwh": 62.0, "other_cost": Decimal("4.80")},
        ),
        "stages": given(
            "stages",
            *(("thrown", at, stage, 0, 0, 0, 0, 0, None, None, None, None) for at, stage in enumerate(STAGES, 1)),
        ),
        "labour_hours": given(
            "labour_hours",
            ("Ada", "Mon-Fri", 5.0, "18.00", True, None),
            ("Tam", "Tue", 4.0, "14.50", False, "wedge; glaze"),
        ),
        "opening_balances": given(
            "opening_balances",
            ("raw materials", "buff", "L204", None, None, None, 17.5, "kg", "0", "19.32"),
            ("raw materials", "dark", "D17", None, None, None, 21.5, "kg", "0", "32.79"),
            ("raw materials", "feldspar", "in the bucket", None, None, None, 0.0735, "kg", "0", "0.14"),
            ("raw materials", "feldspar", None, None, None, None, 1.2, "kg", "0", "2.30"),
            ("part-made goods", "jug", None, JUG[0], JUG[2], "throw", 2.0, "piece", "4.00", "6.00"),
            ("finished goods", "plate", None, None, None, None, 3.0, "piece", "0", "12.00"),
        ),
        "closed_days": given("closed_days", (march(10), march(11), "pot fair")),
    }
    return Job(**sheets, settings=SETTINGS, readings=blank(SHEETS_OUT["assumptions"]))


def results() -> dict[str, pl.DataFrame]:
    """Every result sheet, the figures typed in."""
    rows = {
        "pieces": _pieces(),
        "clay_to_buy": [
            # 14.101 + 2.5 - 4.5 - 0.3 = 11.801 kg short: one bag of 12.5; 4.5 + 0.3 + 12.5 - 14.101 = 3.199 kg left.
            ("buff", "North Yard", 14.101, 4.5, 2.5, 0.3, 11.801, 12.5, 1, 12.5, 3.199, "13.80", "13.80", march(1)),
            ("dark", None, 11.152, 21.5, 5.0, 0.0, 0.0, 10.0, 0, 0.0, 10.348, "15.25", "0", None),
        ],
        "packs_to_buy": [
            ("buff", "North Yard", "to buy", 11.801, 12.5, 1, 1, 12.5, "13.80", "0", "13.80", 7, march(8), march(1),
             None, None),
        ],
        "clay_to_wedge": [
            # 22 x 0.380 = 8.360, and 5 % spare = 0.418 kg
            (march(1), "buff", "mug", 22, 380.0, 0.0, 0.418, 8.778, 26.0, None),
            (march(2), "half and half", "plate", 13, 780.0, 0.0, 0.507, 10.647, 24.0, "5.323 kg buff, 5.324 kg dark"),
            (march(4), "dark", "jug", 5, 980.0, 0.65, 0.278, 5.828, 12.0, None),
        ],
        "stage_hours": _stage_hours(),
        "glaze_batches": [
            # 220 g for the mugs and 585 to be left, 122.5 in the bucket: 682.5, so two batches of 400 g; 462.5 + 220.
            ("oat", "feldspar", 60.0, 132.0, 351.0, 73.5, 409.5, 2, 240.0, 480.0, 421.5),
            ("oat", "quartz", 40.0, 88.0, 234.0, 49.0, 273.0, 2, 160.0, 320.0, 281.0),
            ("oat", "water", 98.2906, 216.2, 575.0, 120.4, 670.8, 2, 393.2, 786.4, 690.6),
        ],
        "materials_to_buy": [
            # 0.48 + 1.0 - 1.2 = 0.28 kg short: a pack of 5; 1.2 + 5 - 0.48 = 5.72 left.
            ("feldspar", "North Yard", 0.48, 1.2, 1.0, 0.28, 5.0, 1, 5.0, 5.72, "9.60", "9.60", march(16), march(9)),
            ("quartz", None, 0.32, 2.4, 0.0, 0.0, 5.0, 0, 0.0, 2.08, None, None, None, None),
        ],
        "materials_cost": [
            (*MUG, "buff", "L204", 8.778, "kg", "1.104", "0", "9.69"),
            (*MUG, "feldspar", None, 0.22, "kg", "1.92", "0", "0.42"),
            (*MUG, "packaging and the like", None, 20.0, "piece", "0.40", "0", "8.00"),
            # 14.101 kg of L204 are 15.57: 9.69 and 5.88. 11.152 kg of D17 are 17.01: 8.12 and 8.89.
            (*PLATE, "buff", "L204", 5.323, "kg", "1.104", "0", "5.88"),
            (*PLATE, "dark", "D17", 5.324, "kg", "1.525", "0", "8.12"),
            (*PLATE, "packaging and the like", None, 12.0, "piece", "0.55", "0", "6.60"),
            (*JUG, "dark", "D17", 5.828, "kg", "1.525", "0", "8.89"),
            (*JUG, "packaging and the like", None, 4.0, "piece", "1.10", "0", "4.40"),
        ],
        "schedule": _schedule(),
        "kiln_loads": [
            ("L1", "bisque", "back kiln", march(12), march(15), "B1", *MUG, 22, 33.3333),
            ("L1", "bisque", "back kiln", march(12), march(15), "B2", *PLATE, 13, 26.25),
            ("L1", "bisque", "back kiln", march(12), march(15), "B3", *JUG, 5, 12.5),
            ("L2", "glaze", "back kiln", march(18), march(22), "B1", *MUG, 21, 40.3846),
            ("L2", "glaze", "back kiln", march(18), march(22), "B2", *PLATE, 13, 30.2326),
            ("L2", "glaze", "back kiln", march(18), march(22), "B3", *JUG, 5, 14.7059),
        ],
        "promises": [
            # the 23rd is four days after the 19th
            (MUG[0], FORMULA, *MUG[1:], 20, march(19), march(23), 4, date(2027, 2, 25), -4, "drying before bisque",
             "only a due date 4 days later (2027-03-23)"),
            (PLATE[0], FORMULA, *PLATE[1:], 12, date(2027, 4, 30), march(23), 0, date(2027, 4, 9), 38, None, None),
            (JUG[0], "Mill Lane", *JUG[1:], 4, None, march(23), None, None, None, None, None),
        ],
        "pace": [
            # 22 in 5 days: 4.4 a day, 3 minutes each and a set-up of 10: 23.2 minutes. The last day to load is over.
            (*MUG, march(19), 2, "throw", 22, 1.1, march(1), march(5), 5, 4.4, 0.3867, None),
            (*MUG, march(19), 4, "bisque firing", 22, 0.0, march(12), march(9), 0, None, None,
             "no day left"),
        ],
        "space": [
            *((march(day), "bat", "small", count, 20) for day, count in ((2, 20), (3, 13), (5, 5))),
            *((march(day), "board", "board", 2, 16) for day in (2, 3, 4, 5)),
            *((march(day), "waiting", "bisque firing", count, None) for day, count in ((3, 22), (4, 35), (8, 40))),
        ],
        "labour": _labour(),
        "firing_costs": [
            # Bisque: 46 kWh at 0.28 = 12.88 and 3.20 of wear, over 33.3333 + 26.25 + 12.5 = 72.0833 % of the kiln. Mugs
            # take 46.2428 % of that: 5.96 (5.956) and 1.48 (1.4798). Glaze: 62 kWh, 17.36, and 4.80 over 85.3231 %.
            ("L1", "bisque", "back kiln", march(12), march(15), *MUG, 22, 46.2428,
             "5.96", "1.48", "7.44", 45.0, "0", "13.50", "20.94"),
            ("L1", "bisque", "back kiln", march(12), march(15), *PLATE, 13, 36.4162,
             "4.69", "1.17", "5.86", 33.0, "0", "9.90", "15.76"),
            ("L1", "bisque", "back kiln", march(12), march(15), *JUG, 5, 17.341,
             "2.23", "0.55", "2.78", 17.0, "0", "5.10", "7.88"),
            ("L2", "glaze", "back kiln", march(18), march(22), *MUG, 21, 47.3313,
             "8.22", "2.27", "10.49", 55.0, "0", "16.50", "26.99"),
            ("L2", "glaze", "back kiln", march(18), march(22), *PLATE, 13, 35.4332,
             "6.15", "1.70", "7.85", 40.0, "0", "12.00", "19.85"),
            ("L2", "glaze", "back kiln", march(18), march(22), *JUG, 5, 17.2355,
             "2.99", "0.83", "3.82", 20.0, "0", "6.00", "9.82"),
        ],
        # 13.0167 hours at 4.50: 26.18 + 20.85 + 11.55 = 58.58, row by row.
        "overhead": [(march(1), march(23), 13.0167, None, None, "4.50", "58.58", None)],
        "job_costs": [
            # Mugs: 18.11 + 17.93 + 0 = 36.04, less 0.47 seconds at 8.00, 3.76: 32.28; + 104.70 + 26.18 = 163.16; of
            # 320.00 that leaves 156.84, 49.01 %.
            (MUG[0], FORMULA, *MUG[1:], 20, 22, 0, "18.11", "17.93", "0", "104.70", "26.18", 0.47, "8.00", "3.76",
             "32.28", "163.16", "1.61", "8.16", "16.00", "320.00", "156.84", 49.01),
            # Plates: 20.60 + 13.71 + 16.07 = 50.38; + 63.45 + 20.85 = 134.68; of 222.00 that leaves 87.32, 39.33 %.
            (PLATE[0], FORMULA, *PLATE[1:], 12, 13, 0, "20.60", "13.71", "16.07", "63.45", "20.85", 0.0, None, "0",
             "50.38", "134.68", "4.20", "11.22", "18.50", "222.00", "87.32", 39.33),
            # Jugs: 13.29 + 6.60 = 19.89; + 46.20 + 11.55 = 77.64. Two stand in the studio already: no figures each.
            (JUG[0], "Mill Lane", *JUG[1:], 4, 5, 2, "13.29", "6.60", "0", "46.20", "11.55", 0.2, None, None,
             "19.89", "77.64", None, None, None, None, None, None),
        ],
        "earnings": [
            # Mugs: 320.00 - 32.28 - 26.18 = 261.54, over 349 minutes, 5.8167 h: 44.96. At 20.00 an hour 116.334 +
            # 58.46 = 174.794 for 20 pieces: 8.74. Room 0.333333 + 0.403846 = 0.737179 kilns: 221.33 of cost each.
            (MUG[0], FORMULA, *MUG[1:], 20, 5.8167, 5.8167, "16.00", "261.54", "44.96", "20.00", "8.74",
             0.737179, 8.778, "221.33", "18.59", "212.76"),
            # Plates: 222.00 - 50.38 - 20.85 = 150.77, over 211.5 minutes, 3.525 h: 42.77. (71.23 + 70.50) / 12 = 11.81.
            (PLATE[0], FORMULA, *PLATE[1:], 12, 4.6333, 3.525, "18.50", "150.77", "42.77", "20.00", "11.81",
             0.564826, 10.647, "238.45", "12.65", "154.60"),
            (JUG[0], "Mill Lane", *JUG[1:], 4, 2.5667, 2.5667, None, None, None, "20.00", None,
             0.272059, 5.828, None, None, None),
        ],
        "piece_costs": [
            # 9.69 / 22 = 0.440455 of clay; with 7.80 / 22 of own time and 0.4333 h x 4.50 / 22 of overhead 0.88363.
            ("mug", 1, "wedge", 22, "0.440455", "0", "0", "0.354545", "0.08863", 0.0, "0", "0.440455", "0.88363"),
            # 22.80 / 22 and 1.2667 h x 4.50 / 22 more.
            ("mug", 2, "throw", 22, "0", "0", "0", "1.036364", "0.259098", 0.0, "0", "0.440455", "2.179091"),
            # 14.00 of clay and 5.80 of Tam's work over 13 plates; then 10.27 of it.
            ("plate", 1, "wedge", 13, "1.076923", "0", "0.446154", "0", "0.138462", 0.0, "0", "1.523077", "1.661538"),
            ("plate", 5, "glaze", 13, "0", "0", "0.79", "0", "0.245181", 0.0, "0", "2.313077", "2.696719"),
        ],
        "losses": [
            # 100 - 75 = 25 not good, 10 of them normal: 15 at 17.00 = 255.00; ten seconds at 8.00, none of them normal.
            ("mug", "glaze firing", 100, 75, 10, 15, 10.0, 15.0, "17.00", "255.00", "80.00", "80.00", "175.00"),
            ("jug", "turn", 12, 11, 0, 1, 0.24, 0.76, None, None, "0", "0", None),
        ],
        "purchases": [
            # 10 % of 13.80 are 1.38, of 9.60 they are 0.96.
            ("North Yard", "buff", "to buy", 1, 12.5, "13.80", "0", "13.80", "1.38", "15.18", march(8), march(1),
             "raw materials"),
            ("North Yard", "feldspar", "to buy", 1, 5.0, "9.60", "0", "9.60", "0.96", "10.56", march(16), march(9),
             "raw materials"),
        ],
        "materials_ledger": [
            # 17 kg at 1.104 are 18.77; 9.69 + 5.88 = 15.57 used. 21.5 kg at 1.525 are 32.79; 8.12 + 8.89 = 17.01 used.
            ("buff", "L204", 17.0, 0.0, 0.0, 14.101, 2.899, "18.77", "0", "15.57", "3.20"),
            ("buff", "reclaim", 0.0, 0.0, 0.3, 0.0, 0.3, "0", "0", "0", "0"),
            ("buff", "to buy", 0.0, 12.5, 0.0, 0.0, 12.5, "0", "13.80", "0", "13.80"),
            ("dark", "D17", 21.5, 0.0, 0.0, 11.152, 10.348, "32.79", "0", "17.01", "15.78"),
            # 73.5 g of feldspar at 1.92 are 0.14.
            ("feldspar", "in the bucket", 0.0735, 0.0, 0.0, 0.0, 0.0735, "0.14", "0", "0", "0.14"),
            ("feldspar", None, 1.2, 0.0, 0.0, 0.22, 0.98, "2.30", "0", "0.42", "1.88"),
            ("feldspar", "to buy", 0.0, 5.0, 0.0, 0.0, 5.0, "0", "9.60", "0", "9.60"),
            ("quartz", "in the bucket", 0.049, 0.0, 0.0, 0.0, 0.049, None, "0", None, None),
            ("quartz", None, 2.4, 0.0, 0.0, 0.0, 2.4, None, "0", None, None),
        ],
        "sales": [
            # 10 % of 320.00 are 32.00; 352.00 less 50.00 are 302.00. Of 222.00 they are 22.20. The jugs have no price.
            (MUG[0], FORMULA, *MUG[1:], march(23), 20, "16.00", "320.00", "32.00", "352.00", "50.00", "302.00"),
            (PLATE[0], FORMULA, *PLATE[1:], march(23), 12, "18.50", "222.00", "22.20", "244.20", "0", "244.20"),
            (JUG[0], "Mill Lane", *JUG[1:], march(23), 4, None, None, None, None, "0", None),
        ],
        "problems": [
            ("orders", 4, "due", None, "No date.", "Type a date, or leave it: it goes last.", "doubt", "no date"),
        ],
        "assumptions": [
            ("spare_clay_pct", "5", "common practice; " + "a row of settings changes it " * 4),
            ("closed_days", "2027-03-10 to 2027-03-11", FORMULA),
        ],
    } | books(MUG, PLATE, JUG, FORMULA)  # fmt: skip
    return {name: sheet(SHEETS_OUT[name], *rows[name]) for name in SHEETS_OUT}


def without_rows(*names: str) -> dict[str, pl.DataFrame]:
    """The results with these sheets empty."""
    return results() | {name: blank(SHEETS_OUT[name]) for name in names}


def job_in(currency: str) -> Job:
    """The job with another currency."""
    return replace(job(), settings=replace(SETTINGS, currency=currency))


def with_stage_named(name: str) -> tuple[Job, dict[str, pl.DataFrame]]:
    """The job and its results with throwing under another name."""
    renamed = pl.col("stage").replace("throw", name)
    changed = {sheet: frame.with_columns(renamed) for sheet, frame in results().items() if "stage" in frame.columns}
    return replace(job(), stages=job().stages.with_columns(renamed)), results() | changed


def _pieces() -> list[tuple[Any, ...]]:
    """One mug is lost in each firing: 22 begun, 21 glazed, 20 finished; a plate and a jug in the last one."""
    entering = {MUG: (22, 22, 22, 22, 21, 21, 20, 20), PLATE: (13,) * 6 + (12,) * 2, JUG: (5,) * 6 + (4,) * 2}
    return [
        (*line, at + 1, stage, counts[at], 0.0 if counts[at] == counts[at + 1] else 4.5, counts[at + 1], 0)
        for line, counts in entering.items()
        for at, stage in enumerate(STAGES)
    ]


def _stage_hours() -> list[tuple[Any, ...]]:
    """Minutes of the schedule as hours; Ada's own time at 18.00 an hour, Tam's paid time at 14.50."""
    return [
        (*MUG, "wedge", 22, 1.0, 1, 0.4333, "7.80", "7.80"),
        (*MUG, "throw", 22, 3.0, 1, 1.2667, "22.80", "22.80"),
        (*MUG, "turn", 22, 2.5, 1, 1.0, "18.00", "18.00"),
        (*MUG, "bisque firing", 22, 0.0, 0, 0.75, "13.50", "13.50"),
        (*MUG, "glaze", 21, 2.0, 1, 0.9, "16.20", "16.20"),
        (*MUG, "glaze firing", 21, 0.0, 0, 0.9167, "16.50", "16.50"),
        (*MUG, "finish", 20, 1.5, 0, 0.55, "9.90", "9.90"),
        # 24 minutes of Tam's: 24 / 60 x 14.50 = 5.80
        (*PLATE, "wedge", 13, 1.5, 1, 0.4, "5.80", "0"),
        (*PLATE, "throw", 13, 4.0, 1, 1.0333, "18.60", "18.60"),
        (*PLATE, "turn", 13, 4.0, 1, 0.95, "17.10", "17.10"),
        (*PLATE, "bisque firing", 13, 0.0, 0, 0.55, "9.90", "9.90"),
        (*PLATE, "glaze", 13, 2.5, 1, 0.7083, "10.27", "0"),
        (*PLATE, "glaze firing", 13, 0.0, 0, 0.6667, "12.00", "12.00"),
        (*PLATE, "finish", 12, 1.5, 0, 0.325, "5.85", "5.85"),
        (*JUG, "wedge", 5, 2.0, 1, 0.2, "3.60", "3.60"),
        (*JUG, "throw", 5, 6.0, 1, 0.6667, "12.00", "12.00"),
        (*JUG, "turn", 5, 4.0, 1, 0.4167, "7.50", "7.50"),
        (*JUG, "bisque firing", 5, 0.0, 0, 0.2833, "5.10", "5.10"),
        (*JUG, "glaze", 5, 4.0, 1, 0.5, "9.00", "9.00"),
        (*JUG, "glaze firing", 5, 0.0, 0, 0.3333, "6.00", "6.00"),
        (*JUG, "finish", 4, 2.0, 0, 0.1667, "3.00", "3.00"),
    ]


def _schedule() -> list[tuple[Any, ...]]:
    mug, plate, jug = ("B1", *MUG), ("B2", *PLATE), ("B3", *JUG)
    alone, first, second = (None, None), ("back kiln", "L1"), ("back kiln", "L2")
    return [
        (march(1), "Mon", "wedge", "work", *mug, 22, 26.0, "Ada", *alone),
        (march(2), "Tue", "throw", "work", *mug, 22, 76.0, "Ada", *alone),
        (march(2), "Tue", "wedge", "work", *plate, 13, 24.0, "Tam", *alone),
        (march(3), "Wed", "turn", "work", *mug, 22, 60.0, "Ada", *alone),
        (march(3), "Wed", "throw", "work", *plate, 13, 62.0, "Ada", *alone),
        (march(4), "Thu", "turn", "work", *plate, 13, 57.0, "Ada", *alone),
        (march(4), "Thu", "wedge", "work", *jug, 5, 12.0, "Ada", *alone),
        (march(5), "Fri", "throw", "work", *jug, 5, 40.0, "Ada", *alone),
        (march(8), "Mon", "turn", "work", *jug, 5, 25.0, "Ada", *alone),
        (march(12), "Fri", "bisque firing", "load", *mug, 22, 33.0, "Ada", *first),
        (march(12), "Fri", "bisque firing", "load", *plate, 13, 25.0, "Ada", *first),
        (march(12), "Fri", "bisque firing", "load", *jug, 5, 12.0, "Ada", *first),
        (march(15), "Mon", "bisque firing", "unload", *mug, 22, 12.0, "Ada", *first),
        (march(15), "Mon", "bisque firing", "unload", *plate, 13, 8.0, "Ada", *first),
        (march(15), "Mon", "bisque firing", "unload", *jug, 5, 5.0, "Ada", *first),
        (march(16), "Tue", "glaze", "work", *mug, 21, 54.0, "Ada", *alone),
        (march(16), "Tue", "glaze", "work", *plate, 13, 42.5, "Tam", *alone),
        (march(16), "Tue", "glaze", "work", *jug, 5, 30.0, "Ada", *alone),
        (march(18), "Thu", "glaze firing", "load", *mug, 21, 40.0, "Ada", *second),
        (march(18), "Thu", "glaze firing", "load", *plate, 13, 30.0, "Ada", *second),
        (march(18), "Thu", "glaze firing", "load", *jug, 5, 14.0, "Ada", *second),
        (march(22), "Mon", "glaze firing", "unload", *mug, 21, 15.0, "Ada", *second),
        (march(22), "Mon", "glaze firing", "unload", *plate, 13, 10.0, "Ada", *second),
        (march(22), "Mon", "glaze firing", "unload", *jug, 5, 6.0, "Ada", *second),
        (march(23), "Tue", "finish", "work", *mug, 20, 33.0, "Ada", *alone),
        (march(23), "Tue", "finish", "work", *plate, 12, 19.5, "Ada", *alone),
        (march(23), "Tue", "finish", "work", *jug, 4, 10.0, "Ada", *alone),
    ]


def _labour() -> list[tuple[Any, ...]]:
    """The schedule's minutes by worker and load: 26 minutes of Ada's are 26 / 60 x 18.00 = 7.80, and so on."""
    return [
        ("Ada", True, "18.00", *MUG, "wedge", None, 26.0, "0", "7.80"),
        ("Ada", True, "18.00", *MUG, "throw", None, 76.0, "0", "22.80"),
        ("Ada", True, "18.00", *MUG, "turn", None, 60.0, "0", "18.00"),
        ("Ada", True, "18.00", *PLATE, "throw", None, 62.0, "0", "18.60"),
        ("Ada", True, "18.00", *PLATE, "turn", None, 57.0, "0", "17.10"),
        ("Ada", True, "18.00", *JUG, "wedge", None, 12.0, "0", "3.60"),
        ("Ada", True, "18.00", *JUG, "throw", None, 40.0, "0", "12.00"),
        ("Ada", True, "18.00", *JUG, "turn", None, 25.0, "0", "7.50"),
        ("Ada", True, "18.00", *MUG, "bisque firing", "L1", 45.0, "0", "13.50"),
        ("Ada", True, "18.00", *PLATE, "bisque firing", "L1", 33.0, "0", "9.90"),
        ("Ada", True, "18.00", *JUG, "bisque firing", "L1", 17.0, "0", "5.10"),
        ("Ada", True, "18.00", *MUG, "glaze", None, 54.0, "0", "16.20"),
        ("Ada", True, "18.00", *JUG, "glaze", None, 30.0, "0", "9.00"),
        ("Ada", True, "18.00", *MUG, "glaze firing", "L2", 55.0, "0", "16.50"),
        ("Ada", True, "18.00", *PLATE, "glaze firing", "L2", 40.0, "0", "12.00"),
        ("Ada", True, "18.00", *JUG, "glaze firing", "L2", 20.0, "0", "6.00"),
        ("Ada", True, "18.00", *MUG, "finish", None, 33.0, "0", "9.90"),
        ("Ada", True, "18.00", *PLATE, "finish", None, 19.5, "0", "5.85"),
        ("Ada", True, "18.00", *JUG, "finish", None, 10.0, "0", "3.00"),
        ("Tam", False, "14.50", *PLATE, "wedge", None, 24.0, "5.80", "0"),
        ("Tam", False, "14.50", *PLATE, "glaze", None, 42.5, "10.27", "0"),
    ]
