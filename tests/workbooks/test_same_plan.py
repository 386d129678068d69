"""The same facts give the same plan, to the byte, whichever program saved them in whichever format."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date
from pathlib import Path

import polars as pl
import pytest
from typer.testing import CliRunner

from pipeline.cli import app
from pipeline.job import Job
from pipeline.reading.read import read_job
from schemas import REQUIRED, SHEETS_IN
from tests.workbooks.books import STUDIO, as_typed, csv_filter, csv_rows, saved, studio_book, xlsx


def plan(job: Path, out: Path) -> dict[str, bytes]:
    ended = CliRunner().invoke(app, ["plan", str(job), "--out", str(out)])
    assert ended.exit_code == 0, ended.stderr
    return {file.name: file.read_bytes() for file in out.iterdir()}


def job(folder: Path) -> Job:
    reading = read_job(folder, today=date(2027, 3, 1), needed=REQUIRED)
    assert reading.job is not None, reading.problems.rows()
    return reading.job


def differing(found: Job, expected: Job) -> list[str]:
    """The sheets that differ. What was understood of how numbers were written is told of each spelling apart."""
    names = [field.name for field in fields(Job) if field.name != "readings"]
    return [name for name in names if not _same(getattr(found, name), getattr(expected, name))]


def _same(one: object, other: object) -> bool:
    return one.equals(other) if isinstance(one, pl.DataFrame) and isinstance(other, pl.DataFrame) else one == other


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("book") / "shop.xlsx"
    path.write_bytes(studio_book())
    return path


@pytest.fixture(scope="module")
def from_csvs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return plan(STUDIO, tmp_path_factory.mktemp("csvs") / "plan")


def test_a_workbook_plans_as_its_csvs(book: Path, from_csvs: dict[str, bytes], tmp_path: Path) -> None:
    assert plan(book, tmp_path / "plan") == from_csvs


@pytest.mark.parametrize(("format_", "locale"), [("ods", "de_DE.UTF-8"), ("xlsx", "fr_FR.UTF-8")])
def test_what_libreoffice_saved_plans_as_the_csvs(
    book: Path, from_csvs: dict[str, bytes], tmp_path: Path, format_: str, locale: str
) -> None:
    file = saved(book, format_, tmp_path / "room", locale) / f"shop.{format_}"
    assert plan(file, tmp_path / "plan") == from_csvs


def test_a_folder_of_workbooks_one_a_sheet_and_csvs_between(from_csvs: dict[str, bytes], tmp_path: Path) -> None:
    """Even sheets as workbooks, the tab of which has the name that the program gave it; odd ones as CSVs."""
    for place, sheet in enumerate(SHEETS_IN):
        if place % 2:
            (tmp_path / f"{sheet}.csv").write_bytes((STUDIO / f"{sheet}.csv").read_bytes())
        else:
            tabs = {"Sheet1": as_typed(sheet, csv_rows(sheet)), "Sheet2": [], "Sheet3": []}
            (tmp_path / f"{sheet}.xlsx").write_bytes(xlsx(tabs))
    assert plan(tmp_path, tmp_path / "plan") == from_csvs


SAVES = {
    "comma, UTF-8, US": (csv_filter(",", 76), "en_US.UTF-8"),
    "comma, UTF-8, all quoted, British": (csv_filter(",", 76, quote_all=True), "en_GB.UTF-8"),
    "comma, Windows-1252, US, as stored": (csv_filter(",", 1, as_shown=False), "en_US.UTF-8"),
    "tab, UTF-16, US": (csv_filter("\t", 65535), "en_US.UTF-8"),
    "semicolon, UTF-8, German": (csv_filter(";", 76), "de_DE.UTF-8"),
    "semicolon, Windows-1252, German": (csv_filter(";", 1), "de_DE.UTF-8"),
    "tab, Windows-1252, French": (csv_filter("\t", 1), "fr_FR.UTF-8"),
    "semicolon, UTF-16, Polish": (csv_filter(";", 65535), "pl_PL.UTF-8"),
}
"""Delimiter, encoding and locale of eight ways to save as CSV: German, French and Polish write `12,5`."""


@pytest.mark.parametrize("save", SAVES)
def test_what_libreoffice_saved_as_csv_is_the_same_job(book: Path, tmp_path: Path, save: str) -> None:
    to, locale = SAVES[save]
    assert differing(job(saved(book, to, tmp_path / "room", locale)), job(STUDIO)) == []


DATES = {
    "German, full stops": (csv_filter(";", 76), "de_DE.UTF-8", "dd.mm.yyyy", "day"),
    "British, slashes": (csv_filter(",", 76), "en_GB.UTF-8", "dd/mm/yyyy", "day"),
    "US, slashes": (csv_filter("\t", 1), "en_US.UTF-8", "m/d/yyyy", "month"),
    "English words": (csv_filter(",", 76), "en_GB.UTF-8", "d mmm yyyy", "day"),
}
"""Dates as people have their spreadsheets show them, which is how a CSV has them."""


@pytest.mark.parametrize("save", DATES)
def test_dates_shown_as_people_like_them_are_the_same_job(tmp_path: Path, save: str) -> None:
    """The sample's clay came on 9 November, 8 February and 1 December, which leaves open what comes first: so the
    setting says it."""
    to, locale, dates, order = DATES[save]
    (tmp_path / "shop.xlsx").write_bytes(studio_book(dates=dates, settings={"date_order": order}))
    found, whole = job(saved(tmp_path / "shop.xlsx", to, tmp_path / "room", locale)), job(STUDIO)
    assert differing(found, whole) == ["settings"]
    assert replace(found.settings, date_order=whole.settings.date_order) == whole.settings
