"""The books of the example plan, the figures typed in."""

from __future__ import annotations

from datetime import date
from typing import Any

Rows = list[tuple[Any, ...]]

OPENS, CLOSES = date(2027, 2, 28), date(2027, 3, 23)


def books(mug: tuple[Any, ...], plate: tuple[Any, ...], jug: tuple[Any, ...], customer: str) -> dict[str, Rows]:
    """The result sheets of the books, by the lines that the plan has: two jugs were part-made when it began."""
    return {
        "costs_put_in": [
            # 9.69 + 0.42 + 5.88 + 8.12 + 8.89 = 33.00 out of lots, and 8.00 + 6.60 + 4.40 = 19.00 of packaging.
            (*mug, "materials", "buff", "L204", "1.104", 8.778, "kg", "9.69"),
            (*mug, "materials", "feldspar", None, "1.92", 0.22, "kg", "0.42"),
            (*mug, "other", "packaging and the like", None, "0.40", 20.0, "piece", "8.00"),
            (*plate, "materials", "buff", "L204", "1.104", 5.323, "kg", "5.88"),
            (*plate, "materials", "dark", "D17", "1.525", 5.324, "kg", "8.12"),
            (*plate, "other", "packaging and the like", None, "0.55", 12.0, "piece", "6.60"),
            (*jug, "materials", "dark", "D17", "1.525", 5.828, "kg", "8.89"),
            (*jug, "other", "packaging and the like", None, "1.10", 4.0, "piece", "4.40"),
            (*plate, "paid labour", "wedge", None, None, 0.4, "h", "5.80"),
            (*plate, "paid labour", "glaze", None, None, 0.7083, "h", "10.27"),
            # 7.44 + 10.49 = 17.93, 5.86 + 7.85 = 13.71 and 2.78 + 3.82 = 6.60 of firing.
            (*mug, "firing", "L1", None, None, 22.0, "piece", "7.44"),
            (*plate, "firing", "L1", None, None, 13.0, "piece", "5.86"),
            (*jug, "firing", "L1", None, None, 5.0, "piece", "2.78"),
            (*mug, "firing", "L2", None, None, 21.0, "piece", "10.49"),
            (*plate, "firing", "L2", None, None, 13.0, "piece", "7.85"),
            (*jug, "firing", "L2", None, None, 5.0, "piece", "3.82"),
        ],
        "part_made": [
            # Two jugs with 2.00 of clay and 1.00 of work in each.
            ("opening", OPENS, *jug, "throw", 2.0, 60.0, 25.0, 1.2, 0.5, "4.00", "2.00", "6.00"),
            # Half a mug more than is normal was lost after throwing, where the form's costs by stage end: 100 %. Of
            # 18.11 - 3.76 = 14.35 of materials over 21 made and half a one 0.33 (0.3337), of 17.93 0.42 (0.4170).
            ("lost", CLOSES, *mug, "throw", 0.5, 100.0, 100.0, 0.5, 0.5, "0.33", "0.42", "0.75"),
        ],
        "finished_goods": [
            # Mugs: 18.11 + 0 + 17.93 - 3.76 - 0.75 = 31.53, all sold; one more came out than the 20 wanted.
            (*mug, None, "0", "18.11", "0", "17.93", "0", "3.76", "0.75", "0", "31.53",
             0.0, 21.0, 20.0, 1.0, "0", "31.53", "0"),
            # Plates: 20.60 + 16.07 + 13.71 = 50.38.
            (*plate, None, "0", "20.60", "16.07", "13.71", "0", "0", "0", "0", "50.38",
             0.0, 12.0, 12.0, 0.0, "0", "50.38", "0"),
            # Jugs: 6.00 + 13.29 + 6.60 = 25.89. They have no price, so they are made for stock.
            (*jug, None, "6.00", "13.29", "0", "6.60", "0", "0", "0", "0", "25.89",
             0.0, 4.0, 0.0, 4.0, "0", "0", "25.89"),
            (None, "mug", None, "seconds", "0", "0", "0", "0", "0", "0", "0", "0", "3.76",
             0.0, 0.47, 0.0, 0.47, "0", "0", "3.76"),
            # Three plates of last year at 4.00.
            (None, "plate", None, None, "0", "0", "0", "0", "0", "0", "0", "0", "0",
             3.0, 0.0, 0.0, 3.0, "12.00", "0", "12.00"),
        ],
        "stock_differences": [
            # Half a kilogram of buff at 1.104 is missing.
            ("raw materials", "buff", None, None, None, "kg", 17.5, 17.0, "19.32", "18.77", "-0.55"),
        ],
        "cost_of_goods": [
            # 54.55 - 0.55 + 23.40 - 44.40 = 33.00; 33.00 + 19.00 + 16.07 + 38.24 + 6.00 - 0.75 = 111.56.
            (1, "opening raw materials", "54.55", "materials_ledger"),
            (2, "stock differences in raw materials", "-0.55", "stock_differences"),
            (3, "purchases", "23.40", "materials_ledger"),
            (4, "less closing raw materials", "-44.40", "materials_ledger"),
            (5, "raw materials used", "33.00", "lines 1 to 4"),
            (6, "other costs of pieces", "19.00", "costs_put_in"),
            (7, "paid labour", "16.07", "costs_put_in"),
            (8, "works overhead: firing", "38.24", "costs_put_in"),
            (9, "works overhead: absorbed", "0", "costs_put_in"),
            (10, "opening part-made goods", "6.00", "finished_goods"),
            (11, "stock differences in part-made goods", "0", "stock_differences"),
            (12, "less closing part-made goods", "0", "finished_goods"),
            (13, "less abnormal loss", "-0.75", "finished_goods"),
            (14, "cost of goods made", "111.56", "lines 5 to 13"),
            # 111.56 + 12.00 - (25.89 + 3.76 + 12.00) = 81.91, which is 31.53 + 50.38.
            (15, "opening finished goods", "12.00", "finished_goods"),
            (16, "stock differences in finished goods", "0", "stock_differences"),
            (17, "less closing finished goods", "-41.65", "finished_goods"),
            (18, "cost of goods sold", "81.91", "lines 14 to 17"),
        ],
        "journal": _journal(mug[0], customer),
        "stock_count": [
            ("raw", "buff", "L204", "kg", 2.899, None, None, None, "1.103829", "3.20"),
            ("raw", "buff", "reclaim", "kg", 0.3, None, None, None, "0", "0"),
            ("raw", "quartz", None, "kg", 2.4, None, None, None, None, None),
            # 25.89 / 4 = 6.4725.
            ("finished", "jug", f"{jug[0]}, {jug[2]}", "piece", 4.0, None, None, None, "6.4725", "25.89"),
            ("finished", "mug", "seconds", "piece", 0.47, None, None, None, "8.00", "3.76"),
            ("finished", "plate", None, "piece", 3.0, None, None, None, "4.00", "12.00"),
        ],
        "closing_balances": [
            ("raw materials", "buff", "L204", None, None, None, 2.899, "kg", "0", "3.20"),
            ("raw materials", "buff", "reclaim", None, None, None, 0.3, "kg", "0", "0"),
            ("raw materials", "quartz", None, None, None, None, 2.4, "kg", "0", None),
            ("finished goods", "jug", None, jug[0], jug[2], None, 4.0, "piece", "0", "25.89"),
            ("finished goods", "mug", "seconds", None, None, None, 0.47, "piece", "0", "3.76"),
            ("finished goods", "plate", None, None, None, None, 3.0, "piece", "0", "12.00"),
        ],
    }  # fmt: skip


