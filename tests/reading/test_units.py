"""The table of units against a library of units, and what a potter's weights and sizes come to."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.reading.measures import in_unit, rounded, short, taken_apart, units_of
from schemas.units import BY_SPELLING, TWO_MEANINGS, UNITS, Unit, spelled, unit_written, us_factor
from tests.reading.folders import assumed, job_of, read, told

REGISTRY = pint.UnitRegistry(non_int_type=Fraction)

BASE = {"weight": "gram", "length": "millimetre", "volume": "millilitre"}

PINT_NAMES = {
    "grams": "gram", "kilograms": "kilogram", "tonnes": "metric_ton", "pounds": "pound", "ounces": "ounce",
    "millimetres": "millimetre", "centimetres": "centimetre", "metres": "metre", "inches": "inch", "feet": "foot",
    "millilitres": "millilitre", "centilitres": "centilitre", "decilitres": "decilitre", "litres": "litre",
    "US fluid ounces": "fluid_ounce",
}  # fmt: skip


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name)
def test_every_unit_is_as_large_as_the_library_says(unit: Unit) -> None:
    """Source: the library pint, which takes its factors from NIST SP 811 and the yard and pound of 1959."""
    size = REGISTRY.Quantity(Fraction(1), PINT_NAMES[unit.name]).to(BASE[unit.quantity]).magnitude
    assert Fraction(size) == unit.size


@pytest.mark.parametrize(("unit", "us"), [("g", "ounce"), ("kg", "pound"), ("mm", "inch"), ("ml", "fluid_ounce")])
def test_figures_for_us_readers_are_as_the_library_converts_them(unit: str, us: str) -> None:
    """Source: the same library; by the yard and pound agreement of 1959 a pound is 0.45359237 kg, an inch 25.4 mm."""
    assert Fraction(REGISTRY.Quantity(Fraction(1), unit).to(us).magnitude) == us_factor(unit)


def grams(cell: str) -> str:
    apart = taken_apart(cell, ".")
    assert apart is not None
    units = units_of(apart[1])
    assert units is not None
    return in_unit(apart[1], units, apart[0], "g")


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("1 lb 5 oz", "595.34"),  # 21 oz x 28.349523125 g = 595.33999
        ("2 lb 3 oz", "992.233"),  # 35 oz x 28.349523125 g = 992.23331
        ("5 lb 12 oz", "2608.156"),  # 92 oz x 28.349523125 g = 2608.15613
        ("1lb. 5 oz.", "595.34"),
        ("14 oz.", "396.893"),  # 14 x 28.349523125 = 396.89332
        ("2.75 lbs", "1247.379"),  # 2.75 x 453.59237 = 1247.37902
        ("1.25 #", "566.99"),  # 1.25 x 453.59237 = 566.99046
        ("6#s", "2721.554"),  # 6 x 453.59237 = 2721.55422
        ("1 1/8 pound", "510.291"),  # 1.125 x 453.59237 = 510.29142
        ("1 ⅛ lb", "510.291"),
        ("½ lb", "226.796"),  # 453.59237 / 2 = 226.796185
        ("3⁄4 lb", "340.194"),  # noqa: RUF001 - a word processor's slash
        ("1.2 kg", "1200"),
        ("1 kg 200 g", "1200"),
        ("0.5 t", "500000"),
    ],
)
def test_weights(cell: str, value: str) -> None:
    assert grams(cell) == value


@pytest.mark.parametrize(
    ("column", "cell", "value"),
    [
        ("height_mm", "4 1/2 in", 114.3),  # 4.5 x 25.4
        ("height_mm", '9"', 228.6),  # 9 x 25.4
        ("height_mm", "12 mm", 12.0),
        ("height_mm", "6 3/4 inches", 171.45),  # 6.75 x 25.4
        ("width_mm", "10.5 cm", 105.0),
        ("width_mm", "0.3 m", 300.0),
        ("width_mm", "1' 1\"", 330.2),  # 13 x 25.4
        ("capacity_ml", "350 ml", 350.0),
        ("capacity_ml", "0.35 l", 350.0),
        ("capacity_ml", "12 fl. oz.", 354.882),  # 12 x 29.5735295625 = 354.88235
        ("capacity_ml", "3 dl", 300.0),
    ],
)
def test_sizes(tmp_path: Path, column: str, cell: str, value: float) -> None:
    quoted = cell.replace('"', '""')
    forms = f'form,clay,ball_g,{column},per_board\nmug,buff,380,"{quoted}",12\nbowl,buff,0.5 kg,,\n'
    assert read(tmp_path, forms=forms).job.forms[column][0] == value  # type: ignore[union-attr]  # fails if there is none


@pytest.mark.parametrize(
    ("heading", "cell", "value"),
    [
        ("ball_oz", "20", 566.99),  # 20 x 28.349523125 = 566.99046
        ("ball_lb", "3/4", 340.194),  # 453.59237 x 3 / 4 = 340.19428
        ("Ball (kg)", "0.38", 380.0),
        ("ball, g", "380", 380.0),
        ("Weight [lb]", "1", 453.592),  # 453.59237
        ("clay weight oz", "8", 226.796),  # 8 x 28.349523125 = 226.79619
        ("ball_lb", "400 g", 400.0),
        ("ball_lb", "1.2e0", 544.311),  # 1.2 x 453.59237 = 544.31084
    ],
)
def test_a_heading_may_give_the_unit(tmp_path: Path, heading: str, cell: str, value: float) -> None:
    forms = f'form,clay,"{heading}"\nmug,buff,{cell}\n'
    assert job_of(tmp_path, forms=forms).forms["ball_g"].to_list() == [value]


def test_a_bag_of_25_lb(tmp_path: Path) -> None:
    """25 x 0.45359237 kg = 11.33980925 kg; kept to a thousandth of a gram."""
    stock = "clay,bag lb,bags,bag_price\nbuff,25,4,13.80\n"
    assert job_of(tmp_path, clay_stock=stock).clay_stock["bag_kg"].to_list() == [11.339809]


def test_what_was_understood_is_told(tmp_path: Path) -> None:
    forms = 'form,clay,ball_g,height_in,capacity_ml\nmug,buff,1 lb 4 oz,"4 1/2",12 fl oz\nbowl,buff,1 lb 6 oz,5,\n'
    said = assumed(job_of(tmp_path, forms=forms))
    assert said["forms.ball_g: `1 lb 4 oz`"] == "567 g"
    assert said["forms.height_mm: `4 1/2`"] == "114.3 mm"
    assert said["forms.capacity_ml: `12 fl oz`"] == "354.9 ml"
    assert "forms.ball_g: `1 lb 6 oz`" not in said


@pytest.mark.parametrize(
    ("column", "cell", "kind"),
    [
        ("ball_g", "1 lb 20 oz", "note in a number"),
        ("ball_g", "1 oz 1 lb", "note in a number"),
        ("ball_g", "10 cm", "wrong kind of unit"),
        ("ball_g", "1 ton", "unit of two meanings"),
        ("ball_g", "12 fl oz", "wrong kind of unit"),
        ("capacity_ml", "8 oz", "ounces of weight or volume"),
        ("capacity_ml", "1 pint", "unit of two meanings"),
        ("height_mm", "3/4", "fraction without a unit"),
        ("height_mm", "3 g", "wrong kind of unit"),
        ("per_board", "12 kg", "note in a number"),
        ("ball_g", "3/0 lb", "note in a number"),
    ],
)
def test_what_is_no_measure_of_the_column(tmp_path: Path, column: str, cell: str, kind: str) -> None:
    row = {"form": "mug", "clay": "buff", "ball_g": "380"} | {column: cell}
    forms = f"{','.join(row)}\n{','.join(row.values())}\n"
    assert told(read(tmp_path, forms=forms)) == [("forms", 2, column, kind)]


def test_no_spelling_has_two_meanings() -> None:
    spellings = [spelling for unit in UNITS for spelling in unit.spellings]
    assert len(spellings) == len(set(spellings)) == len(BY_SPELLING)
    assert not set(BY_SPELLING) & set(TWO_MEANINGS)
    assert all(spelled(spelling) == spelling and unit_written(spelling.upper()) for spelling in spellings)


@given(st.integers(0, 400), st.integers(0, 127))
def test_any_weight_in_pounds_and_eighths_of_an_ounce(pounds: int, eighths: int) -> None:
    """Source: the library pint, in exact fractions; 453.59237 g and its sixteenth."""
    ounces = f"{eighths // 8} {eighths % 8}/8" if eighths % 8 else f"{eighths // 8}"
    exact = REGISTRY.Quantity(pounds + Fraction(eighths, 128), "pound").to("gram").magnitude
    assert abs(Decimal(grams(f"{pounds} lb {ounces} oz")) - Decimal(float(exact))) <= Decimal("0.000501")


@pytest.mark.parametrize(
    ("value", "shown"), [("566.990", "567"), ("11.339809", "11.34"), ("0.125", "0.125"), ("12345.6", "12346")]
)
def test_four_figures_in_a_sentence(value: str, shown: str) -> None:
    assert short(value) == shown


@pytest.mark.parametrize(("value", "digits", "text"), [("0.0005", 3, "0.001"), ("-2.5", 0, "-3"), ("1200", 3, "1200")])
def test_halves_are_rounded_away_from_nought(value: str, digits: int, text: str) -> None:
    assert rounded(Fraction(value), digits) == text
