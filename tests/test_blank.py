"""Blank sheets and their guide."""

from __future__ import annotations

import csv
import shutil
from dataclasses import fields
from datetime import date
from pathlib import Path

import polars as pl
import pytest

from pipeline.blank import WIDTH, blank_files, guide
from pipeline.job import Job
from pipeline.reading.read import read_job
from schemas import REQUIRED, SHEETS_IN
from schemas.settings import SETTINGS
from schemas.sheet import columns

FIRST = Path(__file__).resolve().parent.parent / "sample_data" / "first"

MARK = b"\xef\xbb\xbf"
"""What tells a spreadsheet that a file is UTF-8: the letter U+FEFF. Source: Unicode Standard 15, section 23.8."""


def test_there_is_a_blank_for_every_sheet_that_goes_in_and_a_guide() -> None:
    assert list(blank_files()) == ["READ ME.txt", *(f"{name}.csv" for name in SHEETS_IN)]


def test_a_blank_sheet_is_its_headings_and_nothing_else() -> None:
    files = blank_files()
    assert files["closed_days.csv"] == MARK + b"from,to,note\r\n"
    assert files["kiln_fit.csv"] == MARK + b"firing,kiln,form,pieces\r\n"
    headings = b"order,customer,form,glaze,quantity,due,unit_price,deposit,priority,note\r\n"
    assert files["orders.csv"] == MARK + headings
    assert all(text.count(b"\n") == 1 for name, text in files.items() if name.endswith(".csv"))


def test_the_guide_opens_in_any_editor() -> None:
    text = blank_files()["READ ME.txt"]
    assert text.startswith(MARK)
    assert text.count(b"\n") == text.count(b"\r\n") == guide().count("\n")


def test_the_guide_names_every_sheet_and_says_which_are_needed() -> None:
    for name in SHEETS_IN:
        needed = "needed" if name in REQUIRED else "only if you want to"
        assert f"\n{name}.csv - {needed}\n" in guide()


@pytest.mark.parametrize("name", SHEETS_IN)
def test_the_guide_tells_every_column_with_its_example(name: str) -> None:
    section = guide().split(f"\n{name}.csv - ")[1].split(".csv - ")[0]
    words = " ".join(section.split())
    for column in columns(SHEETS_IN[name]):
        assert f"\n  {column.name} " in section
        assert f"Example: {column.example}" in words


def test_the_guide_tells_every_setting_and_what_holds_without_it() -> None:
    words = " ".join(guide().split())
    for setting in SETTINGS:
        assert f"If not given: {setting.default}. Example: {setting.example}" in words


def test_the_guide_fits_a_window() -> None:
    assert max(len(line) for line in guide().splitlines()) <= WIDTH


def laid_out(folder: Path) -> Path:
    """A folder of blank sheets, as ``wareboard start`` makes it."""
    for name, content in blank_files().items():
        (folder / name).write_bytes(content)
    return folder


def test_of_blank_sheets_only_the_needed_ones_are_missed(tmp_path: Path) -> None:
    problems = read_job(laid_out(tmp_path), today=date(2027, 3, 1), needed=REQUIRED).problems
    assert problems.select("sheet", "kind").rows() == [
        ("orders", "empty sheet"),
        ("forms", "empty sheet"),
        ("clay_stock", "empty sheet"),
        ("labour_hours", "empty sheet"),
    ]


def test_blank_sheets_beside_those_filled_in_change_nothing(tmp_path: Path) -> None:
    """A sheet with nothing below its headings counts as not given: the same job as from the four sheets alone."""
    shutil.copytree(FIRST, laid_out(tmp_path), dirs_exist_ok=True)
    alone = read_job(FIRST, today=date(2027, 3, 1), needed=REQUIRED)
    among_blanks = read_job(tmp_path, today=date(2027, 3, 1), needed=REQUIRED)
    assert among_blanks.problems.is_empty()
    assert alone.job is not None
    assert among_blanks.job is not None
    for field in fields(Job):
        expected, found = getattr(alone.job, field.name), getattr(among_blanks.job, field.name)
        assert found.equals(expected) if isinstance(expected, pl.DataFrame) else found == expected


@pytest.mark.parametrize("name", SHEETS_IN)
def test_the_examples_are_what_may_be_typed(name: str, tmp_path: Path) -> None:
    """A row of the guide's examples is wrong at most in naming what the other sheets, here blank, do not have.

    The day is after that of the example of work in progress.
    """
    row = {column.name: column.example for column in columns(SHEETS_IN[name])}
    with (laid_out(tmp_path) / f"{name}.csv").open("a", newline="", encoding="utf-8") as file:
        csv.DictWriter(file, list(row)).writerow(row)
    problems = read_job(tmp_path, today=date(2027, 3, 5), needed=(name,)).problems
    elsewhere = {"unknown name", "stage of another method", "bat on and off", "shares of a blend", "work for no order"}
    assert set(problems["kind"]) <= elsewhere | {"no recipe"}
