"""README says what the schemas and the commands say."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Annotated

import polars as pl
import pytest
import typer

from pipeline.docs.__main__ import blocks
from pipeline.docs.commands import commands
from pipeline.docs.excerpt import excerpt
from pipeline.docs.readme import BLOCK, block, rewritten
from pipeline.docs.tables import answers, sheets_in, sheets_out, table
from pipeline.docs.words import bounds, found_in, may_hold
from schemas import SHEETS_IN, SHEETS_OUT
from schemas.answers import ANSWERS
from schemas.settings import SETTINGS
from schemas.sheet import Column, blank, columns, shaped

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"


def column(sheet: str, name: str) -> Column:
    """One column of an input sheet."""
    return next(found for found in columns(SHEETS_IN[sheet]) if found.name == name)


@pytest.mark.parametrize(
    ("sheet", "name", "words"),
    [
        ("orders", "order", "words"),
        ("orders", "due", "date"),
        ("orders", "quantity", "whole number, 1 or more"),
        ("forms", "ball_g", "number, above 0"),
        ("forms", "seconds_pct", "number, 0 to 100"),
        ("stages", "loss_pct", "number, 0 or more, below 100"),
        ("drying_months", "wait_factor", "number, above 0, 10 or less"),
        ("drying_months", "month", "month"),
        ("bats_and_boards", "kind", "`bat` or `board`"),
        ("labour_hours", "own_time", "`yes` or `no`"),
    ],
)
def test_what_a_cell_may_hold_in_words(sheet: str, name: str, words: str) -> None:
    assert may_hold(column(sheet, name)) == words


def test_a_column_that_may_hold_anything_has_no_bounds() -> None:
    assert bounds(column("orders", "note")) == ""


def test_where_a_value_must_stand() -> None:
    assert found_in(column("forms", "clay")) == "clay_stock.clay or clay_blends.clay"
    assert found_in(column("orders", "order")) == ""


def test_a_table_is_markdown_and_a_bar_in_a_cell_does_not_end_it() -> None:
    assert table(("a", "b"), [("1", "x|y")]) == "| a | b |\n| --- | --- |\n| 1 | x\\|y |"


def test_every_column_of_every_sheet_is_in_the_tables() -> None:
    """One line a column, one heading a sheet: counted from the schemas, not from the tables."""
    for tables, models in ((sheets_in(), SHEETS_IN), (sheets_out(), SHEETS_OUT), (answers(), ANSWERS)):
        lines = tables.splitlines()
        assert sum(line.startswith("#### ") for line in lines) == len(models)
        assert sum(line.startswith("| `") for line in lines) == sum(len(columns(model)) for model in models.values())


def test_a_block_is_filled_anew_and_all_else_stays() -> None:
    text = "top\n<!-- begin: a -->\nold\n<!-- end: a -->\nmiddle\n<!-- begin: b -->\n<!-- end: b -->\n"
    new = "top\n<!-- begin: a -->\nfresh\n<!-- end: a -->\nmiddle\n<!-- begin: b -->\n<!-- end: b -->\n"
    assert rewritten(text, {"a": "fresh"}) == new
    assert rewritten(new, {"a": "fresh"}) == new
    assert block(new, "a") == "fresh\n"
    assert block(new, "b") == ""


def test_a_block_without_a_place_is_an_error() -> None:
    with pytest.raises(KeyError, match="no block for: c"):
        rewritten("<!-- begin: a -->\n<!-- end: a -->\n", {"a": "", "c": "lost"})


def test_the_excerpt_shows_twelve_rows_as_the_csv_has_them_and_counts_the_rest() -> None:
    """14 days of throwing and one line: 12 rows are shown, 2 more are counted."""
    days = pl.DataFrame(
        {
            "date": [date(2027, 3, day) for day in range(1, 15)],
            "weekday": ["Mon"] * 14,
            "stage": ["throw"] * 14,
            "form": ["jug"] * 14,
            "pieces": [6] * 14,
            "minutes": [37.5] * 14,
            "worker": ["Ada"] * 14,
        }
    )
    clay = pl.DataFrame(
        {"clay": ["dark | coarse"], "needed_kg": [61.2], "bags_to_buy": [5], "cost": [Decimal("76.25")]}
    )
    results = {
        "clay_to_buy": filled("clay_to_buy", clay),
        "schedule": filled("schedule", days),
        "promises": blank(SHEETS_OUT["promises"]),
    }
    text = excerpt(results, 2)
    assert "| dark \\| coarse | 61.2 |  |  |  |  | 5 | 76.25 |  |" in text
    assert "| 2027-03-12 | Mon | throw | jug |  | 6 | 37.5 | Ada |  |\n\n… and 2 rows more\n" in text
    assert text.count("| throw |") == 12
    assert text.endswith(
        "| order | form | glaze | quantity | due | ready | days_late | slack_days |\n" + "| --- " * 8 + "|"
    )


def test_a_command_is_listed_as_it_is_typed() -> None:
    app = typer.Typer()

    @app.command()
    def fire(
        folder: Annotated[str, typer.Argument(metavar="FOLDER")],
        hot: Annotated[bool, typer.Option("--hot")] = False,
        shelf: Annotated[list[str] | None, typer.Option("--shelf", metavar="NAME=SIZE")] = None,
    ) -> None:
        """What goes into the kiln,
        and when.

        More of it.
        """

    @app.command()
    def rest(days: Annotated[int, typer.Argument()] = 1) -> None:
        """A day off."""

    assert commands(app).splitlines()[2:] == [
        "| `wareboard fire FOLDER [--hot] [--shelf NAME=SIZE]…` | What goes into the kiln, and when. |",
        "| `wareboard rest [DAYS]` | A day off. |",
    ]


def filled(sheet: str, some: pl.DataFrame) -> pl.DataFrame:
    """A result sheet of which only some columns are filled."""
    whole = pl.concat([blank(SHEETS_OUT[sheet]), some], how="diagonal_relaxed")
    return shaped(SHEETS_OUT[sheet], whole)


def test_readme_is_up_to_date() -> None:
    text = README.read_text(encoding="utf-8")
    assert rewritten(text, blocks(ROOT / "sample_data" / "studio")) == text, "run python -m pipeline.docs"


def test_the_check_tells_a_readme_that_has_drifted(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "sample_data", tmp_path / "sample_data")
    drifted = tmp_path / "README.md"
    drifted.write_text(README.read_text(encoding="utf-8").replace("good pieces wanted", "pots"), encoding="utf-8")
    checking = [sys.executable, "-m", "pipeline.docs", str(drifted)]
    assert subprocess.run([*checking, "--check"], cwd=ROOT, capture_output=True).returncode == 1
    assert "pots" in drifted.read_text(encoding="utf-8")
    assert subprocess.run(checking, cwd=ROOT, capture_output=True).returncode == 0
    assert drifted.read_bytes() == README.read_bytes()


def test_every_command_says_what_it_gives() -> None:
    rows = block(README.read_text(encoding="utf-8"), "commands").splitlines()[2:]
    assert len(rows) == 37
    assert all(words.strip().endswith(".") for _, _, words, _ in (row.split("|") for row in rows))


def test_readme_speaks_of_no_command_that_is_not_there() -> None:
    text = README.read_text(encoding="utf-8")
    listed = re.findall(r"`wareboard (\w+)", block(text, "commands"))
    spoken = re.findall(r"(?:`|^|\| |/|\\)wareboard (\w+)", text, re.MULTILINE)
    assert set(spoken) - {"COMMAND"} == set(listed)


def test_readme_names_the_setting_and_sheets_that_it_speaks_of() -> None:
    """Every `word_with_underscore` of the prose is a sheet, a column or a setting."""
    prose = BLOCK.sub("", README.read_text(encoding="utf-8"))
    words = set(re.findall(r"`([a-z]+(?:_[a-z]+)+)`", prose))
    models = [*SHEETS_IN.values(), *SHEETS_OUT.values()]
    known = {*SHEETS_IN, *SHEETS_OUT, *(found.name for model in models for found in columns(model))}
    assert words
    assert words <= known | {setting.name for setting in SETTINGS}


# Windows has no bash; the same commands in PowerShell are words beside them.
@pytest.mark.skipif(shutil.which("bash") is None, reason="README's lines of shell are for Unix")
def test_the_lines_of_shell_that_readme_shows_do_what_it_says(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "sample_data", tmp_path / "sample_data")
    script = tmp_path / "wareboard"
    script.write_text(f'#!/bin/sh\nPYTHONPATH="{ROOT}" exec "{sys.executable}" -m pipeline "$@"\n', encoding="utf-8")
    script.chmod(0o755)
    shown = re.findall(r"```sh\n(.*?)```", README.read_text(encoding="utf-8"), re.DOTALL)
    steps = [code for code in shown if code.startswith("wareboard ")]
    assert len(steps) == 2
    for code in steps:
        ran = subprocess.run(
            ["bash", "-euo", "pipefail", "-c", code],
            cwd=tmp_path,
            env={**os.environ, "PATH": f"{tmp_path}{os.pathsep}{os.environ['PATH']}"},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
        )
        assert ran.returncode == 0, ran.stderr
        assert ran.stdout.startswith("order,form,glaze,")
