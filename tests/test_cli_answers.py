"""The commands that answer a question: the day's page, an order tried, the pace; and the plan's calendar file."""

from __future__ import annotations

import csv
import io
import shutil
from datetime import date
from pathlib import Path

import pytest
from icalendar import Calendar
from typer.testing import CliRunner, Result

from pipeline.cli import app
from pipeline.exits import Exit
from schemas.answers import ANSWERS
from schemas.sheet import columns

STUDIO = Path(__file__).resolve().parent.parent / "sample_data" / "studio"


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's plan."""
    out = tmp_path_factory.mktemp("sample") / "plan"
    assert wareboard("plan", STUDIO, "--out", out).exit_code == Exit.DONE
    return out


def wareboard(*words: str | Path) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words])


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


# The day


def test_a_day_is_that_date_of_the_schedule(plan: Path) -> None:
    """Without a date the first with work; each row of the plan's schedule on that date, and no other."""
    schedule = rows((plan / "schedule.csv").read_text(encoding="utf-8-sig"))
    for words, day in ((), schedule[0]["date"]), (("--date", "2027-03-11"), "2027-03-11"):
        ended = wareboard("day", STUDIO, *words)
        assert ended.exit_code == Exit.DONE
        shown = rows(ended.stdout)
        assert list(shown[0]) == [column.name for column in columns(ANSWERS["day"])]
        there = [row for row in schedule if row["date"] == day]
        assert there
        assert sorted(list(row.values()) for row in there) == sorted([row[name] for name in there[0]] for row in shown)


def test_a_week_is_seven_days(plan: Path) -> None:
    schedule = rows((plan / "schedule.csv").read_text(encoding="utf-8-sig"))
    shown = rows(wareboard("day", STUDIO, "--date", "2027-03-08", "--days", "7").stdout)
    assert len(shown) == sum("2027-03-08" <= row["date"] <= "2027-03-14" for row in schedule)
    assert len({row["date"] for row in shown}) > 1


def test_the_page_goes_into_a_file_if_asked() -> None:
    """The CSV is for other programs, so a printer has to be asked for."""
    ended = wareboard("day", STUDIO, "--date", "2027-03-01", "--days", "2", "--page")
    first, second = ended.stdout.split("\f")
    assert first.startswith("Monday 1 March 2027\n")
    assert second.strip().startswith("Tuesday 2 March 2027\n")
    assert "To wedge:" in first


def test_a_day_of_a_plan_that_is_made_already(plan: Path) -> None:
    """The schedule may come from a plan's folder: nothing is planned again then."""
    given = wareboard("day", STUDIO, "--with", f"schedule={plan / 'schedule.csv'}", "--date", "2027-03-11")
    assert given.stdout == wareboard("day", STUDIO, "--date", "2027-03-11").stdout


def test_a_day_without_work_has_headings_alone() -> None:
    ended = wareboard("day", STUDIO, "--date", "2027-03-07")  # a Sunday
    assert (ended.exit_code, rows(ended.stdout)) == (Exit.DONE, [])
    assert ended.stdout.startswith("date,weekday,place,")


@pytest.mark.parametrize("words", [("--date", "tomorrow"), ("--date", "2027-02-30"), ("--days", "0")])
def test_no_such_day(words: tuple[str, str]) -> None:
    assert wareboard("day", STUDIO, *words).exit_code == Exit.WRONG_USE


# An order tried


def test_an_order_tried_is_told_and_nothing_is_written(tmp_path: Path) -> None:
    shop = Path(shutil.copytree(STUDIO, tmp_path / "shop"))
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    ended = wareboard("try", shop, "5", "TUMBLER", "--glaze", "Oat")
    assert ended.exit_code == Exit.DONE
    (row,) = rows(ended.stdout)
    assert (row["order"], row["form"], row["glaze"], row["quantity"]) == ("tried", "tumbler", "oat", "5")
    assert date.fromisoformat(row["ready"]) > date(2027, 3, 1)
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_an_order_that_is_late_ends_with_its_code() -> None:
    """300 jugs in a day cannot be: late, and it is said by what."""
    ended = wareboard("try", STUDIO, "300", "jug", "--due", "2027-03-02")
    assert ended.exit_code == Exit.LATE
    tried = [row for row in rows(ended.stdout) if row["order"] == "tried"]
    assert [row["way"] for row in tried] == ["after the others", "by its due date"]
    assert int(tried[1]["days_late"]) > 0
    assert tried[1]["held_up_by"]


def test_a_form_that_is_not_made_is_wrong_use() -> None:
    ended = wareboard("try", STUDIO, "5", "tumbeler")
    assert ended.exit_code == Exit.WRONG_USE
    assert "did you mean `tumbler`?" in ended.stderr


@pytest.mark.parametrize("quantity", ["0", "some", "2.5", "²"])
def test_a_quantity_that_is_none_is_told_in_words(quantity: str) -> None:
    ended = wareboard("try", STUDIO, quantity, "jug")
    assert ended.exit_code == Exit.WRONG_USE
    assert f"`{quantity}` is not a whole number of 1 or more, such as 12" in " ".join(ended.stderr.split())


@pytest.mark.parametrize("words", [("0", "jug"), ("some", "jug"), ("5",), ("5", "jug", "--due", "soon")])
def test_an_order_that_is_none(words: tuple[str, ...]) -> None:
    assert wareboard("try", STUDIO, *words).exit_code == Exit.WRONG_USE


def test_sheets_with_problems_stop_both(tmp_path: Path) -> None:
    shop = Path(shutil.copytree(STUDIO, tmp_path / "shop"))
    (shop / "labour_hours.csv").write_text("worker,day,hours\nAda,someday,five\n")
    for words in (("day", shop), ("try", shop, "5", "jug"), ("pace", shop)):
        ended = wareboard(*words)
        assert (ended.exit_code, ended.stdout) == (Exit.PROBLEMS, "")
        assert "labour_hours row 2" in ended.stderr


# The calendar file


def test_the_plan_has_a_calendar_that_another_program_reads(plan: Path) -> None:
    """As many days, firings and due dates as the plan's CSVs have."""
    read = {path.stem: rows(path.read_text(encoding="utf-8-sig")) for path in plan.glob("*.csv")}
    events = list(Calendar.from_ical((plan / "plan.ics").read_bytes()).walk("VEVENT"))
    days = {row["date"] for row in read["schedule"]}
    loads = {row["load"] for row in read["kiln_loads"]}
    dues = {row["due"] for row in read["promises"]} - {""}
    assert len(events) == len(days) + len(loads) + len(dues)
    assert len({entry["UID"] for entry in events}) == len(events)
