"""Every kind of problem, defined once: README's table of messages and the sheet ``problems`` are made from it."""

from __future__ import annotations

from schemas.book_kinds import BOOK_KINDS
from schemas.problem import ProblemKind
from schemas.range_kinds import RANGE_KINDS
from schemas.written_kinds import WRITTEN_KINDS

# The folder and its files

MISSING_SHEET = ProblemKind(
    "missing sheet",
    "stop",
    "A sheet that the command needs is not in the folder.",
    "there is no {sheet}.csv in the folder, and this cannot be done without it",
    "add {sheet}.csv; `wareboard start` makes a blank one to fill in",
)
EMPTY_SHEET = ProblemKind(
    "empty sheet",
    "stop",
    "A sheet that the command needs has no row below its headings.",
    "nothing is filled in below the headings",
    "fill in at least one row",
)
UNKNOWN_SHEET = ProblemKind(
    "unknown sheet",
    "doubt",
    "A CSV in the folder has not the name of a sheet, so it is not read.",
    "`{value}` is not the name of a sheet, so it was not read",
    "move it out of the folder if it is not meant for the plan",
    "rename it {near}.csv if it is that sheet, or ",
)
SHEET_TWICE = ProblemKind(
    "sheet twice",
    "stop",
    "Two files have the name of one sheet, such as `orders.csv` and `Orders.csv`.",
    "`{value}` and `{other}` are both the sheet {sheet}",
    "keep one of them and move the other out of the folder",
)
SHEET_IS_A_FOLDER = ProblemKind(
    "sheet is a folder",
    "stop",
    "A folder has the name of a sheet's file.",
    "`{value}` is a folder, not a file",
    "put the sheet itself here, saved as CSV, and rename the folder",
)
UNREADABLE_SHEET = ProblemKind(
    "unreadable sheet",
    "stop",
    "The computer does not let a sheet's file be read.",
    "`{value}` cannot be read: {reason}",
    "close it in other programs, see that you may open it, and run again",
)
SHEET_TOO_LARGE = ProblemKind(
    "sheet too large",
    "stop",
    "A sheet's file is larger than any order sheet can be.",
    "the file is larger than {most} MB",
    "copy the rows that you need into a new sheet and save that as CSV",
)
NOT_A_CSV = ProblemKind(
    "not a CSV",
    "stop",
    "A workbook, a web page or another kind of file bears the name of a CSV.",
    "this is {what} under the name of a CSV",
    "open it in your spreadsheet and save it as CSV (UTF-8)",
)
NULL_CHARACTER = ProblemKind(
    "null character",
    "stop",
    "A file holds characters that no text has: it is damaged, or not a CSV.",
    "the file holds null characters, which no text has",
    "open it in your spreadsheet and save it as CSV (UTF-8) once more",
)
UNKNOWN_ENCODING = ProblemKind(
    "unknown encoding",
    "stop",
    "A file's letters are stored in a way that cannot be made out.",
    "the letters of this file cannot be made out",
    "save it again as CSV and choose UTF-8",
)
OLD_ENCODING = ProblemKind(
    "old encoding",
    "doubt",
    "A file is not stored as UTF-8. It was read as Windows-1252, which may garble accented letters, not numbers.",
    "the sheet is not stored as UTF-8, so it was read as Windows-1252",
    "look whether names with accents came out right; better, save it as CSV (UTF-8)",
)
OPEN_QUOTE = ProblemKind(
    "open quotation mark",
    "stop",
    "A quotation mark opens a cell and does not close it properly, so that the cells after it run together.",
    "a quotation mark opens in this row and does not close properly, so nothing from here on can be read",
    "close it, or take it out (inches may be typed as in)",
)
HUGE_CELL = ProblemKind(
    "huge cell",
    "stop",
    "A cell holds more text than a cell can; mostly because a quotation mark is opened and never closed.",
    "a cell of this row seems to hold over {most} characters, so nothing from here on can be read",
    "look for a quotation mark that is opened and not closed, or shorten the text",
)

# Headings

MISSING_COLUMN = ProblemKind(
    "missing column",
    "stop",
    "A sheet lacks a column that must be there.",
    "there is no column `{column}`, and every row needs it",
    "add the heading `{column}` and fill it in: {title}, such as {example}",
)
UNKNOWN_COLUMN = ProblemKind(
    "unknown column",
    "doubt",
    "A heading is not one of the sheet's, so its column is not read.",
    "`{value}` is not a heading of {sheet}, so the column is not read",
    "leave it if it is a remark of your own",
    "rename it `{near}` if that is what it is, or ",
)
COLUMN_TWICE = ProblemKind(
    "column twice",
    "stop",
    "Two columns of a sheet have the same heading, or one of the same meaning.",
    "columns {first} and {second} are both `{column}`",
    "keep one of them, and rename or delete the other",
)
STRAY_CELL = ProblemKind(
    "cell without a heading",
    "stop",
    "A cell is filled in where its column has no heading; often a comma has split a text or a number in two.",
    "there is `{value}` in column {letter}, which has no heading",
    'delete it, give the column a heading, or put "quotation marks" around a text that holds the comma',
)

