"""Whatever the files hold, reading gives a job or says what is wrong, and the same again."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.reading.read import Reading, read_job
from schemas import SHEETS_IN
from tests.reading.folders import NEEDED, TODAY

STUDIO = Path(__file__).resolve().parent.parent.parent / "sample_data" / "studio"

SHEETS = {name: (STUDIO / f"{name}.csv").read_bytes() for name in SHEETS_IN if (STUDIO / f"{name}.csv").exists()}

CELLS = st.one_of(
    st.text(max_size=8),
    st.sampled_from(
        ["", "0", "-1", "1e308", "9" * 30, "nan", "2027-02-30", "=1+1", "mug", "Mon-Fri", "100", "50 %", "yes"]
    ),
)


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("empty")


def holds(reading: Reading) -> None:
    """A job or a problem that stops it; and every problem says what to do."""
    stops = "stop" in reading.problems["severity"]
    assert (reading.job is None) == stops
    assert all(reading.problems["what_to_do"])
    assert all(reading.problems["problem"])


slow = settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])


@slow
@given(sheet=st.sampled_from(sorted(SHEETS)), data=st.binary(max_size=200))
def test_any_bytes(empty: Path, sheet: str, data: bytes) -> None:
    holds(read_job(empty, today=TODAY, needed=NEEDED, instead=SHEETS | {sheet: data}))


@slow
@given(sheet=st.sampled_from(sorted(SHEETS)), data=st.data())
def test_any_byte_changed_left_out_or_put_in(empty: Path, sheet: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(SHEETS[sheet]) - 1))
    skip = data.draw(st.integers(0, 3))
    put = data.draw(st.one_of(st.binary(max_size=3), st.sampled_from([b'"', b",", b"\n", b"\r", b";", b"\0"])))
    changed = SHEETS[sheet][:at] + put + SHEETS[sheet][at + skip :]
    holds(read_job(empty, today=TODAY, needed=NEEDED, instead=SHEETS | {sheet: changed}))


@slow
@given(data=st.data())
def test_any_cell_changed(empty: Path, data: st.DataObject) -> None:
    """Up to five cells anywhere, headings too: rows are split at commas, which only notes hold within."""
    changed = dict(SHEETS)
    for _ in range(data.draw(st.integers(1, 5))):
        sheet = data.draw(st.sampled_from(sorted(SHEETS)))
        rows = [row.split(",") for row in changed[sheet].decode().splitlines()]
        row = data.draw(st.sampled_from(rows))
        cell = data.draw(CELLS)
        row[data.draw(st.integers(0, len(row) - 1))] = '"' + cell.replace('"', '""') + '"'
        changed[sheet] = "\n".join(",".join(row) for row in rows).encode("utf-8", "surrogatepass")
    reading = read_job(empty, today=TODAY, needed=NEEDED, instead=changed)
    holds(reading)
    assert read_job(empty, today=TODAY, needed=NEEDED, instead=changed).problems.equals(reading.problems)
