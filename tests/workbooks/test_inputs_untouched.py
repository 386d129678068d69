"""What people typed is read and never written, whatever is asked, and however it stands there."""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from pipeline.cli import STEP_COMMANDS, app
from pipeline.exits import Exit
from tests.workbooks.books import STUDIO, csv_rows, xlsx

FIRST = STUDIO.parent / "first"
SHEETS = ("orders", "forms", "clay_stock", "labour_hours")


def prints(folder: Path) -> dict[str, tuple[str, int]]:
    """Each file's fingerprint and the time of its last change."""
    return {
        path.name: (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns)
        for path in folder.iterdir()
        if path.is_file()
    }


def job(folder: Path, form: str) -> Path:
    """The small sample as CSVs, or as a workbook among other things; what commands are given."""
    if form == "CSVs":
        return Path(shutil.copytree(FIRST, folder, dirs_exist_ok=True))
    (folder / "shop.xlsx").write_bytes(xlsx({sheet: [*csv_rows(sheet, FIRST)] for sheet in SHEETS}))
    (folder / "letter.txt").write_text("Dear Sir")
    return folder / "shop.xlsx"


@pytest.mark.parametrize("form", ["CSVs", "workbook"])
def test_no_command_changes_what_it_reads(tmp_path: Path, form: str) -> None:
    given = job(tmp_path, form)
    before = prints(tmp_path)
    for command in ("check", "buy", "plan", *STEP_COMMANDS):
        ended = CliRunner().invoke(app, [command, str(given), "--today", "2027-03-01"])
        assert ended.exit_code in (Exit.DONE, Exit.LATE), command
    assert prints(tmp_path) == before
    assert [path.name for path in tmp_path.iterdir() if path.is_dir()] == ["plan"]


def test_the_plan_of_a_workbook_goes_beside_it(tmp_path: Path) -> None:
    given = job(tmp_path, "workbook")
    ended = CliRunner().invoke(app, ["plan", str(given), "--today", "2027-03-01"])
    assert str(tmp_path / "plan" / "plan.xlsx") in ended.stderr
    assert (tmp_path / "plan" / "orders.csv").exists() is False
    assert (tmp_path / "plan" / "promises.csv").exists()


def test_so_do_its_problems(tmp_path: Path) -> None:
    (tmp_path / "shop.xlsx").write_bytes(xlsx({"orders": [["order", "form", "quantity"], ["A1", "mug", "many"]]}))
    before = prints(tmp_path)
    ended = CliRunner().invoke(app, ["plan", str(tmp_path / "shop.xlsx"), "--today", "2027-03-01"])
    assert ended.exit_code == Exit.PROBLEMS
    assert set(prints(tmp_path)) == {"shop.xlsx", "plan.problems.csv"}
    assert before.items() <= prints(tmp_path).items()
