"""Whatever happens while results are written, the last good ones stay whole, and the next run finds its way."""

from __future__ import annotations

import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from pipeline.writing import alone as locks
from pipeline.writing.alone import alone, exchange
from pipeline.writing.folder import CannotWrite, check_folder, write_file, write_folder, write_new_file
from tests.writing.interrupted import NEW

OLD = {"pieces.csv": b"old pieces", "plan.xlsx": b"old book"}
PROGRAM = Path(__file__).resolve().parent / "interrupted.py"
ROOT = PROGRAM.parent.parent.parent

KILLED, REFUSED, DONE = -signal.SIGKILL, 3, 0
MOST_STEPS = 80
"""More steps than writing takes: a test that goes through them all ends when one run is not stopped."""


def content(folder: Path) -> dict[str, bytes]:
    return {entry.name: entry.read_bytes() for entry in folder.iterdir()}


def interrupted(out: Path, step: int, *how: str) -> subprocess.CompletedProcess[str]:
    run = [sys.executable, str(PROGRAM), str(out), str(step), *how]
    return subprocess.run(run, capture_output=True, text=True, check=False)


def swaps(place: Path) -> bool:
    """Whether the disk can swap two folders; the two are taken away again."""
    one, other = place / "one", place / "other"
    one.mkdir()
    other.mkdir()
    swapped = exchange(one, other)
    one.rmdir()
    other.rmdir()
    return swapped


def whole(out: Path) -> bool:
    return content(out) in (OLD, NEW)


@pytest.mark.parametrize("way", [(), ("plain",)])
def test_killed_at_any_step_one_whole_plan_is_there(tmp_path: Path, way: tuple[str, ...]) -> None:
    """Where two folders can be swapped in one step there is one at every moment; elsewhere the next run, even one that
    only looks whether it may write, puts the old one back."""
    out = tmp_path / "plan"
    seen = []
    if not way and not swaps(tmp_path):
        pytest.skip("this disk cannot swap two folders in one step")
    for step in range(1, MOST_STEPS):
        write_folder(out, OLD)
        ended = interrupted(out, step, "kill", *way)
        if ended.returncode == DONE:
            break
        assert ended.returncode == KILLED, ended.stderr
        if out.exists() or not way:
            assert whole(out), step
        check_folder(out, OLD)
        assert whole(out), step
        assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]
        seen.append(content(out) == NEW)
    else:
        pytest.fail("the program was never left alone")
    # Both must come up, or the test would prove nothing: killed early the old one stays, killed late the new one.
    assert (seen[0], seen[-1]) == (False, True)
    assert len(seen) > 10


@pytest.mark.parametrize("way", [(), ("plain",)])
def test_refused_at_any_step_the_old_plan_stays_or_the_new_one_stands(tmp_path: Path, way: tuple[str, ...]) -> None:
    """A refusal is told and changes nothing, unless it only hinders the tidying up after the new plan stands."""
    out = tmp_path / "plan"
    refusals = 0
    for step in range(1, MOST_STEPS):
        write_folder(out, OLD)
        ended = interrupted(out, step, "fail", *way)
        if ended.returncode == DONE and int(ended.stdout) < step:
            break
        assert ended.returncode in (REFUSED, DONE), ended.stderr
        if ended.returncode == REFUSED:
            refusals += 1
            assert "No space left on device" in ended.stdout
        assert content(out) == (OLD if ended.returncode == REFUSED else NEW), step
    else:
        pytest.fail("the program was never left alone")
    assert refusals > 5


def test_killed_at_moments_of_chance(tmp_path: Path) -> None:
    """A whole command, killed between its start and its end, which takes about a second."""
    shop = tmp_path / "shop"
    shop.mkdir()
    for sheet in (ROOT / "sample_data" / "first").iterdir():
        (shop / sheet.name).write_bytes(sheet.read_bytes())
    sheets = content(shop)
    run = [sys.executable, "-m", "pipeline", "plan", str(shop), "--today", "2027-03-01"]
    began = time.monotonic()
    assert subprocess.run(run, cwd=ROOT, capture_output=True, check=False).returncode == 0
    lasts = time.monotonic() - began
    good = content(shop / "plan")
    chance = random.Random(7)
    for _ in range(4):
        process = subprocess.Popen(run, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(lasts * chance.uniform(0.5, 1.0))
        process.kill()
        process.wait()
        assert content(shop / "plan") == good
    subprocess.run(run, cwd=ROOT, capture_output=True, check=True)
    assert {entry.name for entry in shop.iterdir()} == {*sheets, "plan"}
    assert {name: (shop / name).read_bytes() for name in sheets} == sheets


def test_a_disk_that_takes_no_more(tmp_path: Path) -> None:
    """The system itself refuses in the midst of a file: the largest it lets this process write is lowered."""
    out = tmp_path / "plan"
    write_folder(out, OLD)

    def small_files() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))

    run = [sys.executable, str(PROGRAM), str(out), "0", "fail"]
    ended = subprocess.run(run, capture_output=True, text=True, check=False, preexec_fn=small_files)
    assert ended.returncode == REFUSED, ended.stderr
    assert "could not be put into" in ended.stdout
    assert content(out) == OLD
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]


