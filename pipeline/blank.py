"""Blank sheets to fill in, and a guide to lie beside them."""

from __future__ import annotations

import textwrap

from pipeline.docs.words import KINDS, found_in, may_hold
from pipeline.docs.written import Grid, default_sheets
from pipeline.writing.csvs import BYTE_ORDER_MARK, csv_bytes
from schemas import REQUIRED, SHEETS_IN
from schemas.settings import SETTINGS, Setting
from schemas.sheet import Column, Sheet, blank, columns, one_row

GUIDE = "READ ME.txt"
"""Name of the guide in the folder of blank sheets."""

WIDTH = 104
"""Characters in a line of the guide."""

NAMES = 20
"""Characters in the guide's column of names."""

OPENING = f"""\
HOW TO FILL IN THESE SHEETS

Open each sheet in your spreadsheet, type below the headings, and save it as CSV (UTF-8, if asked).
Begin with four: {", ".join(REQUIRED)}.
The first three alone give the clay-buying list.

Leave every other sheet as it is until you want to change what it stands for: a sheet with nothing
below its headings counts as not given, and the plan's sheet `assumptions` says what was taken
instead. You may delete the sheets and columns that you do not use, put columns in another order,
and leave rows blank.

Dates are best written 2027-03-05; 5 Mar 2027 and 05.03.2027 are understood as well. Units stand in
the last letters of a heading: _g grams, _kg kilograms, _mm millimetres, _ml millilitres, _pct per
cent (5 means 5 in a hundred). A weight or a size may have its own unit: 1 lb 4 oz, 4 1/2 in. Money
is in one currency. The plan's sheet `assumptions` says what was understood.
"""


def blank_files() -> dict[str, bytes]:
    """A folder of blank sheets, by file name: each sheet's headings with nothing below them, and the guide."""
    sheets = {f"{name}.csv": csv_bytes(model, blank(model), 0) for name, model in SHEETS_IN.items()}
    # Marked and ended as the sheets are, so that the plainest editor of any system shows it well.
    return {GUIDE: (BYTE_ORDER_MARK + guide().replace("\n", "\r\n")).encode("utf-8"), **sheets}


def guide() -> str:
    """The text of the guide: every sheet and column in words, with an example."""
    defaults = default_sheets()
    sheets = (_sheet(name, model, defaults.get(name, [])) for name, model in SHEETS_IN.items())
    return "\n".join([OPENING, *sheets])


def _sheet(name: str, model: type[Sheet], default: Grid) -> str:
    need = "needed" if name in REQUIRED else "only if you want to"
    title = f"{name}.csv - {need}"
    lines = [title, "-" * len(title), *_wrapped(f"One row: {_small(one_row(model))}.", ""), ""]
    for column in columns(model):
        lines += _entry(column.name, in_words(column))
    if name == "settings":
        lines += ["", "  The names, and what each chooses:", ""]
        for setting in SETTINGS:
            lines += _entry(setting.name, setting_in_words(setting))
    if default:
        lines += ["", "  If not given, it is as if this stood in it (copy it there to change some of it):", ""]
        lines += [",".join(row) for row in default]
    return "\n".join(lines) + "\n"


def in_words(column: Column) -> str:
    """A column in sentences: what it is, what may be typed, whether it is needed, and an example."""
    kind = may_hold(column)
    sentences = [column.title if kind == KINDS["text"] else f"{column.title} ({kind})"]
    if column.needed:
        sentences.append("Needed")
    elif column.default:
        sentences.append(f"If blank: {column.default}")
    if column.link:
        sentences.append(f"Must stand in {found_in(column)}")
    return _sentences(*sentences, f"Example: {column.example}")


def setting_in_words(setting: Setting) -> str:
    """A choice in sentences: what it chooses, what holds without it, and an example."""
    return _sentences(setting.title, f"If not given: {setting.default}", f"Example: {setting.example}")


def _sentences(*sentences: str) -> str:
    return ". ".join(sentence[0].upper() + sentence[1:] for sentence in sentences).replace("?.", "?")


def _entry(name: str, words: str) -> list[str]:
    return _wrapped(f"  {name:<{NAMES}}{words}", " " * (NAMES + 2))


def _wrapped(words: str, indent: str) -> list[str]:
    return textwrap.wrap(words, WIDTH, subsequent_indent=indent, break_on_hyphens=False)


def _small(words: str) -> str:
    return words[0].lower() + words[1:]
