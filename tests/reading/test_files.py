"""Which files of a folder are sheets, and what is told of those that are not."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.reading.read import read_job, read_sheet
from tests.reading.folders import NEEDED, SOUND, TODAY, told


def fill(folder: Path, **files: str) -> Path:
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def sound(folder: Path) -> Path:
    return fill(folder, **{f"{name}.csv": text for name, text in SOUND.items()})


@pytest.mark.parametrize("name", ["Clay stock.csv", "CLAY_STOCK.CSV", "clay-stock.Csv"])
def test_a_sheet_is_known_by_its_name_however_it_is_written(tmp_path: Path, name: str) -> None:
    (sound(tmp_path) / "clay_stock.csv").rename(tmp_path / name)
    reading = read_job(tmp_path, today=TODAY, needed=NEEDED)
    assert told(reading) == []
    assert reading.job is not None
    assert reading.job.clay_stock.height == 1


@pytest.mark.parametrize("name", ["plan.problems.csv", ".orders.csv", "~$orders.csv", "READ ME.txt", "orders.csv~"])
def test_files_that_programs_leave_are_passed_over(tmp_path: Path, name: str) -> None:
    reading = read_job(fill(sound(tmp_path), **{name: "anything"}), today=TODAY, needed=NEEDED)
    assert told(reading) == []


def test_a_file_that_the_disk_refuses_is_a_problem(tmp_path: Path) -> None:
    """A link to nowhere is a file that cannot be opened, whoever runs the test."""
    (sound(tmp_path) / "orders.csv").unlink()
    (tmp_path / "orders.csv").symlink_to(tmp_path / "nowhere.csv")
    reading = read_job(tmp_path, today=TODAY, needed=NEEDED)
    assert told(reading) == [("orders", None, None, "unreadable sheet")]
    assert reading.problems["value"].to_list() == ["orders.csv"]


def test_no_folder_is_an_error_of_the_disk(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        read_job(tmp_path / "nowhere", today=TODAY, needed=NEEDED)


def test_only_what_is_needed_must_be_there(tmp_path: Path) -> None:
    (sound(tmp_path) / "clay_stock.csv").unlink()
    assert read_job(tmp_path, today=TODAY, needed=("orders", "forms")).job is not None
    needed = (*NEEDED, "labour_hours")
    missing = ["clay_stock", "labour_hours"]
    assert read_job(tmp_path, today=TODAY, needed=needed).problems["sheet"].to_list() == missing


def test_a_sheet_from_elsewhere_takes_the_place_of_the_folders_own(tmp_path: Path) -> None:
    fill(sound(tmp_path), **{"orders.csv": "not a sheet at all"})
    reading = read_job(tmp_path, today=TODAY, needed=NEEDED, instead={"orders": SOUND["orders"].encode()})
    assert told(reading) == []


def test_the_files_are_left_as_they_are(tmp_path: Path) -> None:
    before = {path.name: path.read_bytes() for path in sound(tmp_path).iterdir()}
    read_job(tmp_path, today=TODAY, needed=NEEDED)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_result_sheet_can_be_read_by_itself() -> None:
    """As it comes through a pipe, its columns in another order and one of them left out."""
    data = b"form,order,step,stage,pieces_in,pieces_out,loss_pct,already_done\nmug,A1,1,throw,27,26.4,2,0\n"
    frame, problems = read_sheet("pieces", data, "standard input")
    assert frame is None
    row = {"sheet": "pieces (standard input)", "row": 2, "column": "pieces_out", "value": "26.4"}
    assert problems.select(*row).row(0, named=True) == row
    frame, problems = read_sheet("pieces", data.replace(b"26.4", b"26"), "standard input")
    assert problems.is_empty()
    assert frame is not None
    assert frame.select("order", "form", "glaze", "stage", "pieces_in", "pieces_out").rows() == [
        ("A1", "mug", None, "throw", 27, 26)
    ]


def test_a_sheet_of_no_known_name_cannot_be_read() -> None:
    with pytest.raises(KeyError):
        read_sheet("potions", b"", "standard input")
