"""The command ``wareboard``: each subcommand reads the folder, calls the steps and gives or writes what comes out.

Only typer is imported at the start, so that ``wareboard --help`` answers at once.
"""

from __future__ import annotations

import gc
import sys
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from pipeline.exits import Exit
from pipeline.terminal import at_work, finish, following, give, read, reading_of, say, stop, stops, told
from pipeline.writing.folder import CannotWrite

app = typer.Typer(
    name="wareboard",
    help="From a potter's order sheet to clay to buy, hours, costs, dates and a workbook.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

Folder = Annotated[Path, typer.Argument(help="The folder with the job's sheets, or a workbook.", metavar="FOLDER")]


def _day(written: str) -> datetime:
    """A date of the command line."""
    try:
        return datetime.strptime(written, "%Y-%m-%d")
    except ValueError as error:
        raise typer.BadParameter(f"`{written}` is not a date as 2027-03-05") from error


def _count(written: str) -> int:
    """A number of pieces or days of the command line."""
    if not str(written).isdecimal() or not int(written):
        raise typer.BadParameter(f"`{written}` is not a whole number of 1 or more, such as 12")
    return int(written)


Today = Annotated[
    datetime | None,
    typer.Option("--today", parser=_day, metavar="DATE", help="First day, if settings give none.  [default: today]"),
]
With = Annotated[
    list[str] | None,
    typer.Option("--with", metavar="SHEET=FILE", help="Take a sheet from this file instead; - is standard input."),
]

FOR_BUYING = ("orders", "forms", "clay_stock")
NOT_FOR_BUYING = (
    "labour_hours", "kilns", "kiln_fit", "bats_and_boards", "closed_days", "work_log", "accounts", "opening_balances",
)  # fmt: skip
SUPPLIES = ("glazes", "materials", "glaze_buckets", "form_materials")
"""Sheets that clay to buy needs, those that cannot change it, and those of what is bought beside clay: what is wrong in
the latter two does not stop it."""

STEP_COMMANDS = {
    "pieces": ("pieces", "How many pieces go through each stage, so that enough come out."),
    "packs": ("packs_to_buy", "The packs of clay to buy, by supplier and price, and what price breaks save."),
    "wedge": ("clay_to_wedge", "The balls to weigh and wedge, by date and form."),
    "hours": ("stage_hours", "Hours of work and their cost, by line and stage."),
    "glaze": ("glaze_batches", "How much of each glaze to mix, and what to weigh out for a batch."),
    "supplies": ("materials_to_buy", "Glaze materials, wax and packaging to buy."),
    "materials": ("materials_cost", "Clay, glaze and packaging of each line, and what they cost."),
    "schedule": ("schedule", "Which batch gets which stage on which day, by whom."),
    "loads": ("kiln_loads", "What goes into each kiln load."),
    "promises": ("promises", "When each line is ready, how late it is, what holds it up and what would mend that."),
    "pace": ("pace", "The pieces and hours a day that each due date needs, stage by stage."),
    "space": ("space", "Bats and boards in use and pieces waiting, night by night."),
    "labour": ("labour", "Who works how long for which line and stage, at which rate, paid and own time apart."),
    "firings": ("firing_costs", "What each line's part of each kiln load costs: energy, wear, attendance."),
    "overhead": ("overhead", "The overhead of the plan's days, and how much of it the pieces bear."),
    "costs": ("job_costs", "What each line costs, for the books and for pricing, and what it earns."),
    "earnings": ("earnings", "What an hour of the owner's own time earns, and the price that a wanted rate needs."),
    "each": ("piece_costs", "What a piece has cost by the time it leaves each stage."),
    "losses": ("losses", "What the work log shows lost, and how much of it is more than normal."),
    "purchases": ("purchases", "What to buy of whom and by when, net, tax and gross."),
    "ledger": ("materials_ledger", "Clay and materials by lot: opening, bought, used and left, in weight and money."),
    "sales": ("sales", "What each line comes to, net, tax and gross, the deposit held and what is still owed."),
    "put-in": ("costs_put_in", "What is put into each line while the books last: materials, work, firing, overhead."),
    "part-made": (
        "part_made",
        "Part-made goods when the books open and close, in equivalent units, and abnormal loss.",
    ),
    "finished": ("finished_goods", "Finished goods by line: opening, made, sold and left, in pieces and money."),
    "differences": ("stock_differences", "Where the sheets differ from what the last books closed with."),
    "statement": ("cost_of_goods", "The cost of goods made and sold, line by line."),
    "journal": ("journal", "The books as balanced double entries, with the bookkeeper's own account codes."),
    "count": ("stock_count", "The sheet for counting stock by hand."),
    "closing": ("closing_balances", "What the books close with: the next period's opening_balances."),
    "assumptions": ("assumptions", "What the plan rests on without a sheet saying so."),
}
"""The commands that give one result sheet: the sheet, and what it is."""


@app.command()
def start(
    folder: Annotated[Path, typer.Argument(help="A new folder, or a new workbook: its name ends in .xlsx.")],
) -> None:
    """Blank sheets to fill in, and a guide to them, as a folder of CSVs or as one workbook."""
    from pipeline.writing.folder import write_new_file, write_new_folder

    ending = folder.suffix.lower()
    if ending in (".ods", ".xlsm", ".xls"):
        raise typer.BadParameter(f"a blank workbook is an .xlsx file, such as {folder.with_suffix('.xlsx')}")
    if ending == ".xlsx":
        from pipeline.blank_workbook import blank_book
        from pipeline.writing.blank_xlsx import draw_blank

        write_new_file(folder, draw_blank(blank_book()))
        say(f"The blank workbook is {folder}. Begin with the tab READ ME.")
        return
    from pipeline.blank import blank_files

    files = blank_files()
    write_new_folder(folder, files)
    say(f"{len(files)} files in {folder}. Begin with orders, forms, clay_stock and labour_hours.")


@app.command()
def check(folder: Folder, today: Today = None) -> None:
    """Every problem of every sheet."""
    from schemas import REQUIRED, SHEETS_OUT

    reading = reading_of(folder, today, REQUIRED)
    problems = reading.problems
    if reading.job is not None:
        from pipeline.plan import work_out

        problems = work_out(("schedule",), reading.job, problems).problems
    if not problems.is_empty():
        give(SHEETS_OUT["problems"], problems, 2, "metric", people=told)
    say("Nothing stands in the way of a plan." if not stops(problems) else "Nothing can be planned yet.")
    raise typer.Exit(Exit.PROBLEMS if stops(problems) else Exit.DONE)


@app.command()
def buy(folder: Folder, sheets: With = None, today: Today = None) -> None:
    """The clay-buying list, from orders, forms and clay_stock alone; on the screen also what is short beside clay."""
    from pipeline.plan import buying_list
    from pipeline.writing.shopping import shopping_list

    if sys.stdout.isatty():
        given = read(folder, today, FOR_BUYING, sheets, unread=NOT_FOR_BUYING, spared=SUPPLIES)
    else:
        given = read(folder, today, FOR_BUYING, sheets, unread=(*NOT_FOR_BUYING, *SUPPLIES))
    outcome = buying_list(given.job, given.problems, given.results)
    finish("clay_to_buy", given, outcome, people=lambda _: shopping_list(given.job, outcome.results))


@app.command()
def plan(
    folder: Folder,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", metavar="DIR", help="Where the plan goes.  [default: plan, in the folder or beside the book]"
        ),
    ] = None,
    follow: Annotated[
        Path | None,
        typer.Option(
            "--follow", metavar="FILE", help="An earlier schedule.csv to keep to, where that makes nothing late."
        ),
    ] = None,
    today: Today = None,
) -> None:
    """Everything: each result sheet as a CSV, and the workbook plan.xlsx."""
    from pipeline.plan import whole_plan
    from pipeline.writing.files import PLAN_NAMES, plan_files, problem_file
    from pipeline.writing.folder import check_folder, remove_file, write_file, write_folder
    from schemas import REQUIRED

    beside = folder / "plan" if folder.is_dir() else folder.with_name("plan")
    target = beside if out is None else out
    told_in = target.with_name(f"{target.name}.problems.csv")
    check_folder(target, PLAN_NAMES)
    reading = following(reading_of(folder, today, REQUIRED), follow)
    outcome = None if reading.job is None else whole_plan(reading.job, reading.problems)
    problems = reading.problems if outcome is None else outcome.problems
    if reading.job is None or outcome is None or outcome.stopped:
        write_file(told_in, problem_file(problems))
        say(told(problems))
        say(f"Nothing was planned. The problems are in {told_in}; what stood in {target} is as it was.")
        raise typer.Exit(Exit.PROBLEMS)
    write_folder(target, plan_files(reading.job, outcome.results))
    remove_file(told_in)
    if not problems.is_empty():
        say(told(problems))
    say(f"The plan is in {target}; the workbook is {target / 'plan.xlsx'}.")
    if outcome.late:
        say("Something is late: promises say what, by how much, and what holds it up.")
        raise typer.Exit(Exit.LATE)