def test_two_runs_at_once_both_end_well(tmp_path: Path) -> None:
    """Four processes write into one folder: they take turns, and what stands there afterwards is whole."""
    out = tmp_path / "plan"
    run = [sys.executable, str(PROGRAM), str(out), "0", "fail"]
    processes = [subprocess.Popen(run, stdout=subprocess.PIPE) for _ in range(4)]
    assert [process.wait(30) for process in processes] == [DONE] * 4
    for process in processes:
        process.communicate()
    assert content(out) == NEW
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]


def test_a_run_that_does_not_end_is_told_of(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "plan"
    write_folder(out, OLD)
    monkeypatch.setattr(locks, "PATIENCE", 0.1)
    with alone(out):
        for write in (lambda: write_folder(out, NEW), lambda: check_folder(out, NEW)):
            with pytest.raises(CannotWrite, match="another run is writing there"):
                write()
    assert content(out) == OLD
    write_folder(out, NEW)
    assert content(out) == NEW


def test_a_lock_that_a_killed_run_left_locks_nothing(tmp_path: Path) -> None:
    (tmp_path / ".plan.lock-wareboard").write_bytes(b"")
    write_folder(tmp_path / "plan", NEW)
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan"]


def test_a_disk_without_locks_is_written_all_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_locks(_: int) -> None:
        raise OSError(37, "No locks available")

    monkeypatch.setattr(locks, "_lock", no_locks)
    write_folder(tmp_path / "plan", NEW)
    assert content(tmp_path / "plan") == NEW


WITHOUT_RIGHTS = """
import os, sys
sys.path.insert(0, sys.argv[1])
from pathlib import Path
from pipeline.writing.folder import CannotWrite, write_folder
if os.geteuid() == 0:
    os.setuid(65534)
try:
    write_folder(Path(sys.argv[2]) / "plan", {"pieces.csv": b"new"})
except CannotWrite as refusal:
    print(refusal)
"""
"""Who runs the tests may be allowed everything, so the child gives that up: 65534 is nobody."""


def test_a_folder_that_may_not_be_written_into() -> None:
    with tempfile.TemporaryDirectory() as place:
        Path(place).chmod(0o555)
        run = [sys.executable, "-c", WITHOUT_RIGHTS, str(ROOT), place]
        ended = subprocess.run(run, capture_output=True, text=True, check=False)
        assert "could not be put into" in ended.stdout, ended.stderr
        assert "Permission denied" in ended.stdout
        assert not list(Path(place).iterdir())
        Path(place).chmod(0o755)


def test_two_folders_are_swapped_as_they_are(tmp_path: Path) -> None:
    if not swaps(tmp_path):
        pytest.skip("this disk cannot swap two folders in one step")
    write_folder(tmp_path / "one", OLD)
    write_folder(tmp_path / "other", NEW)
    assert exchange(tmp_path / "one", tmp_path / "other")
    assert (content(tmp_path / "one"), content(tmp_path / "other")) == (NEW, OLD)
    assert not exchange(tmp_path / "one", tmp_path / "nowhere")
    assert content(tmp_path / "one") == NEW


def test_a_file_is_put_in_place_at_once_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "plan.problems.csv"
    write_file(path, b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CannotWrite, match="No space left on device"):
        write_file(path, b"new")
    assert content(tmp_path) == {"plan.problems.csv": b"old"}


def test_a_new_file_goes_over_nothing(tmp_path: Path) -> None:
    write_new_file(tmp_path / "shop.xlsx", b"mine")
    with pytest.raises(CannotWrite, match="is there already"):
        write_new_file(tmp_path / "shop.xlsx", b"blank")
    with pytest.raises(CannotWrite, match="There is no folder"):
        write_new_file(tmp_path / "nowhere" / "shop.xlsx", b"blank")
    assert content(tmp_path) == {"shop.xlsx": b"mine"}
