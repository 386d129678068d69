"""What of a workbook the drawing library does not write itself: the rows of sheets, their texts, and the one file."""

from __future__ import annotations

from collections import deque
from concurrent.futures import Future, ThreadPoolExecutor
from io import BytesIO, StringIO
from itertools import chain
from typing import IO, Any, cast
from zipfile import ZIP_DEFLATED, ZipFile

import polars as pl
from xlsxwriter.packager import Packager
from xlsxwriter.sharedstrings import SharedStringTable
from xlsxwriter.worksheet import Worksheet

from pipeline.writing.book.cells import Cell, Live, Tab
from pipeline.writing.formats import Formats
from pipeline.writing.xlsx_rows import Rows, fitting, number

PRESSED = 2
"""How hard the files of a workbook are pressed, of 1 to 9."""

PART = 1_000_000
"""Letters of a file that are enough to be pressed while the rest of it is written."""

WAITING = 16
"""So many parts of files may wait to be pressed, lest they fill the memory."""


class Files(Packager):  # type: ignore[misc]  # the drawing library has no types
    """The files that make up a workbook, each pressed into one while it is written.

    The library would keep all of them as text to the last, and press them harder: a file smaller by a fifth takes three
    times as long, a third of all the time of a large plan's workbook. Nothing is left for it to press.
    """

    def __init__(self) -> None:
        super().__init__()
        self._memory = BytesIO()
        self._pressing: deque[Future[None]] = deque()
        self._entry: IO[bytes] | None = None

    def pressed(self) -> bytes:
        """The workbook, when the library has closed it."""
        return self._memory.getvalue()

    def written_on(self, text: StringIO, rows: str | pl.Series) -> StringIO:
        """Where the rest of a file goes after some rows: what is written of it is pressed as soon as it is long enough,
        and rows that are a text each are joined there, too."""
        if isinstance(rows, str):
            text.write(rows)
            if text.tell() < PART:
                return text
        _, name, is_binary = self.filenames.pop()
        self._press(text, name)
        if isinstance(rows, pl.Series):
            self._press(rows, name)
        self.filenames.append((rest := StringIO(), name, is_binary))
        return rest

    def _filename(self, xml_filename: str) -> Any:
        self._end_file()
        return super()._filename(xml_filename)

    def _create_package(self) -> list[Any]:
        with ZipFile(self._memory, "w", ZIP_DEFLATED, compresslevel=PRESSED) as self._zip:
            with ThreadPoolExecutor(1) as self._beside:
                try:
                    super()._create_package()
                finally:
                    self._end_file()
            for part in self._pressing:
                part.result()
        return []

    def _end_file(self) -> None:
        """Have what was written last pressed."""
        for text, name, _ in self.filenames:
            self._press(text, name, ends=True)
        self.filenames.clear()

    def _press(self, part: StringIO | pl.Series, name: str, *, ends: bool = False) -> None:
        if len(self._pressing) == WAITING:
            self._pressing.popleft().result()
        self._pressing.append(self._beside.submit(self._put_away, part, name, ends))

    def _put_away(self, part: StringIO | pl.Series, name: str, ends: bool) -> None:
        self._entry = self._entry or self._zip.open(name, "w")
        joined = part.getvalue().encode() if isinstance(part, StringIO) else part.str.join("").cast(pl.Binary).item()
        self._entry.write(joined)
        if ends:
            self._entry.close()
            self._entry = None


class Texts(SharedStringTable):  # type: ignore[misc]
    """The texts of a workbook, each once, in the order of their numbers, to which the sheets add as they are written.

    The library closes its list before it writes the first sheet.
    """

    def number(self, text: str) -> int:
        """The number of a text, its own or a new one."""
        known: int | None = self.string_table.get(text)
        return self._new(fitting(text)) if known is None else known

    def _new(self, text: str) -> int:
        self.string_table.setdefault(text, len(self.string_table))
        self.unique_count = len(self.string_table)
        return cast(int, self.string_table[text])

    def _sort_string_data(self) -> None:
        self.string_array = self.string_table


class Sheet(Worksheet):  # type: ignore[misc]
    """A sheet whose rows are written from the columns of a tab; all else of it the library writes."""

    def fill(self, tab: Tab, formats: Formats, files: Files) -> None:
        """Take the rows of a tab. Raises ``ValueError`` if they are more than a sheet holds."""
        self._tab, self._files = tab, files
        for block in tab.blocks:
            accepted(self._check_dimensions(block.first, min(block.columns)))
            accepted(self._check_dimensions(block.first + block.height - 1, max(block.columns)))
        rows = iter(Rows(tab, formats, self.str_table))
        # The title at once: before it writes a sheet, the library asks whether there are texts at all.
        self._written = chain([next(rows, "")], rows)

    def _write_rows(self) -> None:
        for rows in self._written:
            self._set_xml_writer(self._files.written_on(self.fh, rows))

    def _get_range_data(self, first_row: int, first_place: int, last_row: int, last_place: int) -> list[str | None]:
        """What a chart keeps of the cells that it shows."""
        cells = (
            self._tab.cell(row, place)
            for row in range(first_row, last_row + 1)
            for place in range(first_place, last_place + 1)
        )
        return [cell and _told(cell) for cell in cells]


def _told(cell: Cell) -> str:
    """What a chart keeps of a cell."""
    if cell.value is None or isinstance(cell.value, str):
        return cell.value or ""
    return str(number(cell.value)) if isinstance(cell, Live) else f"{number(cell.value):.16g}"


def accepted(code: int | None) -> None:
    """The drawing library tells a refusal by a number below 0 and a warning, and goes on without the thing refused."""
    if code is not None and isinstance(code, int) and code < 0:
        raise ValueError(f"the workbook's drawing library refused something: code {code}")
