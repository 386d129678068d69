"""Answers that several steps ask for, worked out once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from operator import is_
from typing import TypeVar, TypeVarTuple

Asked = TypeVarTuple("Asked")
Answer = TypeVar("Answer")


def remembered(work_out: Callable[[*Asked], Answer]) -> Callable[[*Asked], Answer]:
    """A function that keeps its last answer, and gives it again when it is asked about the very same objects.

    The steps of a plan ask a dozen times for the routes, and the clay, of the same sheets. Frames and jobs do not
    change, so the same ones have the same answer; nobody may change the answer either. Frames cannot be compared at a
    price worth paying, so objects that only look alike are worked out anew.
    """
    last: tuple[tuple[*Asked], Answer] | None = None

    @wraps(work_out)
    def answer(*asked: *Asked) -> Answer:
        nonlocal last
        if last is None or not all(map(is_, asked, last[0])):
            last = asked, work_out(*asked)
        return last[1]

    return answer
