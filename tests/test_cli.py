"""The command as people run it: codes, what goes where, and nothing half-done."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from pipeline.cli import STEP_COMMANDS, app, main
from pipeline.exits import Exit
from schemas import SHEETS_IN, SHEETS_OUT

ROOT = Path(__file__).resolve().parent.parent
STUDIO = ROOT / "sample_data" / "studio"
FIRST = ROOT / "sample_data" / "first"

TODAY = ("--today", "2027-03-01")
"""The small sample's settings give no start."""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A copy of the larger sample, to be spoilt."""
    return Path(shutil.copytree(STUDIO, tmp_path / "shop"))


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The files of the larger sample's plan."""
    out = tmp_path_factory.mktemp("sample") / "plan"
    assert wareboard("plan", STUDIO, "--out", out).exit_code == Exit.DONE
    return files(out)


def wareboard(*words: str | Path, stdin: bytes | None = None) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words], input=stdin)


def process(*words: str | Path, stdin: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """The command as a process of its own, as a shell starts it."""
    run = [sys.executable, "-m", "pipeline", *(str(word) for word in words)]
    return subprocess.run(run, cwd=ROOT, capture_output=True, check=False, input=stdin)


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def make_late(shop: Path) -> None:
    """The first due date cannot be kept: it is the day after the plan begins."""
    orders = shop / "orders.csv"
    text = orders.read_text(encoding="utf-8")
    first_due = next(row["Due"] for row in rows(text) if row["Due"])
    orders.write_text(text.replace(first_due, "2027-03-02"), encoding="utf-8")


# Exit codes, one test each


def test_0_done(shop: Path) -> None:
    ended = wareboard("plan", shop)
    assert (ended.exit_code, ended.stdout) == (Exit.DONE, "")
    assert {path.name for path in (shop / "plan").iterdir()} == {
        *(f"{name}.csv" for name in SHEETS_OUT), "plan.xlsx", "plan.ics"
    }  # fmt: skip


def test_1_our_bug_is_not_hidden(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error that nobody foresaw ends with Python's own code and report: it is for us, and must reach us whole."""

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("pipeline.plan.whole_plan", broken)
    ended = wareboard("plan", shop)
    assert ended.exit_code == Exit.OUR_BUG
    assert isinstance(ended.exception, ZeroDivisionError)


@pytest.mark.parametrize(
    "words",
    [
        ["plant"],
        ["plan"],
        ["plan", "x", "--out"],
        ["pieces", str(STUDIO), "--with", "pieces"],
        ["pieces", str(STUDIO), "--with", "pots=-"],
        ["pieces", str(STUDIO), "--with", "problems=-"],
    ],
)
def test_2_wrong_use(words: list[str]) -> None:
    assert wareboard(*words).exit_code == Exit.WRONG_USE


def test_3_problems(shop: Path) -> None:
    (shop / "forms.csv").unlink()
    ended = wareboard("check", shop)
    assert ended.exit_code == Exit.PROBLEMS
    assert next(row["kind"] for row in rows(ended.stdout) if row["severity"] == "stop") == "missing sheet"


def test_4_late(shop: Path) -> None:
    make_late(shop)
    ended = wareboard("plan", shop)
    assert ended.exit_code == Exit.LATE
    late = [
        row for row in rows((shop / "plan" / "promises.csv").read_text(encoding="utf-8-sig")) if row["days_late"] > "0"
    ]
    assert late
    assert all(row["held_up_by"] for row in late)


def test_5_a_file_cannot_be_read(tmp_path: Path) -> None:
    ended = process("plan", tmp_path / "nowhere")
    assert ended.returncode == Exit.FILE
    assert b"nowhere" in ended.stderr
    assert b"Traceback" not in ended.stderr


def test_5_a_file_cannot_be_written(shop: Path) -> None:
    (shop / "plan").write_text("mine")
    ended = process("plan", shop)
    assert ended.returncode == Exit.FILE
    assert b"Traceback" not in ended.stderr
    assert (shop / "plan").read_text() == "mine"


# Nothing half-written, nothing lost


def test_a_plan_leaves_the_sheets_alone(shop: Path) -> None:
    before = files(shop)
    wareboard("plan", shop)
    shutil.rmtree(shop / "plan")
    assert files(shop) == before


def test_a_failed_plan_leaves_the_last_good_one(shop: Path) -> None:
    wareboard("plan", shop)
    good = files(shop / "plan")
    (shop / "clay_stock.csv").write_text("clay,bag_kg,bags,bag_price\nbuff stoneware,heavy,3,13.80\n")
    assert wareboard("plan", shop).exit_code == Exit.PROBLEMS
    assert files(shop / "plan") == good
    told = rows((shop / "plan.problems.csv").read_text(encoding="utf-8-sig"))
    assert [(row["sheet"], row["row"], row["column"], row["value"]) for row in told if row["value"] == "heavy"] == [
        ("clay_stock", "2", "bag_kg", "heavy")
    ]


def test_a_good_plan_takes_the_old_problems_away(shop: Path) -> None:
    (shop / "plan.problems.csv").write_text("old")
    wareboard("plan", shop)
    assert not (shop / "plan.problems.csv").exists()


def test_the_same_sheets_give_the_same_bytes(shop: Path, planned: dict[str, bytes]) -> None:
    wareboard("plan", shop)
    assert files(shop / "plan") == planned


def test_start_never_writes_over_anything(tmp_path: Path) -> None:
    assert wareboard("start", tmp_path / "new").exit_code == Exit.DONE
    assert {f"{name}.csv" for name in SHEETS_IN} <= set(files(tmp_path / "new"))
    ended = process("start", tmp_path / "new")
    assert ended.returncode == Exit.FILE
    assert b"not empty" in ended.stderr


def test_blank_sheets_as_they_come_are_told_of_not_planned(tmp_path: Path) -> None:
    wareboard("start", tmp_path / "new")
    ended = wareboard("plan", tmp_path / "new")
    assert ended.exit_code == Exit.PROBLEMS
    assert isinstance(ended.exception, SystemExit)


# Every command


@pytest.mark.parametrize("command", STEP_COMMANDS)
def test_a_step_gives_its_sheet_as_the_plan_does(command: str, shop: Path, planned: dict[str, bytes]) -> None:
    """Alone or in a plan, a step gives the same CSV; a file for spreadsheets has the mark of UTF-8 besides."""
    ended = wareboard(command, shop)
    assert ended.exit_code == Exit.DONE
    assert b"\xef\xbb\xbf" + ended.stdout_bytes == planned[f"{STEP_COMMANDS[command][0]}.csv"]


def test_buy_gives_what_the_plan_gives_but_for_the_day_to_order(shop: Path, planned: dict[str, bytes]) -> None:
    """The plan says when its own dates need the clay; without a plan only the due dates can say."""
    in_plan = rows(planned["clay_to_buy.csv"].decode("utf-8-sig"))
    alone = rows(wareboard("buy", shop).stdout)
    assert all(early["order_by"] <= late["order_by"] for early, late in zip(in_plan, alone, strict=True))
    assert [row | {"order_by": ""} for row in alone] == [row | {"order_by": ""} for row in in_plan]


def test_buy_needs_three_sheets_alone(tmp_path: Path) -> None:
    for name in ("orders", "forms", "clay_stock"):
        shutil.copy(FIRST / f"{name}.csv", tmp_path)
    ended = wareboard("buy", tmp_path, *TODAY)
    assert ended.exit_code == Exit.DONE
    assert rows(ended.stdout)


def test_buy_does_not_mind_sheets_that_it_does_not_use(shop: Path) -> None:
    whole = wareboard("buy", shop).stdout
    (shop / "labour_hours.csv").write_text("worker,day,hours\nAda,someday,five\n")
    (shop / "kilns.csv").write_text("nonsense\n")
    assert wareboard("buy", shop).stdout == whole


def test_the_small_sample_plans_with_nothing_but_four_sheets() -> None:
    assert {path.name for path in FIRST.iterdir() if path.suffix == ".csv"} == {
        "orders.csv", "forms.csv", "clay_stock.csv", "labour_hours.csv"
    }  # fmt: skip
    ended = wareboard("promises", FIRST, *TODAY)
    assert ended.exit_code == Exit.DONE
    assert all(row["ready"] > "2027-03-01" for row in rows(ended.stdout))


def test_steps_compose_in_a_shell(shop: Path) -> None:
    """The pieces of the pipe are those that the hours are worked out for."""
    pieces = process("pieces", shop)
    alone = wareboard("hours", shop)
    piped = process("hours", shop, "--with", "pieces=-", stdin=pieces.stdout)
    assert piped.stdout == alone.stdout_bytes
    fewer = wareboard("hours", shop, "--with", f"orders={FIRST / 'orders.csv'}")
    assert fewer.stdout_bytes != alone.stdout_bytes


def test_a_changed_sheet_in_the_pipe_changes_what_follows(shop: Path) -> None:
    """A line's pieces doubled by hand between two commands: twice as many begun, about twice the throwing."""
    text = wareboard("pieces", shop).stdout
    table = rows(text)
    line = {"order": "O-7", "form": "tumbler"}  # nothing of it stands in the studio
    for row in table:
        if line.items() <= row.items():
            row["pieces_in"] = str(int(row["pieces_in"]) * 2)
    changed = io.StringIO(newline="")
    writer = csv.DictWriter(changed, list(table[0]))
    writer.writeheader()
    writer.writerows(table)
    before = rows(wareboard("hours", shop).stdout)
    after = rows(wareboard("hours", shop, "--with", "pieces=-", stdin=changed.getvalue().encode()).stdout)
    thrown = line | {"stage": "throw"}
    once, twice = (next(row for row in sheet if thrown.items() <= row.items()) for sheet in (before, after))
    assert int(twice["pieces"]) == 2 * int(once["pieces"])
    assert float(twice["hours"]) > 1.5 * float(once["hours"])


def test_a_sheet_from_elsewhere_that_is_wrong_is_told_of(shop: Path) -> None:
    ended = wareboard("hours", shop, "--with", "pieces=-", stdin=b"order,form\nA,cup\n")
    assert ended.exit_code == Exit.PROBLEMS
    assert "standard input" in ended.stderr


def test_talk_goes_to_standard_error(shop: Path) -> None:
    """A pipe gets the sheet and nothing else: what is doubtful is told beside it."""
    ended = wareboard("buy", shop)
    assert next(csv.reader(io.StringIO(ended.stdout)))[0] == "clay"


def test_main_is_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["wareboard", "--help"])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == Exit.DONE


# An earlier plan kept to


def test_an_earlier_plan_is_kept_to(shop: Path, tmp_path: Path) -> None:
    """Nothing changed: the schedule and the kiln loads are the same to the byte."""
    assert wareboard("plan", shop).exit_code == Exit.DONE
    again = wareboard("plan", shop, "--out", tmp_path / "again", "--follow", shop / "plan" / "schedule.csv")
    assert again.exit_code == Exit.DONE
    first, second = files(shop / "plan"), files(tmp_path / "again")
    assert first.keys() == second.keys()
    assert first["schedule.csv"] == second["schedule.csv"]
    assert first["kiln_loads.csv"] == second["kiln_loads.csv"]


def test_an_earlier_plan_that_is_none(shop: Path) -> None:
    """A sheet of another kind, or none at all, stops the run before anything is written."""
    other = wareboard("plan", shop, "--follow", shop / "orders.csv")
    assert other.exit_code == Exit.PROBLEMS
    assert wareboard("plan", shop, "--follow", shop / "nothing.csv").exit_code != Exit.DONE
    assert not (shop / "plan").exists()