# Single cells

BLANK_CELL = ProblemKind(
    "blank cell",
    "stop",
    "A cell is blank that must be filled in.",
    "`{column}` is blank",
    "fill it in: {title}, such as {example}",
)
NOT_A_NUMBER = ProblemKind(
    "not a number",
    "stop",
    "A cell holds something else than one number.",
    "`{value}` is not a number",
    "type the number alone, such as {example}",
)
NOT_WHOLE = ProblemKind(
    "not a whole number",
    "stop",
    "A cell holds a number with decimals, or none, where only a whole one makes sense.",
    "`{value}` is not a whole number",
    "type a whole number, such as {example}",
)
NOT_MONEY = ProblemKind(
    "not an amount of money",
    "stop",
    "A cell holds something else than one amount with at most six decimals.",
    "`{value}` is not an amount of money",
    "type the amount alone, such as {example}",
)
TOO_LARGE = ProblemKind(
    "number too large",
    "stop",
    "A number is too large to be meant.",
    "`{value}` is too large to be meant",
    "type a number below a thousand million, such as {example}",
)
NOT_A_DATE = ProblemKind(
    "not a date",
    "stop",
    "A cell holds something else than a date.",
    "`{value}` is not a date",
    "type year, month and day, such as {example}",
)
NO_SUCH_DAY = ProblemKind(
    "no such day",
    "stop",
    "A date is written properly, and the calendar does not have it.",
    "there is no day `{value}` in the calendar",
    "type a day of the calendar, such as {example}",
)
FAR_OFF_DATE = ProblemKind(
    "far-off date",
    "stop",
    "A date's year is not one in which anybody plans.",
    "`{value}` is hundreds of years away",
    "type the year in full, such as {example}",
)
NOT_YES_OR_NO = ProblemKind(
    "not yes or no",
    "stop",
    "A cell asks for yes or no.",
    "`{value}` is neither yes nor no",
    "type `yes` or `no`",
)
NOT_A_MONTH = ProblemKind(
    "not a month",
    "stop",
    "A cell asks for a month.",
    "`{value}` is not a month",
    "type 1 to 12, or the month's English name, such as {example}",
)
NOT_A_CHOICE = ProblemKind(
    "not a choice",
    "stop",
    "A cell asks for one of a few words.",
    "`{value}` is not a word for `{column}`",
    "type {options}",
    "type `{near}` if that is what you mean; else ",
)
NOT_WORK_DAYS = ProblemKind(
    "not a day of work",
    "stop",
    "`labour_hours.day` names no weekday, weekdays or date.",
    "`{value}` is not a weekday, several of them or a date",
    "type a weekday (Mon), several (Mon-Fri; Tue, Thu) or a date (2027-03-10)",
)
OUT_OF_RANGE = ProblemKind(
    "out of range",
    "stop",
    "A number is too small or too large for its column.",
    "`{value}` cannot be: it must be {bound}",
    "type a number that is {bound}, such as {example}",
)

# Rows

ROW_TWICE = ProblemKind(
    "row twice",
    "stop",
    "Two rows say something of the same thing, where there can be only one.",
    "`{value}` is already in row {other}",
    "delete one of the two rows, or change its {key}",
)
TRIMMINGS_ABOVE_BALL = ProblemKind(
    "more trimmed than thrown",
    "stop",
    "More clay is turned off a form than its ball holds.",
    "`{value}` g are trimmed off a ball of {ball} g",
    "correct `trimmings_g` or `ball_g`",
)
WAITS_CROSSED = ProblemKind(
    "waits crossed",
    "stop",
    "The most days until the next stage are fewer than the least.",
    "at most `{value}` days until the next stage, yet at least {least} days",
    "correct `wait_days` or `wait_days_max`; leave `wait_days_max` blank if there is no limit",
)
MORE_OUT_THAN_IN = ProblemKind(
    "more out than in",
    "stop",
    "More pieces come out of a stage, good ones and seconds, than went in.",
    "`{value}` good pieces, and the seconds with them, are more than the {entered} that went in",
    "correct `pieces_in`, `pieces_out` or `seconds`",
)
DATES_CROSSED = ProblemKind(
    "dates crossed",
    "stop",
    "A span of closed days ends before it begins.",
    "the closed days end on `{value}`, before they begin on {first}",
    "correct `from` or `to`; leave `to` blank for a single day",
)
LINE_WITHOUT_PRICE = ProblemKind(
    "line without a price",
    "doubt",
    "An order line has no price, though others have: its sales are left blank, and no total has them.",
    "this line has no price, so it is left out of all sales, and its pieces stay in stock",
    "fill in `unit_price`, or leave it blank if the pieces are made for stock",
)
WEEKDAY_TWICE = ProblemKind(
    "weekday twice",
    "doubt",
    "A worker's weekday is in two rows of `labour_hours`. The row for fewer days counts, as Wed before "
    "Mon-Fri, and of two for as many the later one; the hours are not added up.",
    "the hours of `{worker}` on {days} stand in row {first} and in row {second}, and only row {holds} counts",
    "leave it if that is meant; if both are worked, type the hours of both together in one row",
)