def _journal(order: str, customer: str) -> Rows:
    """The entries of the same: debits above nought, credits below; stock has a code."""
    entries: list[tuple[date, str, dict[str, str]]] = [
        (
            date(2027, 3, 1),
            "stock differences in raw materials",
            {"stock differences": "0.55", "raw materials": "-0.55"},
        ),
        # The deposit was not held yet when the last books closed.
        (
            date(2027, 3, 1),
            f"deposit received, order {order}",
            {"bank": "50.00", "deposits held": "-50.00"},
        ),
        (
            date(2027, 3, 8),
            "purchases from North Yard",
            {"raw materials": "13.80", "tax on purchases": "1.38", "suppliers": "-15.18"},
        ),
        (
            date(2027, 3, 16),
            "purchases from North Yard",
            {"raw materials": "9.60", "tax on purchases": "0.96", "suppliers": "-10.56"},
        ),
        (CLOSES, "materials used", {"part-made goods": "33.00", "raw materials": "-33.00"}),
        (CLOSES, "other costs of pieces", {"part-made goods": "19.00", "other costs of pieces": "-19.00"}),
        (CLOSES, "paid labour", {"part-made goods": "16.07", "wages": "-16.07"}),
        (CLOSES, "firing", {"part-made goods": "38.24", "firing costs": "-38.24"}),
        (CLOSES, "abnormal loss", {"abnormal loss": "0.75", "part-made goods": "-0.75"}),
        (CLOSES, "goods made", {"finished goods": "111.56", "part-made goods": "-111.56"}),
        (CLOSES, "cost of goods sold", {"cost of sales": "81.91", "finished goods": "-81.91"}),
        # The sales of the plan, with 10 % of tax, and the deposit of 50.00.
        (
            CLOSES,
            f"sale: order {order}, {customer}",
            {"customers": "596.20", "sales": "-542.00", "tax on sales": "-54.20"},
        ),
        (CLOSES, f"deposit paid off: order {order}, {customer}", {"deposits held": "50.00", "customers": "-50.00"}),
    ]
    named = {"raw materials": ("1410", "Stock of materials")}
    return [
        (number, day, for_what, what, *named.get(what, (None, what)))
        + ((None, money[1:]) if money.startswith("-") else (money, None))
        for number, (day, for_what, sides) in enumerate(entries, 1)
        for what, money in sides.items()
    ]
