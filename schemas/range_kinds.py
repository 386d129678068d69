"""Kinds of doubts: what can be, is planned, and is hardly meant."""

from __future__ import annotations

from schemas.problem import ProblemKind

UNLIKELY_NUMBER = ProblemKind(
    "unlikely number",
    "doubt",
    "A number is far smaller or larger than in any studio. It is planned with all the same.",
    "`{value}` is {than} {bound} {unit}: {reason}",
    "look at it again, and at its unit; leave it if it is meant",
)
SHARE_FOR_PER_CENT = ProblemKind(
    "share instead of per cent",
    "doubt",
    "A percentage below 1 may be a share of one: 0.12 for 12 %. It is taken as written, 0.12 in a hundred.",
    "`{value}` is taken as {value} in a hundred, and may be meant as {meant} %",
    "type {meant} if that is what you mean; leave it otherwise",
)
LONG_WEEK = ProblemKind(
    "long week",
    "doubt",
    "A worker's hours of one week add up to more than anybody works.",
    "the hours of `{value}` add up to {hours} in a week",
    "correct the hours; each row is for a single day, not for the week",
)
DUE_BEFORE_START = ProblemKind(
    "due before the start",
    "doubt",
    "A line is due before the plan begins, so it is late whatever is done.",
    "`{value}` is before the plan begins on {start}",
    "correct the date, or leave it if the line is late",
)
DUE_FAR_AWAY = ProblemKind(
    "due years away",
    "doubt",
    "A line is due more than three years after the plan begins.",
    "`{value}` is more than three years after the plan begins on {start}",
    "look at its year again; leave it if it is meant",
)
CAPACITY_TOO_LARGE = ProblemKind(
    "capacity above the size",
    "doubt",
    "A form is said to hold more than a cylinder of its whole outside height and width would.",
    "it cannot hold `{value}` ml: {width} mm wide and {height} mm high outside, it is {most} ml with no wall at all",
    "correct `capacity_ml`, `height_mm` or `width_mm`",
)
FORM_WAITS_CROSSED = ProblemKind(
    "waits of a form and its stage crossed",
    "doubt",
    "A form's own wait does not fit the other wait of its stage; the longer one is kept.",
    "`{form}` waits {own} `{value}` days after `{stage}`, and the stage itself {other} {stage_is}",
    "fill in both `wait_days` and `wait_days_max` for the form",
)
DONE_AFTER_START = ProblemKind(
    "done after the start",
    "doubt",
    "Pieces in progress have had their last stage on or after the day on which the plan begins.",
    "`{value}` is not before the plan begins on {start}",
    "correct the date, or begin the plan later with start in settings",
)

RANGE_KINDS = tuple(kind for kind in globals().values() if isinstance(kind, ProblemKind))
"""All of them, in the order in which people are told of them."""
