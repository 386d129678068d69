"""Workbooks for tests: the sample as one, and what LibreOffice makes of a workbook when it saves it itself."""

from __future__ import annotations

import csv
import os
import re
import subprocess
from collections.abc import Mapping, Sequence
from datetime import date
from io import BytesIO
from pathlib import Path

import openpyxl

from pipeline.reading.spelling import tidy
from schemas import SHEETS_IN
from schemas.sheet import columns
from tests.writing.libreoffice import needs_libreoffice

STUDIO = Path(__file__).resolve().parent.parent.parent / "sample_data" / "studio"

NUMBERS = ("whole", "number", "amount", "price", "month")

ISO_DATES = "yyyy-mm-dd"

ISO = re.compile(r"\d{4}-\d\d-\d\d")
PLAIN = re.compile(r"\d+(\.\d+)?")

Cell = str | int | float | date | bool | None


def csv_rows(sheet: str, folder: Path = STUDIO) -> list[list[str]]:
    with (folder / f"{sheet}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def as_typed(sheet: str, rows: list[list[str]]) -> list[list[Cell]]:
    """The rows as they stand in a spreadsheet into which they were typed: numbers and dates are such, not text."""
    kinds = {column.name: column.kind for column in columns(SHEETS_IN[sheet])}
    of_column = [kinds[tidy(heading)] for heading in rows[0]]
    free = sheet in ("settings", "labour_hours")  # where a column of words also takes dates and numbers
    return [
        list(rows[0]),
        *([_typed(cell, kind, free) for cell, kind in zip(row, of_column, strict=False)] for row in rows[1:]),
    ]


def _typed(cell: str, kind: str, free: bool) -> Cell:
    if not cell:
        return None
    if (kind == "day" or free) and ISO.fullmatch(cell):
        return date.fromisoformat(cell)
    if (kind in NUMBERS or free) and PLAIN.fullmatch(cell):
        return float(cell) if "." in cell else int(cell)
    return cell


def studio_book(*, dates: str = ISO_DATES, settings: Mapping[str, str] | None = None) -> bytes:
    """The larger sample as one workbook, a tab for each sheet; with dates shown this way, and more settings."""
    tabs = {sheet: as_typed(sheet, csv_rows(sheet)) for sheet in SHEETS_IN}
    tabs["settings"] += [[name, value] for name, value in (settings or {}).items()]
    return xlsx(tabs, dates)


def xlsx(tabs: Mapping[str, Sequence[Sequence[Cell]]], dates: str = ISO_DATES) -> bytes:
    """A workbook of these tabs, made by openpyxl."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in tabs.items():
        tab = book.create_sheet(name)
        for number, row in enumerate(rows, start=1):
            for at, value in enumerate(row, start=1):
                if value is not None:
                    tab.cell(number, at, value)
                if isinstance(value, date):
                    tab.cell(number, at).number_format = dates
    memory = BytesIO()
    book.save(memory)
    return memory.getvalue()


def csv_filter(delimiter: str, charset: int, *, as_shown: bool = True, quote_all: bool = False) -> str:
    """LibreOffice's name of saving every tab as CSV.

    Charsets by its own numbers: 76 UTF-8, 1 Windows-1252, 65535 UTF-16. Source: LibreOffice help, "CSV Filter
    Parameters", tokens 1 to 12.
    """
    words = (str(ord(delimiter)), "34", str(charset), "1", "", "0", _word(quote_all), _word(as_shown))
    return f"csv:Text - txt - csv (StarCalc):{','.join(words)},false,false,false,-1"


def _word(value: bool) -> str:
    return "true" if value else "false"


def saved(book: Path, to: str, room: Path, locale: str = "C.UTF-8") -> Path:
    """The folder of what LibreOffice saves a workbook as; of CSVs each is named like its tab.

    ``room`` is a folder of the test's own: LibreOffice keeps its profile there. Of a locale that the system lacks it
    still takes the language: it reads the name itself.
    """
    program = needs_libreoffice()
    out = room / "out"
    out.mkdir(parents=True)
    words = [program, f"-env:UserInstallation={(room / 'profile').as_uri()}", "--headless", "--convert-to", to]
    environment = {**os.environ, "LC_ALL": locale, "LANG": locale}
    subprocess.run(
        [*words, "--outdir", str(out), str(book)], check=True, timeout=120, capture_output=True, env=environment
    )
    files = sorted(out.iterdir())
    # It ends well even where it could not read or write the file.
    assert files, f"LibreOffice saved nothing for {book}"
    for file in files:
        if file.suffix == ".csv":
            file.rename(out / file.name.removeprefix(f"{book.stem}-"))
    return out
