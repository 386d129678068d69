"""How the cells of a workbook look: the format that each look by meaning has."""

from __future__ import annotations

from typing import Any

from pipeline.writing.book.cells import Look

INK, HEAD_FILL, RULE = "#1F2A30", "#E3E7E4", "#8A9490"
STAGE_FILLS = (
    "#D9C7A8", "#A9C9DD", "#F0D78C", "#C3D9B0", "#E6A98A", "#CDB9DD", "#8FB8AE", "#F2C4C4", "#B7BEC9", "#DDE58F",
)  # fmt: skip
"""Fills for stages, light enough for black letters; after the last the first again. Letters tell stages apart, too."""

HAIR, THIN, MEDIUM, DOUBLE = 7, 1, 2, 6
"""Kinds of line."""

SQUARE = {"border": HAIR, "border_color": RULE}
ROLES: dict[str, dict[str, Any]] = {
    "body": {"valign": "vcenter", "bottom": HAIR, "bottom_color": RULE},
    "heading": {
        "bold": True,
        "text_wrap": True,
        "bg_color": HEAD_FILL,
        "bottom": THIN,
        "valign": "vcenter",
        "left": HAIR,
        "left_color": RULE,
    },
    "input": {"valign": "vcenter", "border": MEDIUM, "border_color": INK},
    "figure": {"align": "right", "bottom": HAIR, "bottom_color": RULE},
    "total": {"bold": True, "top": THIN, "bottom": DOUBLE},
    "title": {"bold": True, "font_size": 15},
    "note": {"font_color": INK},
    "strong": {"bold": True},
    "batch": {"valign": "vcenter", **SQUARE},
    "work": {"align": "center", "valign": "vcenter", "font_size": 9, **SQUARE},
    "date_head": {"align": "center", "bg_color": HEAD_FILL, "font_size": 9},
}
INDENTED = ("body", "heading", "total", "batch", "input")
"""Roles whose words keep clear of the number in the column before."""

MARKS: dict[str, dict[str, Any]] = {
    "new day": {"top": THIN},
    "late": {"bold": True, "bg_color": "#F6D5CC"},
    "day off": {"bg_color": "#ECECEC"},
    "weekend": {"bg_color": "#ECECEC", **SQUARE},
    "closed": {"bg_color": "#BDBDBD", **SQUARE},
    "squares": SQUARE,
}

DAY_FORMATS = {"date_head": "d", "strong": "ddd d mmm"}
DAY_ALIGN = {"date_head": "center", "strong": "left"}
"""Dates over the calendar and before a day's work; everywhere else with their year."""


class Formats:
    """One format of the workbook for each look, made when it is first met."""

    def __init__(self, workbook: Any, minor_digits: int) -> None:
        money = "#,##0" + (f".{'0' * minor_digits}" if minor_digits else "")
        self._numbers = {
            "whole": "#,##0",
            "plain": "0",
            "quantity": "#,##0.0?????",
            "kg": "#,##0.0??",
            "lb": "#,##0.00",
            "oz": "#,##0.0",
            "in": "#,##0.00",
            "hours": '#,##0.00;-#,##0.00;"-"??',
            "pct": "0.0?",
            "day": "d mmm yyyy",
            "amount": money,
            "rate": money + ("??" if minor_digits else ".00"),
            "price": money + ("????" if minor_digits else ""),
        }
        self._workbook = workbook
        self._made: dict[Look, Any] = {}

    def of(self, look: Look) -> Any:
        """The format of a cell."""
        if look not in self._made:
            self._made[look] = self._workbook.add_format(self._properties(look))
        return self._made[look]

    def painted(self, mark: str) -> Any:
        """The format that a condition lays over a cell."""
        return self._workbook.add_format(MARKS[mark])

    def _properties(self, look: Look) -> dict[str, Any]:
        properties = dict(ROLES[look.role])
        words = look.kind in ("text", "wrap", "day")
        if look.role in INDENTED:
            properties |= {"align": "left", "indent": 1} if words else {"align": "right"}
        if look.role != "heading" and look.kind in self._numbers:
            properties["num_format"] = self._numbers[look.kind]
        if look.kind == "day" and look.role in DAY_FORMATS:
            properties |= {"num_format": DAY_FORMATS[look.role], "align": DAY_ALIGN[look.role]}
        if look == Look("plain", "batch"):
            properties["align"] = "center"
        if look.kind == "wrap":
            properties["text_wrap"] = True
        if look.mark:
            properties["bg_color"] = stage_fill(look.mark)
        return properties


def stage_fill(mark: str) -> str:
    return STAGE_FILLS[int(mark.removeprefix("stage ")) % len(STAGE_FILLS)]
