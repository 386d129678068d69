"""LibreOffice opens the charts, reads their figures from the cells itself, and prints each load on a page."""

from __future__ import annotations

import re
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest

from pipeline.writing.book import book
from pipeline.writing.book.cells import Book, Paper, Print
from pipeline.writing.xlsx import draw
from tests.workbooks.books import saved
from tests.writing import example

NAMESPACES = re.compile(r"(</?)\w+:")


def charts(workbook: Path) -> list[list[tuple[str, list[str], list[float]]]]:
    """Each chart's series: name, categories and values, as the file keeps them."""
    with zipfile.ZipFile(workbook) as parts:
        names = sorted(name for name in parts.namelist() if re.fullmatch(r"xl/charts/chart\d+\.xml", name))
        texts = [NAMESPACES.sub(r"\1", parts.read(name).decode()) for name in names]
    return [[_series(series) for series in re.findall(r"<ser>.*?</ser>", text, re.DOTALL)] for text in texts]


def _series(text: str) -> tuple[str, list[str], list[float]]:
    found = {part: re.search(rf"<{part}>(.*?)</{part}>", text, re.DOTALL) for part in ("tx", "cat", "val")}
    points = {part: re.findall(r"<v>(.*?)</v>", match[1]) if match else [] for part, match in found.items()}
    return points["tx"][0], points["cat"], [float(point) for point in points["val"]]


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The workbook as we write it, and as LibreOffice saves it again with what it found in the cells."""
    room = tmp_path_factory.mktemp("charts")
    ours = room / "plan.xlsx"
    ours.write_bytes(draw(book(example.job(), example.results())))
    return ours, saved(ours, "xlsx:Calc MS Excel 2007 XML", room) / "plan.xlsx"


def test_the_charts_have_the_figures_of_the_cells(files: tuple[Path, Path]) -> None:
    ours, theirs = map(charts, files)
    assert len(ours) == len(theirs) == 3
    for chart, found in zip(ours, theirs, strict=True):
        assert [name for name, _, _ in chart] == [name for name, _, _ in found]
        assert [len(categories) for _, categories, _ in chart] == [len(categories) for _, categories, _ in found]
        for (_, _, values), (_, _, others) in zip(chart, found, strict=True):
            assert values == pytest.approx(others, rel=1e-9)


def test_bats_boards_and_kiln_as_the_sheets_have_them(files: tuple[Path, Path]) -> None:
    """Small bats on five nights; loads of 33.3333 + 26.25 + 12.5 = 72.0833 % and 40.3846 + 30.2326 + 14.7059 =
    85.3231 %."""
    _, space, kiln = charts(files[1])
    assert [(name, values) for name, _, values in space] == [
        ("small bats, of 20", [20, 13, 0, 5, 0]),
        ("boards, of 16", [2, 2, 2, 2, 0]),
    ]
    assert kiln == [("share %", ["L1", "L2"], [pytest.approx(72.0833), pytest.approx(85.3231)])]


def pages(plan: Book, room: Path) -> int:
    """How many pages LibreOffice prints a workbook on."""
    room.mkdir()
    (room / "plan.xlsx").write_bytes(draw(plan))
    return len(re.findall(rb"/Type\s*/Page\b", (saved(room / "plan.xlsx", "pdf", room) / "plan.pdf").read_bytes()))


def test_each_load_prints_on_a_page_of_its_own(tmp_path: Path) -> None:
    """Both loads have room on one page: without the break between them there is a page less."""
    plan = book(example.job(), example.results())
    apart = tuple(tab for tab in plan.tabs if tab.name in ("kiln loads", "kiln contents", "load sheets"))
    joined = tuple(replace(tab, print=Print()) if tab.name == "load sheets" else tab for tab in apart)
    counted = [
        pages(replace(plan, tabs=tabs, names={}), tmp_path / name)
        for name, tabs in (("apart", apart), ("joined", joined))
    ]
    assert counted == [len(apart) + 1, len(apart)]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_each_chart_prints_on_a_page_of_its_own(tmp_path: Path, paper: Paper) -> None:
    """With the usual font or without, three charts take three pages."""
    plan = book(example.job(), example.results())
    shown = tuple(tab for tab in plan.tabs if tab.name in ("hours", "charts", "space", "kiln loads"))
    without = tuple(tab for tab in shown if tab.name != "charts")
    few = replace(plan, paper=paper, tabs=shown, names={})
    assert pages(few, tmp_path / "with") == pages(replace(few, tabs=without), tmp_path / "without") + 3
