"""A blank workbook to fill in, as content: tabs, headings with their notes, what a cell takes, and an example row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pipeline.blank import in_words, setting_in_words
from pipeline.docs.words import KINDS, bounds
from pipeline.reading.set_aside import EXAMPLE, example_row
from schemas import REQUIRED, SHEETS_IN
from schemas.settings import SETTINGS
from schemas.sheet import Column, Sheet, columns, one_row

LAST_ROW = 2000
"""The last row, as the spreadsheet counts, that has drop-downs and warnings; more may be filled in without them."""

READ_ME = "READ ME"
"""The tab that says how to fill in the others; the reader passes it over."""

LISTS = "lists"
"""The last tab, which the reader passes over, too: what drop-downs offer that comes from more than one tab."""

LONGEST_LIST = 255
"""Letters that a spreadsheet takes in a list of words to choose from; a longer list stands in the tab READ ME."""

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

WITH_UNITS = {"g": "1 lb 4 oz", "kg": "25 lb", "mm": "4 1/2 in", "ml": "12 fl oz"}
"""Units that may be typed another way: there a spreadsheet must not insist on a number."""

Takes = Literal["list", "whole", "number", "day"]


@dataclass(frozen=True)
class Rule:
    """What the cells of a column take, and what is said to who types something else.

    ``options`` are words to choose from, ``named`` the name of a range of them. Bounds are those of ``Column``. A rule
    that is not ``firm`` asks and lets the person go on: the reader understands more than a spreadsheet does.
    """

    takes: Takes
    message: str
    firm: bool = False
    options: tuple[str, ...] = ()
    named: str = ""
    low: float | None = None
    above: float | None = None
    high: float | None = None
    below: float | None = None


@dataclass(frozen=True)
class Heading:
    """A column of a tab: its heading, the note on it, and how its cells are set up and the example is written."""

    name: str
    note: str
    needed: bool
    as_text: bool
    as_day: bool
    example: str
    rule: Rule | None


@dataclass(frozen=True)
class BlankTab:
    """A sheet to fill in."""

    name: str
    needed: bool
    headings: tuple[Heading, ...]


@dataclass(frozen=True)
class Line:
    """A line of the tab READ ME: a title, or up to three cells side by side."""

    cells: tuple[str, ...]
    title: bool = False


@dataclass(frozen=True)
class BlankBook:
    """The workbook. ``ranges`` names the columns that drop-downs show: sheet and number of the column, from 0.

    ``listed`` names lines of the guide whose first cells are words to choose from: the first line and the last, from 0.
    ``joined`` names lists of what stands in several of the ranges, one after the other: the names of the ranges.
    """

    guide: tuple[Line, ...]
    tabs: tuple[BlankTab, ...]
    ranges: dict[str, tuple[str, int]]
    listed: dict[str, tuple[int, int]]
    joined: dict[str, tuple[str, ...]]

    def first_of(self, name: str) -> str:
        """What stands in the first cell of a range as the workbook comes: the example."""
        return self._heading(name).example

    def heading_of(self, name: str) -> str:
        """What stands above a joined list: the columns that it is joined of."""
        return " or ".join(f"{self.ranges[part][0]}.{self._heading(part).name}" for part in self.joined[name])

    def _heading(self, name: str) -> Heading:
        sheet, column = self.ranges[name]
        return next(tab for tab in self.tabs if tab.name == sheet).headings[column]


def blank_book() -> BlankBook:
    """The blank workbook, its tabs in the order in which people are told of the sheets: those needed come first."""
    tabs = tuple(_tab(name, model) for name, model in SHEETS_IN.items())
    places = {(tab.name, heading.name): at for tab in tabs for at, heading in enumerate(tab.headings)}
    targets = {target for model in SHEETS_IN.values() for column in columns(model) for target in _targets(column)}
    ranges = {_range(target): (target[0], places[target]) for target in places if target in targets}
    together = {_targets(column) for model in SHEETS_IN.values() for column in columns(model) if _one_of(column)}
    joined = {_list(targets): tuple(map(_range, targets)) for targets in sorted(together) if len(targets) > 1}
    guide, listed = _guide()
    return BlankBook(guide, tabs, ranges, listed, joined)


def _tab(name: str, model: type[Sheet]) -> BlankTab:
    example = example_row(model)
    headings = (
        Heading(
            column.name,
            _note(column),
            column.needed,
            column.kind in ("text", "list", "choice", "yes_no"),
            column.kind == "day",
            example[column.name],
            _rule(name, column),
        )
        for column in columns(model)
    )
    return BlankTab(name, name in REQUIRED, tuple(headings))


def _note(column: Column) -> str:
    unit = f". In {column.unit}" if column.unit else ""
    return f"{in_words(column)}{unit}."


def _rule(sheet: str, column: Column) -> Rule | None:
    """What a column's cells take; None where any words will do."""
    if (sheet, column.name) == ("settings", "name"):
        return Rule("list", _say(column, "one of the names in the tab READ ME"), named=_range((sheet, column.name)))
    if _in_guide(column):
        message = _say(column, "one of the words in the tab READ ME")
        return Rule("list", message, firm=True, named=_range((sheet, column.name)))
    if column.options:
        return Rule("list", _say(column, " or ".join(column.options)), firm=True, options=column.options)
    match column.kind:
        case "text":
            return _named_elsewhere(column)
        case "list" | "choice":
            return None
        case "yes_no":
            return Rule("list", _say(column, "yes or no"), firm=True, options=("yes", "no"))
        case "month":
            return Rule("list", _say(column, "a month: its name, or 1 to 12"), options=MONTHS)
        case "day":
            return Rule("day", _say(column, "a date, such as 2027-03-05"))
        case "whole":
            return _counted("whole", column, _say(column, _number_in_words(column)), firm=True)
        case "number" | "amount" | "price":
            keep = "Keep it if you are sure that it can be read"
            if column.unit in WITH_UNITS:
                keep = f"Keep it if it has a unit of its own, such as {WITH_UNITS[column.unit]}"
            return _counted("number", column, f"{_say(column, _number_in_words(column))} {keep}.")


