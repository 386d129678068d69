"""Units in which weights, lengths and volumes are written: the one table of them.

Sources, all from memory: NIST Special Publication 811, appendix B; the international yard and pound agreement of 1959
(1 yd = 0.9144 m, 1 lb = 0.45359237 kg); the US gallon of 231 cubic inches.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Quantity = Literal["weight", "length", "volume"]


@dataclass(frozen=True)
class Unit:
    """A unit: its name, what it measures, its size in grams, millimetres or millilitres, and how it is written."""

    name: str
    quantity: Quantity
    size: Fraction
    spellings: tuple[str, ...]
    note: str = ""


POUND = Fraction("453.59237")
INCH = Fraction("25.4")
US_FLUID_OUNCE = 231 * INCH**3 / 1000 / 128
"""In millilitres: a gallon of 231 cubic inches holds 128."""

UNITS = (
    Unit("grams", "weight", Fraction(1), ("g", "gm", "gms", "gram", "grams", "gramme", "grammes")),
    Unit("kilograms", "weight", Fraction(1000), ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms")),
    Unit("tonnes", "weight", Fraction(1_000_000), ("t", "tonne", "tonnes"), "1,000 kg"),
    Unit("pounds", "weight", POUND, ("lb", "lbs", "#", "#s", "pound", "pounds"), "453.59237 g"),
    Unit("ounces", "weight", POUND / 16, ("oz", "ozs", "ounce", "ounces"), "28.349523125 g, a sixteenth of a pound"),
    Unit(
        "millimetres",
        "length",
        Fraction(1),
        ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    ),
    Unit("centimetres", "length", Fraction(10), ("cm", "centimetre", "centimetres", "centimeter", "centimeters")),
    Unit("metres", "length", Fraction(1000), ("m", "metre", "metres", "meter", "meters")),
    Unit("inches", "length", INCH, ("in", "ins", "inch", "inches", '"', "''", "”", "″"), "25.4 mm"),
    Unit("feet", "length", 12 * INCH, ("ft", "foot", "feet", "'", "’", "′"), "304.8 mm"),  # noqa: RUF001 - as typed
    Unit(
        "millilitres",
        "volume",
        Fraction(1),
        ("ml", "millilitre", "millilitres", "milliliter", "milliliters", "cc"),
    ),
    Unit("centilitres", "volume", Fraction(10), ("cl", "centilitre", "centilitres", "centiliter", "centiliters")),
    Unit("decilitres", "volume", Fraction(100), ("dl", "decilitre", "decilitres", "deciliter", "deciliters")),
    Unit("litres", "volume", Fraction(1000), ("l", "ltr", "litre", "litres", "liter", "liters")),
    Unit(
        "US fluid ounces",
        "volume",
        US_FLUID_OUNCE,
        ("fl oz", "floz", "fluid oz", "fluid ounce", "fluid ounces"),
        "29.5735295625 ml; an imperial one is 28.4130625 ml",
    ),
)

BY_SPELLING = {spelling: unit for unit in UNITS for spelling in unit.spellings}

US_FOR = {"g": "oz", "kg": "lb", "mm": "in", "ml": "fl oz"}
"""The unit that US readers are shown for each unit of the sheets."""

TWO_MEANINGS = {
    spelling: meanings
    for spellings, meanings in (
        (("ton", "tons"), ("2000 lb", "1 tonne", "2,000 lb in the US, 2,240 lb in old UK books, or 1,000 kg")),
        (("pt", "pint", "pints"), ("16 fl oz", "568 ml", "16 US fluid ounces or 568 ml")),
        (("qt", "quart", "quarts"), ("32 fl oz", "1137 ml", "32 US fluid ounces or 1,137 ml")),
        (("gal", "gallon", "gallons"), ("128 fl oz", "4546 ml", "128 US fluid ounces or 4,546 ml")),
        (("cup", "cups"), ("8 fl oz", "250 ml", "8 US fluid ounces or 250 ml")),
    )
    for spelling in spellings
}
"""Units that mean one thing here and another there: two ways to type what is meant, and the meanings in words."""


def unit_written(word: str) -> Unit | None:
    """The unit of that spelling, in any case, with points and spaces as one likes; None if there is none."""
    return BY_SPELLING.get(spelled(word))


def us_factor(unit: str) -> Fraction:
    """What a figure in a unit of the sheets is multiplied by to be in the one that US readers are shown, exactly."""
    return BY_SPELLING[unit].size / BY_SPELLING[US_FOR[unit]].size


def spelled(word: str) -> str:
    """A unit's word as the table spells it: ``Fl. oz.`` is ``fl oz``."""
    return " ".join(word.casefold().replace(".", " ").split())
