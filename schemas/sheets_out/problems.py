"""What is wrong or doubtful in the sheets."""

from __future__ import annotations

from schemas.fields import choice, text, whole
from schemas.sheet import Sheet


class Problems(Sheet):
    """Something wrong or doubtful in a sheet."""

    sheet: str = text("the sheet", needed=True)
    row: int = whole("the row, as the spreadsheet numbers it; blank for the whole sheet", ge=1)
    column: str = text("the column; blank for the whole row")
    value: str = text("what was read")
    problem: str = text("what is wrong", needed=True)
    what_to_do: str = text("what to type", needed=True)
    severity: str = choice("`stop`: nothing is planned; `doubt`: planned all the same", ("stop", "doubt"), needed=True)
    kind: str = text("the kind of problem, as README lists them", needed=True)
