"""Sheets that answer a question: a command gives them, and no plan's folder holds them."""

from __future__ import annotations

from schemas.answers.day_sheet import DaySheet
from schemas.answers.tried import Tried
from schemas.sheet import Sheet

ANSWERS: dict[str, type[Sheet]] = {"day": DaySheet, "try": Tried}
"""Answers by the command that gives them."""
