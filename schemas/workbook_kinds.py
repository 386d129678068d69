"""Kinds of problem that only workbooks have, and blank sheets that were filled in by half."""

from __future__ import annotations

from schemas.problem import ProblemKind

NO_READER = ProblemKind(
    "no reader for workbooks",
    "stop",
    "There is an `.xlsx` workbook, and the package that reads it is not installed.",
    "`{value}` is a workbook, and what reads workbooks is not installed",
    "install the package `openpyxl` where wareboard is installed, or save it as .ods instead, or each tab as CSV",
)
DAMAGED_WORKBOOK = ProblemKind(
    "damaged workbook",
    "stop",
    "A workbook cannot be read: it is damaged, protected by a password, or another kind of file under that name.",
    "`{value}` cannot be read as a workbook: it is damaged, protected by a password, or something else by that name",
    "open it in your spreadsheet and save it as .xlsx or .ods without a password",
)
NO_SHEET_INSIDE = ProblemKind(
    "no sheet in the workbook",
    "doubt",
    "A workbook in the folder has neither the name of a sheet nor a tab with the name of one, so it is not read.",
    "no tab of `{value}` has the name of a sheet, so it was not read",
    "give its tabs the names of the sheets (orders, forms …), or move it out of the folder",
)
UNKNOWN_TAB = ProblemKind(
    "unknown tab",
    "doubt",
    "A tab of a workbook has not the name of a sheet, so it is not read.",
    "the tab `{value}` has not the name of a sheet, so it was not read",
    "leave it if it is not meant for the plan",
    "rename it {near} if it is that sheet, or ",
)
SEVERAL_TABS = ProblemKind(
    "several tabs",
    "stop",
    "A workbook with the name of a sheet has several tabs that are filled in, and none of them bears the sheet's name.",
    "`{value}` has several tabs that are filled in ({tabs}), and none has the name of a sheet",
    "name the one that is meant {sheet}",
)
OTHER_FORMAT = ProblemKind(
    "another format",
    "doubt",
    "A file with the name of a sheet is in a format that is not read, such as `.xls`.",
    "`{value}` is in a format that is not read",
    "open it in your spreadsheet and save it as .xlsx, .ods or CSV (UTF-8)",
)
ERROR_CELL = ProblemKind(
    "error in a cell",
    "stop",
    "A cell holds what a spreadsheet writes where a formula failed or was never worked out, such as `#N/A`.",
    "`{value}` is not a value: a formula failed here, or was never worked out",
    "mend the formula in your spreadsheet and save, or type the value itself",
)
EXAMPLE_HALF_CHANGED = ProblemKind(
    "half-changed example",
    "stop",
    "The example row of a blank sheet was changed, and its first cell still says that it is an example.",
    "`{value}` still says example, and the rest of the row was changed",
    "take the word `example:` out if the row is meant, or delete the row",
)

WORKBOOK_KINDS = tuple(kind for kind in globals().values() if isinstance(kind, ProblemKind))
"""All of them, in the order in which people are told of them."""
