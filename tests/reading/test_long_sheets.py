"""Long sheets are read by quicker ways than short ones, and come to the same: job, problems and readings."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.job import Job
from pipeline.reading import spelling, table
from pipeline.reading.read import Reading
from tests.reading.folders import SOUND, read

ORDERS = st.lists(
    st.tuples(
        st.sampled_from(["A1", "a1", " A1 ", "A  1", "Ä1", "B2", "example: Harbour 3", "Total", "'=1+1", "#N/A", ""]),
        st.sampled_from(["mug", "Mug", "MUG ", "bowl", "mugg", ""]),
        st.sampled_from(["24", "1.234", "1 234", "12.0", "about 40", "0", "-1", "99999999999", "1e3", ""]),
        st.sampled_from(["2027-04-30", "30.4.2027", "3/5/2027", "2027-02-31", "5 Mar 2027", "46507", "soon", ""]),
        st.sampled_from(["14", "14.50", "£14.50", "1.234", "1.234.567", "14;", "-3", "\u00a0", ""]),
    ).map(",".join),
    max_size=6,
)


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("empty")


def parts(reading: Reading) -> dict[str, object]:
    job = {} if reading.job is None else {field.name: getattr(reading.job, field.name) for field in fields(Job)}
    return {"problems": reading.problems, **job}


@settings(max_examples=80, suppress_health_check=[HealthCheck.too_slow])
@given(rows=ORDERS, end=st.sampled_from(["\n", "\r\n"]), stray=st.sampled_from(["", ",,", ",stray", "\n\n"]))
def test_a_sheet_comes_to_the_same_by_either_way(empty: Path, rows: list[str], end: str, stray: str) -> None:
    orders = end.join(["order,form,quantity,due,unit_price,,", *rows]) + stray
    forms = SOUND["forms"] + "Bowl,buff,900\n"
    short = parts(read(empty, orders=orders, forms=forms))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(table, "SHORT", 0)
        patch.setattr(spelling, "SHORT", 0)
        long = parts(read(empty, orders=orders, forms=forms))
    assert short.keys() == long.keys()
    for name, found in short.items():
        other = long[name]
        if isinstance(found, pl.DataFrame):
            assert isinstance(other, pl.DataFrame)
            assert found.equals(other), name
        else:
            assert found == other, name
