"""LibreOffice as an independent computer of our workbooks: it recalculates every formula and writes each tab as CSV."""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
from pathlib import Path

import openpyxl
import pytest

ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>0</value></prop></item>
</oor:items>
"""
"""Without it LibreOffice shows the values that the file brings along, right or wrong."""

EVERY_TAB_AS_RAW_VALUES = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,-1"
"""Commas, double quotes, UTF-8, values as they are and not as formatted, a file for each tab."""

Tabs = dict[str, list[list[str]]]


def needs_libreoffice() -> str:
    """The program's path; without it the test is left out, but for a build server, where it fails."""
    program = shutil.which("soffice")
    if program is None:
        reason = "LibreOffice (soffice) is not installed"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return program


def save(edited: openpyxl.Workbook, path: Path) -> Path:
    """Saves a workbook of ours that was opened to be typed over, for LibreOffice to read its cells.

    Without the headings that are repeated on each page: openpyxl writes them before the print area, and LibreOffice
    then looks for the pages of a million rows of each tab, which takes three times as long as all else.
    """
    for tab in edited:
        tab._print_rows = tab._print_cols = None  # their properties cannot be set to None
    edited.save(path)
    return path


def recalculated(workbook: Path, room: Path) -> Tabs:
    """Each tab's cells as LibreOffice computes them, by tab name; ``room`` is a folder for what it needs."""
    program = needs_libreoffice()
    profile, out = room / "profile", room / "out"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(ALWAYS_RECALCULATE, encoding="utf-8")
    subprocess.run(
        [
            program,
            f"-env:UserInstallation={profile.as_uri()}",
            "--headless",
            "--convert-to",
            EVERY_TAB_AS_RAW_VALUES,
            "--outdir",
            str(out),
            str(workbook),
        ],
        check=True,
        timeout=120,
        capture_output=True,
        env={**os.environ, "LC_ALL": "C.UTF-8"},
    )
    tabs = {}
    for file in sorted(out.glob("*.csv")):
        with file.open(encoding="utf-8", newline="") as text:
            tabs[file.stem.removeprefix(f"{workbook.stem}-")] = list(csv.reader(text))
    # It ends well even where it could not read the file.
    assert tabs, f"LibreOffice wrote nothing for {workbook}"
    return tabs


def table(rows: list[list[str]], first_heading: str, width: int) -> list[list[str]]:
    """The rows of a tab's table, from the one after its headings to the next blank or total row."""
    start = next(at for at, row in enumerate(rows) if row[0] == first_heading) + 1
    found = []
    for row in rows[start:]:
        if row[0] in ("", "total", "most"):
            break
        found.append([*row, *[""] * width][:width])
    return found


def failed_checks(tabs: Tabs) -> list[str]:
    """The checks of a workbook of which the difference is not nought."""
    return [row[0] for row in tabs["checks"] if len(row) > 3 and row[3] not in ("", "difference") and float(row[3])]
