"""The command ``wareboard``: reads the folder, calls the steps, writes what comes out, and turns failures into codes.

Only typer is imported at the start, so that ``wareboard --help`` answers at once.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from pipeline.exits import Exit
from pipeline.writing.folder import CannotWrite

if TYPE_CHECKING:
    import polars as pl

    from pipeline.job import Job
    from pipeline.plan import Outcome
    from pipeline.reading.read import Reading
    from schemas.sheet import Sheet

app = typer.Typer(
    name="wareboard",
    help="From a potter's order sheet to clay to buy, hours, costs, dates and a workbook.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

Folder = Annotated[Path, typer.Argument(help="The folder with the job's sheets.", metavar="FOLDER")]
Today = Annotated[
    datetime | None,
    typer.Option("--today", formats=["%Y-%m-%d"], help="The first day, if settings give no start.  [default: today]"),
]
With = Annotated[
    list[str] | None,
    typer.Option("--with", metavar="SHEET=FILE", help="Take a sheet from this file instead; - is standard input."),
]

FOR_BUYING = ("orders", "forms", "clay_stock")
NOT_FOR_BUYING = ("labour_hours", "kilns", "kiln_fit", "bats_and_boards", "closed_days", "glazes", "materials")
"""Sheets that clay to buy needs, and those that cannot change it: what is wrong in them does not stop it."""

STEP_COMMANDS = {
    "pieces": ("pieces", "How many pieces go through each stage, so that enough come out."),
    "wedge": ("clay_to_wedge", "The balls to weigh and wedge, by date and form."),
    "hours": ("stage_hours", "Hours of work and their cost, by line and stage."),
    "materials": ("materials_cost", "Clay, glaze and packaging of each line, and what they cost."),
    "schedule": ("schedule", "Which batch gets which stage on which day, by whom."),
    "loads": ("kiln_loads", "What goes into each kiln load."),
    "promises": ("promises", "When each line is ready, how late it is, and what holds it up."),
    "space": ("space", "Bats and boards in use and pieces waiting, night by night."),
    "costs": ("job_costs", "What each line costs, for the books and for pricing, and what it earns."),
    "assumptions": ("assumptions", "What the plan rests on without a sheet saying so."),
}
"""The commands that give one result sheet: the sheet, and what it is."""


@app.command()
def start(folder: Annotated[Path, typer.Argument(help="A new folder.", metavar="FOLDER")]) -> None:
    """Blank sheets to fill in, and a guide to them."""
    from pipeline.blank import blank_files
    from pipeline.writing.folder import write_new_folder

    files = blank_files()
    write_new_folder(folder, files)
    _say(f"{len(files)} files in {folder}. Begin with orders, forms, clay_stock and labour_hours.")


@app.command()
def check(folder: Folder, today: Today = None) -> None:
    """Every problem of every sheet."""
    from schemas import REQUIRED, SHEETS_OUT

    reading = _reading(folder, today, REQUIRED)
    problems = reading.problems
    if reading.job is not None:
        from pipeline.plan import work_out

        problems = work_out(("schedule",), reading.job, problems).problems
    if not problems.is_empty():
        _give(SHEETS_OUT["problems"], problems, 2, people=_told)
    _say("Nothing stands in the way of a plan." if not _stops(problems) else "Nothing can be planned yet.")
    raise typer.Exit(Exit.PROBLEMS if _stops(problems) else Exit.DONE)


@app.command()
def buy(folder: Folder, sheets: With = None, today: Today = None) -> None:
    """The clay-buying list, from orders, forms and clay_stock alone."""
    from pipeline.plan import buying_list

    given = _read(folder, today, FOR_BUYING, sheets, unread=NOT_FOR_BUYING)
    _finish("clay_to_buy", given, buying_list(given.job, given.problems, given.results))


@app.command()
def plan(
    folder: Folder,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Where the plan goes.  [default: plan, in the folder]")
    ] = None,
    today: Today = None,
) -> None:
    """Everything: each result sheet as a CSV, and the workbook plan.xlsx."""
    from pipeline.plan import whole_plan
    from pipeline.writing.files import PLAN_NAMES, plan_files, problem_file
    from pipeline.writing.folder import check_folder, remove_file, write_file, write_folder
    from schemas import REQUIRED

    target = folder / "plan" if out is None else out
    told_in = target.with_name(f"{target.name}.problems.csv")
    check_folder(target, PLAN_NAMES)
    reading = _reading(folder, today, REQUIRED)
    outcome = None if reading.job is None else whole_plan(reading.job, reading.problems)
    problems = reading.problems if outcome is None else outcome.problems
    if reading.job is None or outcome is None or outcome.stopped:
        write_file(told_in, problem_file(problems))
        _say(_told(problems))
        _say(f"Nothing was planned. The problems are in {told_in}; what stood in {target} is as it was.")
        raise typer.Exit(Exit.PROBLEMS)
    write_folder(target, plan_files(reading.job, outcome.results))
    remove_file(told_in)
    if not problems.is_empty():
        _say(_told(problems))
    _say(f"The plan is in {target}; the workbook is {target / 'plan.xlsx'}.")
    if outcome.late:
        _say("Something is late: promises say what, by how much, and what holds it up.")
        raise typer.Exit(Exit.LATE)


def _add_step(command: str, sheet: str, help_text: str) -> None:
    """A command that gives one result sheet."""

    @app.command(command, help=help_text)
    def step(folder: Folder, sheets: With = None, today: Today = None) -> None:
        from pipeline.plan import work_out
        from schemas import REQUIRED

        given = _read(folder, today, FOR_BUYING if sheet == "pieces" else REQUIRED, sheets)
        _finish(sheet, given, work_out((sheet,), given.job, given.problems, given.results))


for _command, (_sheet, _help) in STEP_COMMANDS.items():
    _add_step(_command, _sheet, _help)


@dataclass(frozen=True)
class _Given:
    """What a command works from: the job, what is doubtful in its sheets, and result sheets from elsewhere."""

    job: Job
    problems: pl.DataFrame
    results: dict[str, pl.DataFrame]


def _read(
    folder: Path,
    today: datetime | None,
    needed: Sequence[str],
    sheets: list[str] | None = None,
    unread: Sequence[str] = (),
) -> _Given:
    """The job of a folder, with sheets taken from elsewhere where ``--with`` says so. Ends the run on problems."""
    from pipeline.reading.read import read_sheet
    from schemas import SHEETS_IN

    elsewhere = dict(_elsewhere(entry) for entry in sheets or [])
    results = {}
    for name, (source, data) in elsewhere.items():
        if name not in SHEETS_IN:
            frame, problems = read_sheet(name, data, source)
            if frame is None:
                _stop(problems)
            results[name] = frame
    instead = {name: data for name, (_, data) in elsewhere.items() if name in SHEETS_IN}
    reading = _reading(folder, today, needed, instead, unread)
    if reading.job is None:
        _stop(reading.problems)
    return _Given(reading.job, reading.problems, results)


def _reading(
    folder: Path,
    today: datetime | None,
    needed: Sequence[str],
    instead: dict[str, bytes] | None = None,
    unread: Sequence[str] = (),
) -> Reading:
    """The sheets of a folder, read and checked. Raises OSError if the folder cannot be read."""
    from pipeline.reading.read import read_job

    first = date.today() if today is None else today.date()
    return read_job(folder, today=first, needed=needed, instead=instead, unread=unread)


def _elsewhere(entry: str) -> tuple[str, tuple[str, bytes]]:
    """The sheet that a ``--with`` names, where it comes from, and its bytes."""
    from schemas import SHEETS_IN, SHEETS_OUT

    name, equals, file = entry.partition("=")
    if not equals or not file:
        raise typer.BadParameter(f"`{entry}` is not SHEET=FILE, such as pieces=-", param_hint="--with")
    if name not in SHEETS_IN and name not in SHEETS_OUT:
        raise typer.BadParameter(f"there is no sheet `{name}`", param_hint="--with")
    if file == "-":
        return name, ("standard input", sys.stdin.buffer.read())
    return name, (file, Path(file).read_bytes())


def _stop(problems: pl.DataFrame) -> NoReturn:
    _say(_told(problems))
    raise typer.Exit(Exit.PROBLEMS)


def _finish(sheet: str, given: _Given, outcome: Outcome) -> None:
    """Gives a result sheet and what is doubtful about it, and ends with the right code."""
    from schemas import SHEETS_OUT

    if outcome.stopped:
        _stop(outcome.problems)
    if not outcome.problems.is_empty():
        _say(_told(outcome.problems))
    _give(SHEETS_OUT[sheet], outcome.results[sheet], given.job.settings.minor_digits)
    if outcome.late:
        raise typer.Exit(Exit.LATE)


def _give(
    model: type[Sheet], frame: pl.DataFrame, minor_digits: int, people: Callable[[pl.DataFrame], str] | None = None
) -> None:
    """A sheet on standard output: a table, or what ``people`` makes of it, for a person; CSV for a pipe or file."""
    if sys.stdout.isatty():
        from pipeline.writing.screen import table

        typer.echo(table(model, frame, minor_digits) if people is None else people(frame))
    else:
        from pipeline.writing.csvs import csv_text

        typer.echo(csv_text(model, frame, minor_digits).encode("utf-8"), nl=False)


def _told(problems: pl.DataFrame) -> str:
    from pipeline.writing.screen import told

    return told(problems)


def _stops(problems: pl.DataFrame) -> bool:
    return "stop" in problems["severity"]


def _say(words: str) -> None:
    """Talk goes to standard error, so that standard output holds results alone."""
    typer.echo(words, err=True)


def main() -> None:
    """The entry point: files that cannot be read or written end in a sentence and a code of their own."""
    try:
        app()
    except CannotWrite as error:
        _say(str(error))
        sys.exit(Exit.FILE)
    except OSError as error:
        _say(f"{error.filename or 'A file'} cannot be read: {error.strerror or error}.")
        sys.exit(Exit.FILE)
