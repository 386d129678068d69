"""Results into their folder: all or none, and nothing of anybody else's is lost."""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from pathlib import Path

import pytest

from pipeline.writing import folder
from pipeline.writing.folder import CannotWrite, write_folder

OLD = {"pieces.csv": b"old pieces", "plan.xlsx": b"old book"}
NEW = {"pieces.csv": b"new pieces", "plan.xlsx": b"new book"}


def content(folder: Path) -> dict[str, bytes]:
    return {entry.name: entry.read_bytes() for entry in folder.iterdir()}


def refused(out: Path, files: Mapping[str, bytes] = NEW) -> str:
    """The sentence of a refusal, with nothing left behind beside the folder."""
    before = sorted(entry.name for entry in out.parent.iterdir()) if out.parent.is_dir() else []
    with pytest.raises(CannotWrite) as caught:
        write_folder(out, files)
    if out.parent.is_dir():
        assert sorted(entry.name for entry in out.parent.iterdir()) == before
    return str(caught.value)


def test_a_new_folder(tmp_path: Path) -> None:
    write_folder(tmp_path / "plan", NEW)
    assert content(tmp_path / "plan") == NEW
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]


def test_an_empty_folder(tmp_path: Path) -> None:
    (tmp_path / "plan").mkdir()
    write_folder(tmp_path / "plan", NEW)
    assert content(tmp_path / "plan") == NEW


def test_an_earlier_plan_is_replaced_as_a_whole(tmp_path: Path) -> None:
    write_folder(tmp_path / "plan", NEW | {"space.csv": b"x"})
    write_folder(tmp_path / "plan", OLD | {"space.csv": b"y"})
    assert content(tmp_path / "plan") == OLD | {"space.csv": b"y"}
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]


def test_what_a_desktop_leaves_behind_stops_nothing(tmp_path: Path) -> None:
    write_folder(tmp_path / "plan", OLD)
    (tmp_path / "plan" / ".DS_Store").write_bytes(b"icons")
    write_folder(tmp_path / "plan", NEW)
    assert content(tmp_path / "plan") == NEW


def test_a_relative_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    write_folder(Path("plan"), NEW)
    assert content(tmp_path / "plan") == NEW


def test_the_folder_keeps_its_permissions(tmp_path: Path) -> None:
    write_folder(tmp_path / "plan", OLD)
    (tmp_path / "plan").chmod(0o770)
    write_folder(tmp_path / "plan", NEW)
    assert stat.S_IMODE((tmp_path / "plan").stat().st_mode) == 0o770


def test_anything_else_in_the_folder_is_not_lost(tmp_path: Path) -> None:
    write_folder(tmp_path / "plan", OLD)
    (tmp_path / "plan" / "my notes.txt").write_bytes(b"glaze tests")
    assert "my notes.txt" in refused(tmp_path / "plan")
    assert content(tmp_path / "plan") == OLD | {"my notes.txt": b"glaze tests"}


@pytest.mark.parametrize("make", ["folder", "link"])
def test_what_only_has_the_name_of_a_result_is_not_lost(tmp_path: Path, make: str) -> None:
    (tmp_path / "plan").mkdir()
    (tmp_path / "elsewhere.csv").write_bytes(b"mine")
    strange = tmp_path / "plan" / "pieces.csv"
    if make == "folder":
        strange.mkdir()
    else:
        strange.symlink_to(tmp_path / "elsewhere.csv")
    assert "pieces.csv" in refused(tmp_path / "plan")
    assert strange.is_symlink() or strange.is_dir()


@pytest.mark.parametrize("lock", [".~lock.plan.xlsx#", "~$plan.xlsx"])
def test_an_open_workbook_is_closed_first(tmp_path: Path, lock: str) -> None:
    write_folder(tmp_path / "plan", OLD)
    (tmp_path / "plan" / lock).write_bytes(b"")
    assert "close the workbook and run again" in refused(tmp_path / "plan")
    assert content(tmp_path / "plan") == OLD | {lock: b""}


