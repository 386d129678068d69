"""Answers that several steps ask for, worked out once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from inspect import signature
from typing import ParamSpec, TypeVar

Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")


def remembered(work_out: Callable[Asked, Answer]) -> Callable[Asked, Answer]:
    """A function that keeps its last answer, and gives it again when it is asked about the very same objects, whether
    by their place or by name.

    The steps of a plan ask a dozen times for the routes, and the clay, of the same sheets. Frames and jobs do not
    change, so the same ones have the same answer; nobody may change the answer either. Frames cannot be compared at a
    price worth paying, so objects that only look alike are worked out anew.
    """
    asks = signature(work_out)
    last: tuple[dict[str, object], Answer] | None = None

    @wraps(work_out)
    def answer(*args: Asked.args, **kwargs: Asked.kwargs) -> Answer:
        nonlocal last
        asked = asks.bind(*args, **kwargs).arguments
        if last is None or not _same(asked, last[0]):
            last = asked, work_out(*args, **kwargs)
        return last[1]

    return answer


def _same(asked: dict[str, object], before: dict[str, object]) -> bool:
    """Whether the very same objects are asked about."""
    return asked.keys() == before.keys() and all(what is before[name] for name, what in asked.items())
