"""What is worked out once for rows that are alike."""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from pipeline.alike import once_each


def test_each_kind_of_row_is_asked_about_once_in_its_turn() -> None:
    rows = pl.DataFrame(
        {
            "glaze": ["oat", None, "oat", "fern", None],
            "price": [Decimal("1.50"), Decimal("2.00"), Decimal("1.50"), Decimal("1.50"), Decimal("2.00")],
        }
    )
    asked: list[tuple[str | None, Decimal]] = []

    def work_out(glaze: str | None, price: Decimal) -> str | None:
        asked.append((glaze, price))
        return glaze and f"{glaze} at {price:.2f}"

    # Rows 1 and 3 are alike, and so are 2 and 5, whose glaze is blank.
    assert once_each(rows, work_out, pl.String).to_list() == [
        "oat at 1.50", None, "oat at 1.50", "fern at 1.50", None,
    ]  # fmt: skip
    assert asked == [("oat", Decimal("1.50")), (None, Decimal("2.00")), ("fern", Decimal("1.50"))]


def test_no_rows_give_an_empty_column_of_the_kind_asked_for() -> None:
    found = once_each(pl.DataFrame(schema={"form": pl.String}), lambda form: 1, pl.Int64)
    assert found.is_empty()
    assert found.dtype == pl.Int64