def test_a_file_of_that_name(tmp_path: Path) -> None:
    (tmp_path / "plan").write_bytes(b"a file")
    assert "is a file" in refused(tmp_path / "plan")
    assert (tmp_path / "plan").read_bytes() == b"a file"


@pytest.mark.parametrize("target", ["there", "not there"])
def test_a_link(tmp_path: Path, target: str) -> None:
    (tmp_path / "there").mkdir()
    (tmp_path / "plan").symlink_to(tmp_path / target)
    assert "is a link" in refused(tmp_path / "plan")
    assert (tmp_path / "plan").is_symlink()


def test_no_folder_to_put_it_into(tmp_path: Path) -> None:
    assert "There is no folder" in refused(tmp_path / "nowhere" / "plan")


def test_the_root_of_the_disk() -> None:
    with pytest.raises(CannotWrite, match="Name a folder inside it"):
        write_folder(Path(os.sep), NEW)


def test_a_write_protected_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever runs the tests may be allowed everything, so the answer of the system is given here."""
    write_folder(tmp_path / "plan", OLD)
    monkeypatch.setattr(os, "access", lambda *_: False)
    assert "write-protected" in refused(tmp_path / "plan")
    assert content(tmp_path / "plan") == OLD


def failing(monkeypatch: pytest.MonkeyPatch, method: str, name: str, error: BaseException) -> None:
    """Make a method of paths fail for the path of this name; to read it stays possible."""
    real = getattr(Path, method)

    def fails(path: Path, *arguments: object, **named: object) -> object:
        if path.name == name and named.get("mode") != "rb":
            raise error
        return real(path, *arguments, **named)

    monkeypatch.setattr(Path, method, fails)


def test_a_full_disk_leaves_the_old_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "plan", OLD)
    failing(monkeypatch, "open", "plan.xlsx", OSError(28, "No space left on device"))
    assert "No space left on device" in refused(tmp_path / "plan")
    assert content(tmp_path / "plan") == OLD


def test_a_folder_that_cannot_be_moved_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "plan", OLD)
    monkeypatch.setattr(folder, "exchange", lambda *_: False)
    failing(monkeypatch, "rename", "plan", PermissionError(13, "Permission denied"))
    assert "close the workbook" in refused(tmp_path / "plan")
    assert content(tmp_path / "plan") == OLD


def test_if_the_new_one_cannot_be_put_in_place_the_old_one_comes_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_folder(tmp_path / "plan", OLD)
    monkeypatch.setattr(folder, "exchange", lambda *_: False)
    failing(monkeypatch, "rename", ".plan.new-wareboard", OSError(5, "Input/output error"))
    assert "Input/output error" in refused(tmp_path / "plan")
    assert content(tmp_path / "plan") == OLD


def test_a_run_that_is_stopped_leaves_the_old_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_folder(tmp_path / "plan", OLD)
    failing(monkeypatch, "open", "plan.xlsx", KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        write_folder(tmp_path / "plan", NEW)
    assert content(tmp_path / "plan") == OLD
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]


def test_what_a_killed_run_left_half_written_is_tidied_up(tmp_path: Path) -> None:
    write_folder(tmp_path / "plan", OLD)
    (tmp_path / ".plan.new-wareboard").mkdir()
    (tmp_path / ".plan.new-wareboard" / "pieces.csv").write_bytes(b"half")
    write_folder(tmp_path / "plan", NEW)
    assert content(tmp_path / "plan") == NEW
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]


def test_a_run_killed_between_the_moves_loses_nothing(tmp_path: Path) -> None:
    """The old plan was moved away, the new one not yet in its place: the next run brings the old one back first."""
    write_folder(tmp_path / ".plan.old-wareboard", OLD)
    with pytest.raises(CannotWrite):
        write_folder(tmp_path / "plan", {"other.csv": b""})
    assert content(tmp_path / "plan") == OLD
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]


def test_a_run_killed_before_the_last_tidying(tmp_path: Path) -> None:
    write_folder(tmp_path / "plan", NEW)
    write_folder(tmp_path / ".plan.old-wareboard", OLD)
    write_folder(tmp_path / "plan", NEW)
    assert content(tmp_path / "plan") == NEW
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]
