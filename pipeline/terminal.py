"""What the commands share: sheets in from a folder or a pipe, a sheet out for a person or a pipe, problems told.

Nothing heavy is imported at the start, so that ``wareboard --help`` answers at once.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING, NoReturn

import typer

from pipeline.exits import Exit

if TYPE_CHECKING:
    import polars as pl

    from pipeline.job import Job
    from pipeline.plan import Outcome
    from pipeline.reading.read import Reading
    from schemas.settings import Units
    from schemas.sheet import Sheet


@dataclass(frozen=True)
class Given:
    """What a command works from: the job, what is doubtful in its sheets, and result sheets from elsewhere."""

    job: Job
    problems: pl.DataFrame
    results: dict[str, pl.DataFrame]


def read(
    folder: Path,
    today: datetime | None,
    needed: Sequence[str],
    sheets: list[str] | None = None,
    unread: Sequence[str] = (),
    spared: Sequence[str] = (),
) -> Given:
    """The job of a folder, with sheets taken from elsewhere where ``--with`` says so. Ends the run on problems; if they
    are gone when the ``spared`` sheets are left unread, does without those, and says so.
    """
    from pipeline.reading.read import read_sheet
    from schemas import SHEETS_IN

    elsewhere = dict(_elsewhere(entry) for entry in sheets or [])
    results = {}
    for name, (source, data) in elsewhere.items():
        if name not in SHEETS_IN:
            frame, problems = read_sheet(name, data, source)
            if frame is None:
                stop(problems)
            results[name] = frame
    instead = {name: data for name, (_, data) in elsewhere.items() if name in SHEETS_IN}
    reading = reading_of(folder, today, needed, instead, unread)
    if reading.job is None and spared:
        without = reading_of(folder, today, needed, instead, (*unread, *spared))
        if without.job is not None:
            say(f"{told(reading.problems)}\nSo this is worked out without {', '.join(spared)}.")
            reading = without
    if reading.job is None:
        stop(reading.problems)
    if "pieces" in results and not _same_lines(reading.job, results["pieces"]):
        raise typer.BadParameter("pieces has other lines or stages than the sheets ask for", param_hint="--with")
    return Given(reading.job, reading.problems, results)


def _same_lines(job: Job, pieces: pl.DataFrame) -> bool:
    """Whether a sheet ``pieces`` from elsewhere has just the lines and stages of the job."""
    from pipeline.lines import LINE
    from pipeline.routes import routes

    way = routes(job.forms, job.stages, job.form_minutes).select("form", "stage")
    asked = job.orders.select(LINE).join(way, on="form").select(*LINE, "stage")
    return set(asked.iter_rows()) == set(pieces.select(*LINE, "stage").iter_rows())


def reading_of(
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


def following(reading: Reading, schedule: Path | None) -> Reading:
    """The same with an earlier plan's ``schedule.csv`` to keep to. Ends the run on problems in it; raises OSError if it
    cannot be read.
    """
    if schedule is None or reading.job is None:
        return reading
    from pipeline.followed import followed
    from pipeline.reading.read import read_sheet

    frame, problems = read_sheet("schedule", schedule.read_bytes(), str(schedule))
    if frame is None:
        stop(problems)
    return reading._replace(job=followed(reading.job, frame))


def _elsewhere(entry: str) -> tuple[str, tuple[str, bytes]]:
    """The sheet that a ``--with`` names, where it comes from, and its bytes."""
    from schemas import SHEETS_IN, SHEETS_OUT

    name, equals, file = entry.partition("=")
    if not equals or not file:
        raise typer.BadParameter(f"`{entry}` is not SHEET=FILE, such as pieces=-", param_hint="--with")
    if name not in SHEETS_IN and (name not in SHEETS_OUT or name == "problems"):
        raise typer.BadParameter(f"there is no sheet `{name}`", param_hint="--with")
    if file == "-":
        return name, ("standard input", sys.stdin.buffer.read())
    return name, (file, Path(file).read_bytes())


def stop(problems: pl.DataFrame) -> NoReturn:
    """Tells the problems and ends the run with their code."""
    say(told(problems))
    raise typer.Exit(Exit.PROBLEMS)


def finish(sheet: str, given: Given, outcome: Outcome, people: Callable[[pl.DataFrame], str] | None = None) -> None:
    """Gives a result sheet, for a person what ``people`` makes of it, and what is doubtful about it, and ends with the
    right code."""
    from schemas import SHEETS_OUT

    if outcome.stopped:
        stop(outcome.problems)
    if not outcome.problems.is_empty():
        say(told(outcome.problems))
    settings = given.job.settings
    give(SHEETS_OUT[sheet], outcome.results[sheet], settings.minor_digits, settings.units, people)
    if outcome.late:
        raise typer.Exit(Exit.LATE)


def give(
    model: type[Sheet],
    frame: pl.DataFrame,
    minor_digits: int,
    units: Units,
    people: Callable[[pl.DataFrame], str] | None = None,
    always: bool = False,
) -> None:
    """A sheet on standard output: a table, or what ``people`` makes of it, for a person; CSV for a pipe or file, unless
    it is ``always`` for a person."""
    if always or sys.stdout.isatty():
        wipe()
        from pipeline.writing.screen import table

        typer.echo(table(model, frame, minor_digits, units) if people is None else people(frame))
    else:
        from pipeline.writing.csvs import csv_text

        typer.echo(csv_text(model, frame, minor_digits).encode("utf-8"), nl=False)


def told(problems: pl.DataFrame) -> str:
    """Problems in sentences."""
    from pipeline.writing import screen

    return screen.told(problems)


def stops(problems: pl.DataFrame) -> bool:
    """Whether one of the problems stands in the way of a plan."""
    return "stop" in problems["severity"]


def say(words: str) -> None:
    """Talk goes to standard error, so that standard output holds results alone."""
    wipe()
    typer.echo(words, err=True)


PATIENCE = 2
"""Seconds after which a person who is looking is told that work goes on, and again every so many."""

WIPE = "\r\x1b[K"
"""Back to the beginning of the line, and clear it: what terminals have understood since ECMA-48 (1976)."""


_telling = Event()
"""Set while a line tells of work going on."""


def wipe() -> None:
    """Takes away what was told of work going on, if anything was, before anything else is."""
    if _telling.is_set():
        typer.echo(WIPE, err=True, nl=False)
        _telling.clear()


@contextmanager
def at_work() -> Iterator[None]:
    """Tells a person who is looking at a terminal that work goes on, if it takes more than a moment.

    What is worked out knows nothing of it: the telling is done beside it.
    """
    if not sys.stderr.isatty():
        yield
        return
    done = Event()

    def tell() -> None:
        seconds = 0
        while not done.wait(PATIENCE):
            seconds += PATIENCE
            _telling.set()
            typer.echo(f"{WIPE}Working it out … {seconds} seconds so far", err=True, nl=False)

    telling = Thread(target=tell, daemon=True)
    telling.start()
    try:
        yield
    finally:
        done.set()
        telling.join()
        wipe()
