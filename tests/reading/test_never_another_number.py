"""A cell changed into anything gives the same job or is told; what is told of a number is never silently another."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.job import Job
from pipeline.reading.read import read_job
from schemas import SHEETS_IN
from schemas.sheet import columns
from tests.reading.folders import NEEDED, TODAY

STUDIO = Path(__file__).resolve().parent.parent.parent / "sample_data" / "studio"

SHEETS = {name: (STUDIO / f"{name}.csv").read_bytes() for name in SHEETS_IN if (STUDIO / f"{name}.csv").exists()}

NUMBERS = ("whole", "number", "amount", "price")

SPOILERS = (
    "about {}", "ca. {}", "{}?", "{}ish", "~{}", "{} + 2", "{}-{}", "{} or so", "{} (blue)", "{} each", "x{}", "{}x",
    "{} stone", "{} ton", "{}, {}", "{};{}", "{}/{}/2027", "4-Mar", "2027-03-04", "=SUM({})", "#{}", "({})", "{}..",
    "{},,5", "..{}", "-", ".", ",", "{} %%", "{}e", "0x{}", "{} 1/0", "½ {}", "{}£€", "NaN", "inf", "--{}",
)  # fmt: skip
"""Ways to spoil a number; in each it is no number any more, or not that one."""

CELLS = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=10),
    st.text("0123456789.,' /-+%£€$kgblozinm\"#\u00a0\u202f½", max_size=10),
)

DATES = st.one_of(
    st.text("0123456789-/. :TMayJune,th", max_size=12),
    st.builds("{}/{}/{}".format, st.integers(0, 40), st.integers(0, 40), st.sampled_from(["27", "2027", "0027"])),
    st.dates().map("{:%d.%m.%Y}".format),
    st.dates().map("{:%a %d %B %Y}".format),
    st.integers(20_000, 90_000).map(str),
)


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("empty")


@pytest.fixture(scope="module")
def sound(empty: Path) -> Job:
    job = read_job(empty, today=TODAY, needed=NEEDED, instead=SHEETS).job
    assert job is not None
    return job


def with_cell(sheet: str, row: int, place: int, cell: str) -> bytes:
    rows = list(csv.reader(io.StringIO(SHEETS[sheet].decode("utf-8-sig"), newline="")))
    rows[row][place] = cell
    file = io.StringIO()
    csv.writer(file, quoting=csv.QUOTE_ALL).writerows(rows)
    return file.getvalue().encode()


def places(*kinds: str) -> list[tuple[str, int, int, str]]:
    """Every cell of the sample that holds such a value: sheet, row, column and what stands there."""
    return [
        (sheet, row, place, cells[place])
        for sheet in SHEETS
        for rows in [list(csv.reader(io.StringIO(SHEETS[sheet].decode("utf-8-sig"), newline="")))]
        for place, name in enumerate(rows[0])
        for column in columns(SHEETS_IN[sheet])
        if column.name == name and column.kind in kinds
        for row, cells in enumerate(rows[1:], 1)
        if cells[place:] and cells[place]
    ]


PLACES = places(*NUMBERS)
DAYS = places("day")

slow = settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])


@slow
@given(place=st.sampled_from(PLACES), spoiler=st.sampled_from(SPOILERS))
def test_a_spoiled_number_is_told_at_its_cell(empty: Path, place: tuple[str, int, int, str], spoiler: str) -> None:
    sheet, row, at, cell = place
    spoiled = spoiler.replace("{}", cell)
    reading = read_job(empty, today=TODAY, needed=NEEDED, instead=SHEETS | {sheet: with_cell(sheet, row, at, spoiled)})
    assert reading.job is None
    here = reading.problems.filter(sheet=sheet, row=row + 1, severity="stop")
    assert here.height >= 1, (spoiled, reading.problems.rows())


@slow
@given(place=st.sampled_from(PLACES), cell=CELLS)
def test_any_cell_in_place_of_a_number(empty: Path, sound: Job, place: tuple[str, int, int, str], cell: str) -> None:
    """No other cell of the job changes its value, whatever one cell holds: not by its marks or its currency."""
    holds(empty, sound, place, cell)


@slow
@given(place=st.sampled_from(DAYS), cell=DATES)
def test_any_cell_in_place_of_a_date(empty: Path, sound: Job, place: tuple[str, int, int, str], cell: str) -> None:
    """The other dates are written year, month, day, which one that is written otherwise cannot change."""
    holds(empty, sound, place, cell)


def holds(empty: Path, sound: Job, place: tuple[str, int, int, str], cell: str) -> None:
    """All but the row of the changed cell is as it was, or something stops the plan."""
    sheet, row, at, _ = place
    reading = read_job(empty, today=TODAY, needed=NEEDED, instead=SHEETS | {sheet: with_cell(sheet, row, at, cell)})
    assert (reading.job is None) == ("stop" in reading.problems["severity"])
    if reading.job is None:
        return
    for name in SHEETS_IN:
        if name == "settings":
            continue
        found, expected = getattr(reading.job, name), getattr(sound, name)
        if name == sheet:
            found, expected = (frame.filter(pl.col("row") != row + 1) for frame in (found, expected))
        if name in SHEETS:
            assert found.equals(expected), name
