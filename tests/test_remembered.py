"""Answers kept for the very same objects."""

from __future__ import annotations

import polars as pl

from pipeline.remembered import remembered


def test_the_same_frames_are_worked_out_once_and_others_anew() -> None:
    """Asked of one, one, its twin, one: the twin looks alike but is another, so three times in all."""
    asked = []

    @remembered
    def heights(frame: pl.DataFrame, step: str) -> list[str]:
        asked.append(frame)
        return [f"{step} {frame.height}"]

    one, twin = pl.DataFrame({"a": [1, 2]}), pl.DataFrame({"a": [1, 2]})
    assert heights(one, "rows") is heights(one, "rows")
    assert heights(twin, "rows") == ["rows 2"]
    assert heights(one, "lines") == ["lines 2"]
    assert [frame is one for frame in asked] == [True, False, True]


def test_it_is_one_question_whether_asked_by_place_or_by_name() -> None:
    """Asked by place, by name and by name the other way round: once; of another step by name: once more."""
    asked = []

    @remembered
    def heights(frame: pl.DataFrame, step: str) -> list[str]:
        asked.append(step)
        return [f"{step} {frame.height}"]

    one, rows = pl.DataFrame({"a": [1, 2]}), "rows"
    assert heights(one, rows) is heights(frame=one, step=rows)
    assert heights(step=rows, frame=one) == ["rows 2"]
    assert heights(frame=one, step="lines") == ["lines 2"]
    assert asked == ["rows", "lines"]
