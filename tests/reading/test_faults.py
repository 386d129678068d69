"""Each kind of fault has a folder of sheets that hold it, and beside them the problems that a person is told."""

from __future__ import annotations

import ast
import csv
from datetime import date
from pathlib import Path

import pytest

from pipeline.reading.read import read_job
from schemas import book_kinds, kinds, range_kinds, written_kinds
from schemas.kinds import KINDS
from schemas.problem import ProblemKind

TESTS = Path(__file__).resolve().parent.parent
FAULTS = sorted(path.name for path in (TESTS / "faults").iterdir() if path.is_dir())

WITHOUT_A_FOLDER = {
    "sheet too large": "a file of a hundred megabytes; see test_rows.py",
    "unreadable sheet": "the disk must refuse; see test_files.py",
}
"""Kinds that no folder in the repository can hold."""

NEEDED = ("orders", "forms", "clay_stock")


def expected(fault: str) -> list[dict[str, str]]:
    with (TESTS / "faults" / fault / "expected_problems.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_told_once_in_plain_words_and_at_its_place(fault: str) -> None:
    reading = read_job(TESTS / "faults" / fault / "sheets", today=date(2027, 3, 1), needed=NEEDED)
    told = [
        {name: "" if cell is None else str(cell) for name, cell in row.items()}
        for row in reading.problems.iter_rows(named=True)
    ]
    assert told == expected(fault)


@pytest.mark.parametrize("fault", FAULTS)
def test_there_is_a_job_unless_something_stops_it(fault: str) -> None:
    reading = read_job(TESTS / "faults" / fault / "sheets", today=date(2027, 3, 1), needed=NEEDED)
    assert (reading.job is None) == any(row["severity"] == "stop" for row in expected(fault))


def raised_while_reading() -> set[str]:
    """The codes of the kinds that the reader's source names."""
    modules = {"book_kinds": book_kinds, "kinds": kinds, "written_kinds": written_kinds, "range_kinds": range_kinds}
    found = set()
    for path in (TESTS.parent / "pipeline" / "reading").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and ast.unparse(node.value) in modules:
                kind = getattr(modules[ast.unparse(node.value)], node.attr)
                found |= {kind.code} if isinstance(kind, ProblemKind) else set()
    return found


def test_every_kind_that_reading_tells_has_a_faulty_sample() -> None:
    sampled = {row["kind"] for fault in FAULTS for row in expected(fault)}
    assert raised_while_reading() == sampled | set(WITHOUT_A_FOLDER)


def test_kinds_have_names_of_their_own_and_say_what_to_do() -> None:
    codes = [kind.code for kind in KINDS]
    assert len(set(codes)) == len(codes)
    assert all(kind.what_to_do and kind.meaning.endswith(".") for kind in KINDS)
