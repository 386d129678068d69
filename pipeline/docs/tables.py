"""README's tables as Markdown, made from the schemas, the settings and the commands."""

from __future__ import annotations

from collections.abc import Iterable

from pipeline.docs.words import found_in, may_hold
from pipeline.docs.written import default_sheets
from pipeline.exits import MEANING
from schemas import REQUIRED, SHEETS_IN, SHEETS_OUT
from schemas.answers import ANSWERS
from schemas.kinds import KINDS
from schemas.plan_kinds import PLAN_KINDS
from schemas.settings import SETTINGS, Setting
from schemas.sheet import Column, Sheet, columns, one_row, sheet_key
from schemas.workbook_kinds import WORKBOOK_KINDS


def table(headings: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A Markdown table. A bar in a cell would end the cell, so it is escaped."""
    headings = list(headings)
    lines = [headings, ["---"] * len(headings), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines)


def sheets_in() -> str:
    """Every input sheet: what a row is, its columns, what they hold and what a blank means."""
    return "\n\n".join(_sheet_in(name, model) for name, model in SHEETS_IN.items())


def _sheet_in(name: str, model: type[Sheet]) -> str:
    need = "needed" if name in REQUIRED else "optional"
    headings = ("column", "meaning", "if blank", "holds", "example", "must stand in")
    rows = (
        (
            f"`{column.name}`",
            column.title,
            "**needed**" if column.needed else column.default,
            f"{may_hold(column)}, in {column.unit}" if column.unit else may_hold(column),
            column.example,
            found_in(column),
        )
        for column in columns(model)
    )
    return f"#### `{name}` ({need})\n\n{_one_row(model)}{_once(model)}\n\n{table(headings, rows)}"


def sheets_out() -> str:
    """Every result sheet: what a row is, and its columns."""
    return "\n\n".join(_sheet_out(name, model) for name, model in SHEETS_OUT.items())


def answers() -> str:
    """Every sheet that a command alone gives, as the result sheets."""
    return "\n\n".join(_sheet_out(name, model) for name, model in ANSWERS.items())


def _sheet_out(name: str, model: type[Sheet]) -> str:
    rows = ((f"`{column.name}`", column.title, _unit(column)) for column in columns(model))
    return f"#### `{name}`\n\n{_one_row(model)}\n\n{table(('column', 'meaning', 'unit'), rows)}"


def _unit(column: Column) -> str:
    return "money" if column.kind in ("amount", "price") else column.unit


def _one_row(model: type[Sheet]) -> str:
    words = one_row(model)
    return f"One row: {words[0].lower()}{words[1:]}."


def _once(model: type[Sheet]) -> str:
    key = sheet_key(model)
    return f" {' + '.join(f'`{name}`' for name in key)} may stand only once." if key else ""


def defaults() -> str:
    """What stands for those sheets that do not just count as empty when they are not given."""
    return "\n\n".join(f"`{name}`:\n\n{table(grid[0], grid[1:])}" for name, grid in default_sheets().items())


def settings() -> str:
    """The choices of the sheet ``settings``."""
    rows = ((f"`{setting.name}`", setting.title, _not_given(setting), setting.example) for setting in SETTINGS)
    return table(("name", "what it chooses", "if not given", "example"), rows)


def _not_given(setting: Setting) -> str:
    return f"`{setting.default}`: {setting.why}"


def problems() -> str:
    """Every kind of problem, those of the sheets first, then those that a plan brings to light."""
    kinds = (*KINDS, *WORKBOOK_KINDS, *PLAN_KINDS)
    return table(("kind", "severity", "what it means"), ((k.code, f"`{k.severity}`", k.meaning) for k in kinds))


def exit_codes() -> str:
    """How a command may end."""
    return table(("code", "meaning"), ((str(code.value), words) for code, words in MEANING.items()))
