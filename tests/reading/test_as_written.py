"""Cells of a workbook: numbers are numbers there, and say nothing of the marks that people type into text."""

from __future__ import annotations

import polars as pl
import pytest

from pipeline.reading.as_written import as_written
from pipeline.reading.meant import Source, Ways
from schemas.sheet import columns
from schemas.sheets_in.forms import Forms


def grams(*cells: str, mark: str | None = None) -> tuple[list[str | None], list[str]]:
    text = pl.DataFrame({"ball_g": cells, "row": range(2, 2 + len(cells))})
    written = as_written("forms", columns(Forms), ["ball_g"], text, Source(typed=True), Ways(decimal_mark=mark))
    return written.text["ball_g"].to_list(), [problem.kind for problem in written.problems]


@pytest.mark.parametrize(
    ("cells", "plain", "problems"),
    [
        (("1.234", "380"), [None, "380"], ["ambiguous number"]),  # text: a number would be 1.2340
        (("1.2340", "380"), ["1.2340", "380"], []),
        (("12.5", "1,4 kg"), ["12.5", "1400"], []),
        (("12.5", "1.4 kg", "1.234"), ["12.5", "1400", "1.234"], []),
        (("1.234", "1,4 kg"), ["1234", "1400"], []),  # text beside text whose comma stands before decimals
        (("1.2340", "1,4 kg"), ["1.2340", "1400"], []),
        (("1,4 kg", "1.4 kg"), [None, None], ["decimal marks at odds", "decimal marks at odds"]),
        (("12.5", "1,234"), ["12.5", None], ["ambiguous number"]),
    ],
)
def test_numbers_beside_text(cells: tuple[str, ...], plain: list[str | None], problems: list[str]) -> None:
    assert grams(*cells) == (plain, problems)


def test_the_setting_decides_for_text_alone() -> None:
    assert grams("12.5", "1,234", mark=",") == (["12.5", "1.234"], [])