def _counted(takes: Takes, column: Column, message: str, firm: bool = False) -> Rule:
    return Rule(takes, message, firm, low=column.low, above=column.above, high=column.high, below=column.below)


def _named_elsewhere(column: Column) -> Rule | None:
    targets = _targets(column)
    if not targets:
        return None
    where = " or ".join(f"`{sheet}`" for sheet, _ in targets)
    message = f"This name does not stand in the tab {where} yet. Keep it, and add a row for it there."
    return Rule("list", message, named=_list(targets))


def _targets(column: Column) -> tuple[tuple[str, str], ...]:
    return column.link.targets if column.link else ()


def _one_of(column: Column) -> bool:
    """Whether a cell takes one name, which a drop-down can give."""
    return column.kind == "text"


def _list(targets: tuple[tuple[str, str], ...]) -> str:
    """The name of what a drop-down offers: a column's, or that of several joined."""
    return "_or_".join(map(_range, targets))


def _range(target: tuple[str, str]) -> str:
    """The name of a column's range. The mark between keeps it from looking like a cell's."""
    return "_".join(target)


def _say(column: Column, what: str) -> str:
    return f"`{column.name}` is {what}{f', in {column.unit}' if column.unit else ''}."


def _number_in_words(column: Column) -> str:
    limits = bounds(column)
    return f"a {KINDS[column.kind].replace('money', 'sum of money')}{f', {limits}' if limits else ''}"


def _in_guide(column: Column) -> bool:
    """Whether a column's words are too many for a drop-down of their own."""
    return len(",".join(column.options)) > LONGEST_LIST


def _guide() -> tuple[tuple[Line, ...], dict[str, tuple[int, int]]]:
    """The guide, and where the words stand in it that drop-downs of the tabs offer."""
    lines, listed = _how_to(), dict[str, tuple[int, int]]()

    def lists(place: tuple[str, str], title: str, words: list[Line]) -> None:
        lines.extend([Line(()), Line((title,), title=True)])
        listed[_range(place)] = (len(lines), len(lines) + len(words) - 1)
        lines.extend(words)

    settings = [Line((setting.name, "", setting_in_words(setting))) for setting in SETTINGS]
    lists(("settings", "name"), "The names in `settings`", settings)
    for sheet, model in SHEETS_IN.items():
        for column in filter(_in_guide, columns(model)):
            words = [Line((option,)) for option in column.options]
            lists((sheet, column.name), f"The words for `{column.name}` in `{sheet}`", words)
    return tuple(lines), listed


def _how_to() -> list[Line]:
    return [
        Line(("How to fill in this workbook",), title=True),
        Line((f"Begin with the tabs {', '.join(REQUIRED)}. The first three alone give the clay-buying list.",)),
        Line(
            ("Type below the headings. Rest the pointer on a heading to read what it takes, and whether it is needed.",)
        ),
        Line((f"The row that begins with `{EXAMPLE.strip()}` shows how a row looks. It is ignored as long as",)),
        Line(("its first cell says so: type over the whole row, or delete it.",)),
        Line(("Leave every other tab as it is until you want to change what it stands for. You may delete tabs and",)),
        Line(("columns that you do not use, put columns in another order, and leave rows blank.",)),
        Line(
            ("Lists to choose from come from the other tabs. A name that is not in them yet may be kept, and added.",)
        ),
        Line((f"The last tab, {LISTS}, puts together the names of several tabs for such a list: leave it as it is.",)),
        Line(("Save as .xlsx or .ods, and run `wareboard plan` on this file; or save each tab as CSV into a folder.",)),
        Line(()),
        Line(("The tabs",), title=True),
        *(
            Line((name, "needed" if name in REQUIRED else "only if you want to", f"One row: {one_row(model)}."))
            for name, model in SHEETS_IN.items()
        ),
    ]
