"""Formulas stay short however many rows they rest on.

Source: Microsoft, Excel specifications and limits: 8,192 characters in a formula, 255 arguments of a function, 64
levels of nested functions. A file with a longer one is called damaged when it is opened; LibreOffice takes any.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from pipeline.plan import whole_plan
from pipeline.reading.read import read_job
from pipeline.writing.book import Book, book
from pipeline.writing.book.cells import Cells
from schemas.problem import problems_sheet
from tests.busy_studio import START, busy_studio

LONGEST, MOST_ARGUMENTS, DEEPEST = 8_192, 255, 64

LINES = 240
"""Order lines, of which each fourth has pieces in progress and a balance carried over."""


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Book:
    """The workbook of a busy shop that carries over part-made goods of sixty lines, deposits and finished goods."""
    folder = tmp_path_factory.mktemp("busy") / "studio"
    busy_studio(folder, lines=LINES, pieces=2, days=365, people=10)
    with (folder / "orders.csv").open(encoding="utf-8", newline="") as file:
        orders = list(csv.DictReader(file))
    plates = [line for line in orders if line["form"] == "side plate"]
    write(
        folder / "in_progress.csv",
        ("order", "form", "glaze", "stage_done", "pieces", "date"),
        [(line["order"], line["form"], line["glaze"], "bisque firing", 1, "2027-02-24") for line in plates],
    )
    named = ("what", "item", "order", "glaze", "stage", "quantity", "unit", "materials", "value")
    part_made = [
        ("part-made goods", line["form"], line["order"], line["glaze"], "bisque firing", 1, "piece", "1.10", "2.35")
        for line in plates
    ]
    deposits = [("deposits held", "", line["order"], "", "", "", "", "", "5.00") for line in orders[::3]]
    finished = [("finished goods", "side plate", "", "", "", 30, "piece", "", "81.00")]
    write(folder / "opening_balances.csv", named, [*part_made, *finished, *deposits])
    job = read_job(folder, today=START, needed=("orders", "forms")).job
    assert job is not None
    assert len(plates) == LINES / 4
    return book(job, whole_plan(job, problems_sheet(())).results)


def write(path: Path, head: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([head, *rows])


def formulas(plan: Book) -> Iterator[tuple[str, str]]:
    """Every formula of a workbook with the name of its tab."""
    for tab in plan.tabs:
        for block in tab.blocks:
            for cells in block.columns.values():
                yield from ((tab.name, formula) for formula in each_formula(cells) if formula)


def each_formula(cells: Cells) -> set[str]:
    return {cells.formulas} if isinstance(cells.formulas, str) else set(cells.formulas)


def test_no_formula_is_too_long_or_too_deep(plan: Book) -> None:
    found = set(formulas(plan))
    assert len(found) > 1_000
    for tab, formula in found:
        assert len(formula) <= LONGEST - len("=") - len("1048576"), (tab, formula[:200])
        level = deepest = 0
        arguments = [0]
        for letter in formula:
            if letter == "(":
                level += 1
                arguments.append(1)
            elif letter == ")":
                level -= 1
                assert arguments.pop() <= MOST_ARGUMENTS, tab
            elif letter == ",":
                arguments[-1] += 1
            deepest = max(deepest, level)
        assert deepest <= DEEPEST, (tab, formula[:200])
