"""``python -m pipeline.docs`` writes README's generated blocks anew; ``--check`` only tells whether they are true."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from pipeline.cli import app
from pipeline.docs.commands import commands
from pipeline.docs.excerpt import excerpt
from pipeline.docs.readme import rewritten
from pipeline.docs.tables import answers, defaults, exit_codes, problems, settings, sheets_in, sheets_out
from pipeline.plan import whole_plan
from pipeline.reading.read import read_job
from schemas import REQUIRED


def blocks(sample: Path) -> dict[str, str]:
    """Every generated block of README, by name; ``sample`` is the job of which an excerpt is shown."""
    return {
        "excerpt": sample_excerpt(sample),
        "commands": commands(app),
        "exit codes": exit_codes(),
        "settings": settings(),
        "defaults": defaults(),
        "sheets in": sheets_in(),
        "sheets out": sheets_out(),
        "answers": answers(),
        "problems": problems(),
    }


def sample_excerpt(sample: Path) -> str:
    """The excerpt of a job's plan. Raises ValueError if the job cannot be planned."""
    # The sample names its first day, so today is never asked for.
    reading = read_job(sample, today=date.min, needed=REQUIRED)
    if reading.job is None:
        raise ValueError(f"{sample} cannot be planned: {reading.problems['problem'].to_list()}")
    return excerpt(whole_plan(reading.job, reading.problems).results, reading.job.settings.minor_digits)


def main(
    readme: Annotated[Path, typer.Argument(help="The file to write anew.")] = Path("README.md"),
    check: Annotated[bool, typer.Option("--check", help="Change nothing; end with 1 if it is not up to date.")] = False,
) -> None:
    """Write README's tables and excerpt anew from the schemas, the commands and the sample job beside it."""
    old = readme.read_text(encoding="utf-8")
    new = rewritten(old, blocks(readme.parent / "sample_data" / "studio"))
    if old == new:
        typer.echo(f"{readme} is up to date.")
    elif check:
        typer.echo(f"{readme} is not up to date: run python -m pipeline.docs", err=True)
        raise typer.Exit(1)
    else:
        readme.write_text(new, encoding="utf-8", newline="\n")
        typer.echo(f"{readme} is written anew.")


if __name__ == "__main__":
    typer.run(main)
