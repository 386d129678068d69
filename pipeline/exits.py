"""The exit codes of the command."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """How a run ended, for scripts."""

    DONE = 0
    OUR_BUG = 1
    WRONG_USE = 2
    PROBLEMS = 3
    LATE = 4
    FILE = 5


MEANING = {
    Exit.DONE: "done",
    Exit.OUR_BUG: "our bug: please tell us",
    Exit.WRONG_USE: "the command was given wrongly",
    Exit.PROBLEMS: "the sheets have problems; nothing was planned",
    Exit.LATE: "planned, but something is late",
    Exit.FILE: "a file cannot be read or written",
}
"""What each code means, in words."""