@app.command()
def day(
    folder: Folder,
    first: Annotated[
        datetime | None,
        typer.Option("--date", parser=_day, metavar="DATE", help="The day.  [default: the plan's first day with work]"),
    ] = None,
    days: Annotated[int, typer.Option("--days", min=1, max=366, help="How many days, a page each.")] = 1,
    page: Annotated[
        bool, typer.Option("--page", help="The page as on the screen, into a file or printer too.")
    ] = False,
    sheets: With = None,
    today: Today = None,
) -> None:
    """The day sheet: what to do in the order of the day, with whom, how long, which balls and which kiln load."""
    from pipeline.plan import work_out
    from pipeline.writing.day import day_pages, day_sheet
    from schemas import REQUIRED
    from schemas.answers import ANSWERS

    given = read(folder, today, REQUIRED, sheets)
    outcome = work_out(("schedule", "clay_to_wedge", "kiln_loads"), given.job, given.problems, given.results)
    if outcome.stopped:
        stop(outcome.problems)
    if not outcome.problems.is_empty():
        say(told(outcome.problems))
    schedule = outcome.results["schedule"]
    with_work = given.job.settings.start if schedule.is_empty() else schedule["date"].sort()[0]
    begin = with_work if first is None else first.date()
    sheet = day_sheet(given.job, schedule, begin, days)
    give(
        ANSWERS["day"],
        sheet,
        given.job.settings.minor_digits,
        given.job.settings.units,
        people=lambda rows: day_pages(given.job, rows, outcome.results, begin, days),
        always=page,
    )


