"""Settings that cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.reading.folders import job_of, read, told


@pytest.mark.parametrize(
    ("name", "value", "kind"),
    [
        ("loss_cover", "0", "not a loss cover"),
        ("loss_cover", "1", "not a loss cover"),
        ("loss_cover", "100 %", "not a loss cover"),
        ("loss_cover", "often", "not a loss cover"),
        ("start", "tomorrow", "not a date"),
        ("start", "1027-03-01", "far-off date"),
        ("tax_pct", "a fifth", "not a number"),
        ("tax_pct", "120", "out of range"),
        ("spare_clay_pct", "-1", "out of range"),
        ("energy_price", "28 ct", "note in a number"),
        ("energy_price", "a penny", "not an amount of money"),
        ("overhead_per_hour", "-4", "out of range"),
        ("date_order", "backwards", "not a choice"),
        ("units", "stone", "not a choice"),
    ],
)
def test_a_value_that_cannot_be(tmp_path: Path, name: str, value: str, kind: str) -> None:
    assert told(read(tmp_path, settings=f"name,value\n{name},{value}\n")) == [("settings", 2, "value", kind)]


@pytest.mark.parametrize(("value", "units"), [("us", "us"), ("US", "us"), ("Metric", "metric"), ("", "metric")])
def test_units_that_people_are_shown(tmp_path: Path, value: str, units: str) -> None:
    job = job_of(tmp_path, settings=f"name,value\nunits,{value}\n")
    assert job.settings.units == units


def test_a_choice_is_made_once(tmp_path: Path) -> None:
    settings = "name,value\ntax_pct,20\nTax pct,19\n"
    reading = read(tmp_path, settings=settings)
    assert told(reading) == [("settings", 3, "name", "row twice")]


def test_a_value_without_a_name_is_told(tmp_path: Path) -> None:
    assert told(read(tmp_path, settings="name,value\n,20\n")) == [("settings", 2, "name", "blank cell")]
