"""The kinds of problem that only planning finds, defined once as those of the sheets are."""

from __future__ import annotations

from schemas.problem import ProblemKind

# What cannot be planned at all

NOBODY_DOES_IT = ProblemKind(
    "nobody does it",
    "stop",
    "A stage takes time, and nobody in `labour_hours` does it on any day.",
    "`{value}` takes time, and nobody in labour_hours does it",
    "give somebody hours for it: add it to their `stages`, or leave their `stages` blank for all",
)
DAY_TOO_SHORT = ProblemKind(
    "day too short",
    "stop",
    "One piece, or the loading of one kiln, takes longer than anybody works in a day.",
    "{what} takes {needed} minutes, and the longest day of those who do it has {longest}",
    "correct the minutes, or the hours in labour_hours",
)
DOES_NOT_FIT = ProblemKind(
    "does not fit the kiln",
    "stop",
    "A form is too wide or too tall for every kiln in which its firing is done.",
    "`{form}` does not go into the kiln for `{firing}`: {why}",
    "correct its size or the kiln's, or give your own count in kiln_fit",
)
NO_BAT = ProblemKind(
    "no bat",
    "stop",
    "A form is thrown on a bat of which there is none.",
    "there is no bat of the size `{value}`",
    "correct the size, or the count in bats_and_boards; leave `bat` blank if it needs none",
)
BATS_ALL_TAKEN = ProblemKind(
    "no bat comes free",
    "stop",
    "Every bat of a size is under pieces in progress that no order takes, and which nobody plans to take off.",
    "{value} pieces of `{form}` that no order takes stand on `{size}` bats, and none of that size is left to throw on",
    "take them off their bats, then put what they have had into `stage_done`; or order them for stock",
)
NO_DAY_IN_WINDOW = ProblemKind(
    "no day in the window",
    "stop",
    "A stage has to follow another within so few days that none of them ever is a day with work for it.",
    "`{after}` has to follow `{value}` within {least} to {most} days, and nobody can do it on such a day",
    "raise `wait_days_max` of `{value}`, or add hours on other days",
)
NO_DAY_LEFT = ProblemKind(
    "no day left",
    "stop",
    "Pieces of a line find no day on which they can be made: the hours end before, or it would take over ten years.",
    "{pieces} pieces find no day for `{stage}`",
    "look at the quantity, at how long labour_hours go on, and at how much kiln room and bats there are",
)
HARDLY_ANY_GOOD = ProblemKind(
    "hardly any come out",
    "stop",
    "The losses of a form's stages multiply to almost everything, so no number of pieces is enough.",
    "the losses of `{value}` leave less than one good piece in a thousand",
    "correct `loss_pct` of its stages",
)
NO_SOLVER = ProblemKind(
    "no thorough search",
    "stop",
    "The settings ask for the thorough search, and the package that it needs is not installed.",
    "`search` is `{value}`, and the package that it needs is not installed",
    "install the package `ortools` where wareboard is installed, or put `quick`",
)

# What is doubtful

TWO_LOTS = ProblemKind(
    "two lots of clay",
    "doubt",
    "A line's clay comes from two lots, which may not dry, shrink or look the same.",
    "the clay `{value}` for this line comes from the lots {lots}",
    "if the pieces have to match, set one lot aside for it with `keep_kg`, or test the lots together",
)
NO_PRICE = ProblemKind(
    "no price",
    "doubt",
    "A material is needed whose pack has no price, so it counts as nought in every cost.",
    "`{value}` is needed and has no price, so it counts as nought in the costs",
    "fill in `pack_price`: what a pack of it costs, with carriage",
)
BELOW_COST = ProblemKind(
    "priced below cost",
    "doubt",
    "The price of a line, without tax, is below what a piece of it costs in the books, which show it at cost.",
    "a piece sells at {value} without tax, and costs {cost} in the books",
    "look at the price; the books show such goods at cost, and an accountant decides about writing them down",
)
ORDER_TOO_LATE = ProblemKind(
    "clay comes too late",
    "doubt",
    "Clay should have been ordered before the plan's first day for a due date to hold.",
    "`{value}` should have been ordered by {order_by} for its due dates to hold",
    "order it today and ask for it sooner, or tell the customer another date",
)
WINDOW_PASSED = ProblemKind(
    "window passed",
    "doubt",
    "Pieces in progress should have had their next stage before the plan's first day.",
    "`{stage}` should have followed by {latest}",
    "look whether the pieces can still be worked; take the row out if they are lost",
)
WINDOW_TOO_SHORT = ProblemKind(
    "window too short",
    "doubt",
    "There are not the hours, or pieces a day, to work all pieces in progress before they are too dry for it.",
    "`{stage}` should follow for all {pieces} pieces by {latest}, and there is time for {room} of them",
    "add hours up to then, or keep the rest damp; take out of the row what is lost",
)
CARRIED_OVER = ProblemKind(
    "not what was carried over",
    "doubt",
    "The sheets have more or less of something than the last period's books closed with, `opening_balances`.",
    "of `{value}` there are {now} worth {worth}, and {carried} worth {before} were carried over",
    "count again and correct {where}; what stays is booked as a stock difference, so explain it to the bookkeeper",
)
DEPOSIT_GONE = ProblemKind(
    "deposit gone",
    "doubt",
    "The last period's books closed with a deposit that the orders do not have any more.",
    "{before} of the order `{value}` were carried over, and orders have {worth}",
    "fill in its `deposit` in orders; if it was paid back or kept, book that and take the row out",
)
LOSS_OF_NO_LINE = ProblemKind(
    "loss of no line",
    "doubt",
    "The work log counts pieces, on a day that the books take in, of which no order line of this plan is made.",
    "no order line is for `{value}`, so what was lost of it at `{stage}` is in no book",
    "correct `order`, `form` or `glaze`, or leave `order` and `glaze` blank; else book the loss by hand",
)
BATS_TAKEN = ProblemKind(
    "bats stay taken",
    "doubt",
    "Pieces in progress that no order takes stand on bats, which are counted as taken until the plan's end.",
    "{value} pieces of `{form}` that no order takes stand on `{size}` bats, which no other piece gets",
    "take them off their bats, then put what they have had into `stage_done`; or order them for stock",
)
BOARDS_SHORT = ProblemKind(
    "boards short",
    "doubt",
    "On some night more boards are in use than there are.",
    "on the night of {night} {value} boards are in use, and there are {owned}",
    "find more boards or shelves for that time, or begin less at once (`most_per_day`)",
)
NOT_IN_ACCOUNTS = ProblemKind(
    "not in accounts",
    "doubt",
    "The journal posts to an account that `accounts` does not have, so it goes by its words there.",
    "the journal posts {times} to `{value}`, which has no row and so no code",
    "add a row for it, with the code that the bookkeeper has for it",
)

PLAN_KINDS = tuple(kind for kind in globals().values() if isinstance(kind, ProblemKind))
"""All of them, in the order in which people are told of them."""
