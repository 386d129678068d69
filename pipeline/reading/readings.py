"""What was understood or taken, as a row of ``assumptions``."""

from __future__ import annotations

from typing import NamedTuple


class Assumption(NamedTuple):
    """A row of the sheet ``assumptions``."""

    what: str
    value: str
    why: str
