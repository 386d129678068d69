"""Bytes changed at random: the same job or problems, never an error of ours and never another number."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import zipfile
from datetime import date
from pathlib import Path

import pytest

from pipeline.exits import Exit
from pipeline.reading.read import read_job
from tests.workbooks.books import saved, xlsx
from tests.workbooks.test_files import NEEDED, SOUND

TIMES = 60


def damaged(data: bytes, chance: random.Random) -> bytes:
    """The bytes with one to four of them changed, lost or doubled."""
    spoilt = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        if not spoilt:
            break
        at = chance.randrange(len(spoilt))
        match chance.randrange(3):
            case 0:
                spoilt[at] = chance.randrange(256)
            case 1:
                del spoilt[at : at + chance.randint(1, 40)]
            case _:
                spoilt[at:at] = spoilt[at : at + chance.randint(1, 40)]
    return bytes(spoilt)


@pytest.fixture(scope="module", params=["xlsx", "ods"])
def sound(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook in which nothing is wrong."""
    room = tmp_path_factory.mktemp("sound")
    book = room / "shop.xlsx"
    book.write_bytes(xlsx(SOUND))
    return book if request.param == "xlsx" else saved(book, "ods", room / "room") / "shop.ods"


def test_damage_is_told_or_changes_nothing(sound: Path, tmp_path: Path) -> None:
    data, book = sound.read_bytes(), tmp_path / sound.name
    book.write_bytes(data)
    whole = read_job(book, today=date(2027, 3, 1), needed=NEEDED).job
    assert whole is not None
    chance = random.Random(20270301)
    for _ in range(TIMES):
        book.write_bytes(damaged(data, chance))
        reading = read_job(book, today=date(2027, 3, 1), needed=NEEDED)
        if reading.job is None:
            assert not reading.problems.is_empty()
        else:
            assert reading.job.orders.equals(whole.orders)
            assert reading.job.forms.equals(whole.forms)
            assert reading.job.clay_stock.equals(whole.clay_stock)


def test_damage_inside_the_parts_is_told_or_read(sound: Path, tmp_path: Path) -> None:
    """As a program with a fault would write it: the packing is sound, the parts are not. A changed digit is a changed
    sheet, so only that reading never fails is looked at."""
    book = tmp_path / sound.name
    with zipfile.ZipFile(sound) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    chance = random.Random(20270302)
    told_of = 0
    for _ in range(TIMES):
        name = chance.choice([name for name, part in parts.items() if part])
        with zipfile.ZipFile(book, "w") as packed:
            for other, part in parts.items():
                packed.writestr(other, damaged(part, chance) if other == name else part)
        told_of += read_job(book, today=date(2027, 3, 1), needed=NEEDED).job is None
    assert told_of > 0


@pytest.mark.parametrize("lxml", ["False", "True"])
def test_a_part_that_is_no_xml_is_told_whatever_reads_it(lxml: str, tmp_path: Path) -> None:
    """openpyxl reads by lxml where that is installed, or by Python's own library."""
    book = tmp_path / "shop.xlsx"
    book.write_bytes(xlsx(SOUND))
    with zipfile.ZipFile(book) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    with zipfile.ZipFile(book, "w") as packed:
        for name, part in parts.items():
            packed.writestr(name, part[:-20] if name == "xl/workbook.xml" else part)
    run = [sys.executable, "-c", "from pipeline.cli import main; main()", "check", str(book)]
    environment = {**os.environ, "OPENPYXL_LXML": lxml}
    ended = subprocess.run(run, capture_output=True, text=True, check=False, env=environment)
    assert ended.returncode == Exit.PROBLEMS, ended.stderr
    assert "damaged workbook" in ended.stdout
