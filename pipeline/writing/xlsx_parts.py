"""What of a workbook the drawing library does not write itself: the rows of its sheets, their texts, and its one file.

The library would keep each cell as an object until the end, and look at each for all that it could be: for a plan of
thousands of lines that takes several times as long, and all the memory of a usual computer.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from datetime import date
from decimal import Decimal
from functools import cache
from io import BytesIO, StringIO
from itertools import chain, repeat
from math import isfinite
from typing import Any, cast
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import polars as pl
from xlsxwriter.packager import Packager
from xlsxwriter.sharedstrings import SharedStringTable
from xlsxwriter.worksheet import Worksheet

from pipeline.alike import once_each
from pipeline.writing.book.cells import ROW, Block, Cell, Cells, Live, Shown, Tab
from pipeline.writing.book.grid import letter
from pipeline.writing.formats import Formats

DAY_NOUGHT = date(1899, 12, 30)
"""The day that spreadsheets number 0."""

LONGEST_TEXT = 32_767
"""Characters that a cell can hold; the CSV has all of a longer text."""

ROWS_AT_ONCE = 4_096
"""So many rows are written at once: all the columns of a long table as text would fill the memory."""

MANY = 256
"""From so many rows on, it is quicker to have a column written by polars than cell by cell."""

OWN_ROW = "<>"
"""What stands for the number of a row until all of it is written; nothing else in a cell can be this."""

NUMBER_OF_TEXT = ' t="s">'
"""What a cell says that holds the number of a text; nothing else in a cell can be this, either."""

PRESSED = 2
"""How hard the files of a workbook are pressed, of 1 to 9."""

USUAL_HEIGHT = 20
"""Pixels of a row of which nothing is said."""


class Files(Packager):  # type: ignore[misc]  # the drawing library has no types
    """The files that make up a workbook, each pressed into one as soon as it is written.

    The library would keep all of them as text to the last, and press them harder: a file smaller by a fifth takes three
    times as long, a third of all the time of a large plan's workbook. Nothing is left for it to press. One file is
    pressed while the next is written, and no more than one, lest texts fill the memory.
    """

    def __init__(self) -> None:
        super().__init__()
        self._memory = BytesIO()
        self._pressing: Future[None] = Future()
        self._pressing.set_result(None)

    def pressed(self) -> bytes:
        """The workbook, when the library has closed it."""
        return self._memory.getvalue()

    def _filename(self, xml_filename: str) -> Any:
        self._press()
        return super()._filename(xml_filename)

    def _create_package(self) -> list[Any]:
        with ZipFile(self._memory, "w") as self._zip, ThreadPoolExecutor(1) as self._beside:
            super()._create_package()
            self._press()
            self._pressing.result()
        return []

    def _press(self) -> None:
        """Begin to put away what was written last."""
        for text, name, _ in self.filenames:
            self._pressing.result()
            self._pressing = self._beside.submit(self._put_away, text, name)
        self.filenames.clear()

    def _put_away(self, text: StringIO, name: str) -> None:
        self._zip.writestr(ZipInfo(name), text.getvalue(), ZIP_DEFLATED, PRESSED)
        text.close()


class Texts(SharedStringTable):  # type: ignore[misc]
    """The texts of a workbook, each once, in the order of their numbers, to which the sheets add as they are written.

    The library closes its list before it writes the first sheet.
    """

    def number(self, text: str) -> int:
        """The number of a text, its own or a new one."""
        self.string_table.setdefault(text, len(self.string_table))
        self.unique_count = len(self.string_table)
        return cast(int, self.string_table[text])

    def _sort_string_data(self) -> None:
        self.string_array = self.string_table


class Sheet(Worksheet):  # type: ignore[misc]
    """A sheet whose rows are written from the columns of a tab; all else of it the library writes."""

    def fill(self, tab: Tab, formats: Formats) -> None:
        """Take the rows of a tab. Raises ``ValueError`` if they are more than a sheet holds."""
        self._tab, self._formats = tab, formats
        for block in tab.blocks:
            accepted(self._check_dimensions(block.first, min(block.columns)))
            accepted(self._check_dimensions(block.first + block.height - 1, max(block.columns)))
        parts = self._counted(self._parts())
        # The title at once: before it writes a sheet, the library asks whether there are texts at all.
        self._written = chain([next(parts, "")], parts)

    def _write_rows(self) -> None:
        self.fh.writelines(self._written)

    def _counted(self, parts: Iterator[str]) -> Iterator[str]:
        for part in parts:
            self.str_table.count += part.count(NUMBER_OF_TEXT)
            yield part

    def _parts(self) -> Iterator[str]:
        for block in self._tab.blocks:
            if block.height < MANY:
                yield self._few(block)
                continue
            for start in range(0, block.height, ROWS_AT_ONCE):
                yield self._many(block, slice(start, start + ROWS_AT_ONCE))

    def _few(self, block: Block) -> str:
        """The rows of a block, cell by cell."""
        columns = [self._each(cells, place) for place, cells in block.columns.items()]
        return "".join(
            f"{self._opened(row)}{''.join(cells)}</row>".replace(OWN_ROW, str(row + 1))
            for row, cells in enumerate(zip(*columns, strict=True), block.first)
        )

    def _each(self, cells: Cells, place: int) -> list[str]:
        """The cells of a column, those that are alike written once here, too: -0 is as the first nought is."""
        opened, height = self._cell_opened(cells, place), len(cells.values)
        formulas = repeat(cells.formulas, height) if isinstance(cells.formulas, str) else cells.formulas
        kinds = list(zip(cells.values, formulas, strict=True))
        texts = {kind: f"{opened}{self._filled(*kind)}" for kind in dict.fromkeys(kinds)}
        return [texts[kind] for kind in kinds]

    def _many(self, block: Block, part: slice) -> str:
        """Some rows of a block, column by column."""
        rows = range(block.first, block.first + block.height)[part]
        opened = pl.Series([self._opened(row) for row in rows])
        columns = [self._column(cells, place, part) for place, cells in block.columns.items()]
        numbers = pl.int_range(rows.start + 1, rows.stop + 1).cast(pl.String)
        written = pl.concat_str(opened, *columns, pl.lit("</row>")).str.replace_all(OWN_ROW, numbers, literal=True)
        return cast(str, pl.select(written.str.join("")).item())

    def _column(self, cells: Cells, place: int, part: slice) -> pl.Series:
        """The cells of a column in some rows: those that are alike are written once."""
        opened, formulas = self._cell_opened(cells, place), cells.formulas
        rows = pl.DataFrame({"value": cells.values[part]})
        if isinstance(formulas, str):
            return once_each(rows, lambda value: opened + self._filled(value, formulas), pl.String)
        rows = rows.with_columns(formula=pl.Series(formulas[part]))
        return once_each(rows, lambda value, formula: opened + self._filled(value, formula), pl.String)

    def _opened(self, row: int) -> str:
        return f'<row r="{OWN_ROW}"{_height(self._tab.heights.get(row))}>'

    def _cell_opened(self, cells: Cells, place: int) -> str:
        return f'<c r="{letter(place)}{OWN_ROW}" s="{self._formats.of(cells.look)._get_xf_index()}"'

    def _filled(self, value: Shown | None, formula: str) -> str:
        """What ends a cell."""
        return self._live(value, formula) if formula else self._plain(value)

    def _plain(self, value: Shown | None) -> str:
        if value is None:
            return "/>"
        if isinstance(value, str):
            return f"{NUMBER_OF_TEXT}<v>{self.str_table.number(_fitting(value))}</v></c>"
        return f"><v>{_number(value):.16G}</v></c>"

    def _live(self, value: Shown | None, formula: str) -> str:
        """A formula with its value: numbers in full, unlike plain ones."""
        written = self._escape_data(formula).replace(ROW, OWN_ROW)
        if value is None or value == "":
            return f"><f>{written}</f><v></v></c>"
        if isinstance(value, str):
            return f' t="str"><f>{written}</f><v>{self._escape_data(_fitting(value))}</v></c>'
        return f"><f>{written}</f><v>{_number(value)}</v></c>"

    def _get_range_data(self, first_row: int, first_place: int, last_row: int, last_place: int) -> list[str | None]:
        """What a chart keeps of the cells that it shows."""
        cells = (
            self._tab.cell(row, place)
            for row in range(first_row, last_row + 1)
            for place in range(first_place, last_place + 1)
        )
        return [cell and _told(cell) for cell in cells]


def _number(value: float | Decimal | date) -> int | float:
    """A number as a spreadsheet keeps it: dates are days since day 0, money is a binary number."""
    if isinstance(value, date):
        return (value - DAY_NOUGHT).days
    number = float(value) if isinstance(value, Decimal) else value
    if not isfinite(number):
        raise ValueError(f"no cell can hold the number {number}")
    return number


def _fitting(text: str) -> str:
    """As much of a text as a cell holds, which counts characters beyond 16 bits as two."""
    if len(text) <= LONGEST_TEXT // 2:
        return text
    return text.encode("utf-16-le")[: 2 * LONGEST_TEXT].decode("utf-16-le", "ignore")


def _told(cell: Cell) -> str:
    """What a chart keeps of a cell."""
    if cell.value is None or isinstance(cell.value, str):
        return cell.value or ""
    return str(_number(cell.value)) if isinstance(cell, Live) else f"{_number(cell.value):.16g}"


@cache
def _height(points: float | None) -> str:
    """What a row's tag says of its height, in the steps of a screen; nothing of the usual one."""
    pixels = USUAL_HEIGHT if points is None else int(points * 4 / 3 + 0.5)
    return "" if pixels == USUAL_HEIGHT else f' ht="{pixels * 0.75:.16g}" customHeight="1"'


def accepted(code: int | None) -> None:
    """The drawing library tells a refusal by a number below 0 and a warning, and goes on without the thing refused."""
    if code is not None and isinstance(code, int) and code < 0:
        raise ValueError(f"the workbook's drawing library refused something: code {code}")
