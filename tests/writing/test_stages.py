"""Two letters for each stage, no two alike."""

from __future__ import annotations

import polars as pl
from hypothesis import given
from hypothesis import strategies as st

from pipeline.writing.book.stages import letters, stages_in_order


def test_letters_that_people_would_choose() -> None:
    assert letters(["wedge", "throw", "turn", "bisque firing", "glaze", "glaze firing"]) == {
        "wedge": "We",
        "throw": "Th",
        "turn": "Tu",
        "bisque firing": "BF",
        "glaze": "Gl",
        "glaze firing": "GF",
    }


def test_letters_that_would_be_alike_differ() -> None:
    found = letters(["throw", "throw lids", "through", "t", "T", "th"])
    assert found["throw"] == "Th"
    assert found["throw lids"] == "TL"
    assert found["through"] == "Tr"
    assert len({short.casefold() for short in found.values()}) == 6


@given(st.lists(st.text("abAB 1", min_size=1, max_size=4).filter(str.strip), unique=True, max_size=40))
def test_no_two_stages_have_the_same_letters(names: list[str]) -> None:
    found = letters(names)
    assert list(found) == names
    assert len({short.casefold() for short in found.values()}) == len(names)
    assert all(found.values())


def test_stages_stand_in_the_order_of_the_methods() -> None:
    plain, handled = ["wedge", "throw", "turn", "fire"], ["wedge", "throw", "turn", "handle", "fire"]
    stages = pl.DataFrame(
        {
            "method": ["plain"] * 4 + ["handled"] * 5,
            "step": [1, 2, 3, 4, 10, 20, 30, 40, 50],
            "stage": plain + handled,
        }
    )
    schedule = pl.DataFrame({"stage": ["fire", "turn", "handle", "wedge", "stamp", "turn"]})
    # On average turning is 3/4 and 3/5 of the way, 0.675; handling 4/5; firing at the end. Nobody knows of stamping.
    assert stages_in_order(stages, schedule) == ["wedge", "turn", "handle", "fire", "stamp"]