@app.command("try")
def try_order(
    folder: Folder,
    quantity: Annotated[int, typer.Argument(parser=_count, help="How many good pieces.", metavar="QUANTITY")],
    form: Annotated[str, typer.Argument(help="What is to be made.", metavar="FORM")],
    glaze: Annotated[str | None, typer.Option("--glaze", help="The glaze it gets.")] = None,
    due: Annotated[
        datetime | None, typer.Option("--due", parser=_day, metavar="DATE", help="When it is wanted.")
    ] = None,
    today: Today = None,
) -> None:
    """When one order more would be ready, and what it would make later; no sheet is changed."""
    from pipeline.trying import UnknownForm, candidate, tried
    from pipeline.writing.trial import trial_text
    from schemas import REQUIRED
    from schemas.answers import ANSWERS

    given = read(folder, today, REQUIRED)
    job = given.job
    try:
        line = candidate(job, form, quantity, glaze, None if due is None else due.date())
    except UnknownForm as error:
        raise typer.BadParameter(str(error), param_hint="FORM") from error
    trial = tried(job, line)
    if trial.stopped:
        stop(trial.problems)
    if not given.problems.is_empty():
        say(told(given.problems))
    give(ANSWERS["try"], trial.answer, job.settings.minor_digits, job.settings.units, people=trial_text)
    if trial.late:
        raise typer.Exit(Exit.LATE)


def _add_step(command: str, sheet: str, help_text: str) -> None:
    """A command that gives one result sheet."""

    @app.command(command, help=help_text)
    def step(folder: Folder, sheets: With = None, today: Today = None) -> None:
        from pipeline.plan import work_out
        from schemas import REQUIRED

        given = read(folder, today, FOR_BUYING if sheet == "pieces" else REQUIRED, sheets)
        finish(sheet, given, work_out((sheet,), given.job, given.problems, given.results))


for _command, (_sheet, _help) in STEP_COMMANDS.items():
    _add_step(_command, _sheet, _help)


RUBBISH = 200_000, 20, 50
"""How seldom rubbish is looked for: what is imported and read stays until the end, and to search it over and over, and
once more at the very end, takes a sixth of a plan's time, and a third of a schedule's."""


def main() -> None:
    """The entry point: files that cannot be read or written end in a sentence and a code of their own."""
    gc.set_threshold(*RUBBISH)
    try:
        with at_work():
            app()
    except CannotWrite as error:
        say(str(error))
        sys.exit(Exit.FILE)
    except NotADirectoryError as error:
        say(f"{error.filename} is a sheet, not a job: name the folder that holds the sheets.")
        sys.exit(Exit.FILE)
    except OSError as error:
        say(f"{error.filename or 'A file'} cannot be read: {error.strerror or error}.")
        sys.exit(Exit.FILE)
    finally:
        gc.freeze()
