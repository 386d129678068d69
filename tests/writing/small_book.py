"""A workbook of two tabs that has of everything that ours have, small enough to be spoilt and looked at many times."""

from __future__ import annotations

from datetime import date

from pipeline.writing.book.cells import Area, Book, Chart, Look, Paint, Plain, Print, Series, live
from pipeline.writing.book.grid import Grid

HEADING, DAY, AMOUNT = Look("text", "heading"), Look("day"), Look("amount")


def small_book() -> Book:
    """Pots by day with a total, a formula and its name, notes, a filter and a mark; and a chart of them."""
    pots = Grid("pots made")
    pots.head("Pots", "One row is a day.")
    at = pots.add(Plain("day", HEADING), Plain("pots", HEADING), Plain("price", HEADING))
    pots.notes |= {(at, 0): "The day.", (at, 1): "Pots made."}
    pots.heights[at] = 30.0
    for day, pieces in ((1, 40), (2, 25)):
        pots.add(Plain(date(2027, 3, day), DAY), Plain(pieces, Look("whole")), Plain(16.5, AMOUNT))
    first, last = at + 1, at + 2
    total = pots.add(Plain("total"), live(f"SUM(B{first + 1}:B{last + 1})", 65, Look("whole", "total")))
    pots.add(live(f'IF(B{total + 1}>60,"many","few")', "many", Look()))
    for column in range(3):
        pots.widen(column, 12)
    drawn = Grid("charts")
    for title in ("Made", "Again"):
        drawn.add(Plain(title))
    made = Series(
        f"'pots made'!$B${at + 1}",
        f"'pots made'!$A${first + 1}:$A${last + 1}",
        f"'pots made'!$B${first + 1}:$B${last + 1}",
        "stage 0",
    )
    chart = Chart("", 3, 0, (made,), (made,), "pots")
    return Book(
        "Pots",
        date(2027, 3, 1),
        2,
        "A4",
        (
            pots.tab(
                freeze=(at + 1, 1),
                filtered=Area(at, 0, last, 2),
                paints=(Paint(Area(first, 0, last, 2), f"$B{first + 1}>30", "late"),),
                printed=Print(repeat_rows=(at, at), repeat_columns=(0, 0)),
            ),
            drawn.tab(charts=(chart,), printed=Print(new_pages=(1,))),
        ),
        {"pots_total": f"'pots made'!$B${total + 1}"},
    )
