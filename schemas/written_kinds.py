"""Kinds of problems with what people write in a cell: numbers, units, money and dates that are not one thing only."""

from __future__ import annotations

from schemas.problem import ProblemKind

# Numbers

AMBIGUOUS_NUMBER = ProblemKind(
    "ambiguous number",
    "stop",
    "A mark in a number may stand before its decimals or between its thousands, and nothing in the sheet tells.",
    "`{value}` may be {point} or {comma}, and the sheet does not tell which mark stands before decimals",
    "type it without a mark between thousands, or say in settings which the decimal_mark is: `.` or `,`",
)
DECIMAL_MARKS_AT_ODDS = ProblemKind(
    "decimal marks at odds",
    "stop",
    "Some numbers of a sheet have a point before their decimals and others a comma.",
    "`{value}` has a {own} before its decimals, and `{other}` in the same sheet has a {usual}",
    "write all numbers of the sheet with one decimal mark",
)
FRACTION_AS_DATE = ProblemKind(
    "fraction turned into a date",
    "stop",
    "A date stands where a number belongs: a spreadsheet takes a fraction such as 3/4 for a day.",
    "`{value}` is a date; a spreadsheet seems to have turned {fraction} into one",
    "type {instead}, or format the cell as text and type {fraction} again",
)
FRACTION_WITHOUT_UNIT = ProblemKind(
    "fraction without a unit",
    "stop",
    "A fraction stands without its unit in a column of grams, millimetres or millilitres, of which none is so small.",
    "`{value}` {unit} is hardly meant: fractions are of pounds, ounces or inches",
    "type its unit as well, such as {instead}",
)
ABOUT_A_NUMBER = ProblemKind(
    "about a number",
    "stop",
    "A number is said to be rough: 40?, about 40, 40-50.",
    "`{value}` is not one number: nothing can be counted from it",
    "type the number to plan with alone, such as {number}",
)
SUM_IN_A_CELL = ProblemKind(
    "sum in a cell",
    "stop",
    "A sum of numbers stands in a cell, such as 24 + 2.",
    "`{value}` is a sum, not a number",
    "type {total}, or {first} alone if the rest is not meant",
)
NOTE_IN_A_NUMBER = ProblemKind(
    "note in a number",
    "stop",
    "A cell holds a number and words that are not known as a unit of it.",
    "`{value}` holds more than a number: `{note}`",
    "type {number} alone{units}, and keep the words in a column of remarks",
)
WRONG_QUANTITY = ProblemKind(
    "wrong kind of unit",
    "stop",
    "A weight stands where a length or a volume belongs, or the other way round.",
    "`{value}` is a {quantity}, and `{column}` is a {wanted}",
    "type the {wanted} in {unit}, such as {example}, or with its own unit: {units}",
)
WEIGHT_OR_VOLUME = ProblemKind(
    "ounces of weight or volume",
    "stop",
    "An ounce is a weight; what a pot holds is measured in fluid ounces.",
    "`{value}` is a weight, and may be meant as a volume",
    "type {number} fl oz for US fluid ounces, or the volume in ml",
)
UNIT_OF_TWO_MEANINGS = ProblemKind(
    "unit of two meanings",
    "stop",
    "A unit is one thing in one country and another in the next: ton, pint, quart, gallon, cup.",
    "`{value}` may be meant in two ways: {word} is {meanings}",
    "type what you mean in units that are the same everywhere: for one of them {one}, or {two}",
)
CURRENCIES_AT_ODDS = ProblemKind(
    "currencies at odds",
    "stop",
    "Money of one job is in one currency, and a cell has the sign of another.",
    "`{value}` is in another currency than {other}",
    "convert it, so that all money is in one currency, and type the amount alone",
)

# Rows

SUBTOTAL_ROW = ProblemKind(
    "sub-total",
    "stop",
    "A row sums up others. Counted like them, it would double the work.",
    "this row seems to be a sum of others, not one to count",
    "delete the row: sums are worked out in the results",
)

# Dates

AMBIGUOUS_DATE = ProblemKind(
    "ambiguous date",
    "stop",
    "A date may be one day or another, and nothing in its column tells whether the day or the month comes first.",
    "`{value}` may be {days}, and the column does not tell which",
    "type {iso} if that is meant, or say in settings what comes first as date_order: day or month",
)
DATES_AT_ODDS = ProblemKind(
    "dates at odds",
    "stop",
    "Some dates of a column have the day first and others the month.",
    "`{value}` has the {own} first, and `{other}` in the same column has the {usual}",
    "type year, month and day, such as {iso}",
)
SERIAL_DATE = ProblemKind(
    "number in place of a date",
    "stop",
    "A spreadsheet keeps dates as numbers of days, and has put out the number.",
    "`{value}` is a spreadsheet's number for {day}",
    "type {iso} if that is meant, or format the column as dates and save it again",
)
WRONG_WEEKDAY = ProblemKind(
    "wrong weekday",
    "stop",
    "The weekday that stands before a date is not that day's.",
    "`{value}` cannot be: {days}",
    "correct the date or the weekday, or type the date alone, such as {iso}",
)

WRITTEN_KINDS = tuple(kind for kind in globals().values() if isinstance(kind, ProblemKind))
"""All of them, in the order in which people are told of them."""