# Between sheets

UNKNOWN_NAME = ProblemKind(
    "unknown name",
    "stop",
    "A name must stand in another sheet, and does not. Capitals and extra spaces do not matter.",
    "there is no {what} `{value}` in {where}",
    "add a row to {where}",
    "type `{near}`, or ",
)
STAGE_OF_ANOTHER_METHOD = ProblemKind(
    "stage of another method",
    "stop",
    "A stage is named for a form whose method does not have it.",
    "`{value}` is not a stage of `{method}`, the method of `{form}`",
    "type one of its stages: {stages}",
)
STAGE_TWICE = ProblemKind(
    "stage twice",
    "stop",
    "A method has two stages of one name.",
    "`{value}` is already a stage of `{method}` in row {other}",
    "give one of the two another name, such as `{value} 2`",
)
BAT_ON_AND_OFF = ProblemKind(
    "bat on and off",
    "stop",
    "A method puts pieces onto bats and never takes them off, or the other way round.",
    "{what}",
    "type `on` at the stage where pieces go onto bats, and `off` at a later one where they come off",
)
SHARES_NOT_100 = ProblemKind(
    "shares of a blend",
    "stop",
    "The shares of a blend's clays do not add up to 100 %.",
    "the shares of `{blend}` add up to {value}, not 100",
    "change the shares so that they add up to 100",
)
BLEND_IS_A_CLAY = ProblemKind(
    "blend named like a clay",
    "stop",
    "A blend has the name of a clay in stock.",
    "`{value}` is a clay in clay_stock, so it cannot be a blend as well",
    "give the blend a name of its own",
)
BLEND_OF_A_BLEND = ProblemKind(
    "blend of a blend",
    "stop",
    "A part of a blend is itself a blend.",
    "`{value}` is itself a blend",
    "name the clays of `{value}` as parts, each with its share",
)
NO_SUCH_LINE = ProblemKind(
    "work for no order",
    "doubt",
    "Pieces in progress fit no line of the order sheet, so they take nothing off what is to be made.",
    "no line of orders asks for these pieces, so they count for nothing",
    "correct `order`, `form` or `glaze`, or leave `order` and `glaze` blank for any",
)
NO_RECIPE = ProblemKind(
    "no recipe",
    "doubt",
    "A glaze is ordered that has no recipe in `glazes`, so its materials have no cost.",
    "there is no recipe for `{value}` in glazes, so its materials have no cost",
    "add its recipe to glazes",
    "type `{near}`, or ",
)

# Settings

UNKNOWN_SETTING = ProblemKind(
    "unknown setting",
    "doubt",
    "A name in `settings` is not one that can be chosen, so it is not heeded.",
    "`{value}` is not a setting, so it is not heeded",
    "delete the row",
    "type `{near}`, or ",
)
NOT_A_COVER = ProblemKind(
    "not a loss cover",
    "stop",
    "`loss_cover` is neither `expected`, `cheapest` nor a probability.",
    "`{value}` is neither `expected`, `cheapest` nor a probability between 0 and 1",
    "type `expected` or `cheapest`, or how sure it must be: 0.9 or 90 % is nine times in ten",
)
NOT_A_CURRENCY = ProblemKind(
    "not a currency",
    "doubt",
    "A currency is not named by its three letters, so money is rounded to two decimal places.",
    "`{value}` is not the three letters of a currency, so money has two decimal places",
    "type its three letters, such as EUR",
)

KINDS = (
    *(kind for kind in list(globals().values()) if isinstance(kind, ProblemKind)),
    *BOOK_KINDS,
    *WRITTEN_KINDS,
    *RANGE_KINDS,
)
"""All of them, in the order in which people are told of them."""
