"""The commands as README lists them, read from the command line's own description."""

from __future__ import annotations

from typing import Any

import typer

from pipeline.docs.tables import table


def commands(app: typer.Typer) -> str:
    """Each command with its arguments and options, and the first paragraph of its help."""
    # The group of commands is typer's own copy of click's, which it does not export with types.
    group: Any = typer.main.get_command(app)
    rows = []
    for name, command in group.commands.items():
        usage = " ".join(["wareboard", name, *(_usage(parameter) for parameter in command.params)])
        rows.append((f"`{usage}`", " ".join((command.help or "").split("\n\n")[0].split())))
    return table(("command", "gives"), rows)


def _usage(parameter: Any) -> str:
    word = parameter.metavar or parameter.name.upper()
    if parameter.param_type_name == "argument":
        return word if parameter.required else f"[{word}]"
    flag = parameter.opts[0] if parameter.is_flag else f"{parameter.opts[0]} {word}"
    return f"[{flag}]{'…' if parameter.multiple else ''}"
