"""Any sound sheets, respelled in any way that is understood, give the same job."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from polars.testing import assert_frame_equal

from pipeline.job import Job
from pipeline.reading.read import read_job
from tests.reading.folders import NEEDED, TODAY

GROUPS = ("", " ", "\u00a0", "\u202f", "'", "\u2019")

BOMS = {"utf-8": b"", "utf-8-sig": b"", "utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff", "cp1252": b""}

HEADINGS = {
    "quantity": ("quantity", "Qty", " QUANTITY ", "pcs"),
    "due": ("due", "Deadline", "Due by", "Due date"),
    "unit_price": ("unit_price", "Price", "unit-price"),
    "ball_g": ("ball_g", "Weight (g)", "Ball g", "weight"),
    "ball_lb": ("ball_lb", "Ball (lb)", "weight lb"),
    "height_mm": ("height_mm", "Height [mm]", "height"),
    "bag_price": ("bag_price", "Price per bag"),
    "note": ("note", "Remarks"),
}
"""Headings that mean the same."""


@dataclass(frozen=True)
class Hand:
    """How one person writes one sheet."""

    mark: str
    group: str
    sign: str
    order: str
    date_style: int
    shuffle: int

    def number(self, value: Decimal | int) -> str:
        """A number with this hand's marks."""
        whole, _, decimals = f"{value:f}".partition(".")
        grouped = f"{int(whole):,}".replace(",", self.group)
        return grouped + (self.mark + decimals if decimals else "")

    def money(self, value: Decimal) -> str:
        """An amount with or without a currency."""
        number = self.number(value)
        return {"": number, "£": f"£{number}", "€": f"{number} €", "EUR": f"EUR {number}"}[self.sign]

    def day(self, value: date) -> str:
        """A date; only the last three leave open which is the day."""
        d, m, y = value.day, value.month, value.year
        numbers = (d, m) if self.order == "day" else (m, d)
        return (
            value.isoformat(),
            f"{y}/{m}/{d}",
            f"{d} {value:%b} {y}",
            f"{value:%a} {d} {value:%B} {y}",
            f"{value:%B} {d}, {y}",
            f"{value.isoformat()}T00:00:00",
            f"{numbers[0]}/{numbers[1]}/{y}",
            f"{numbers[0]:02}-{numbers[1]:02}-{y}",
            f"{numbers[0]}/{numbers[1]}/{y % 100:02}" if y < 2100 else value.isoformat(),
        )[self.date_style]


HANDS = st.builds(
    Hand,
    mark=st.sampled_from([".", ","]),
    group=st.sampled_from(GROUPS),
    sign=st.sampled_from(["", "£", "€", "EUR"]),
    order=st.sampled_from(["day", "month"]),
    date_style=st.integers(0, 8),
    shuffle=st.integers(0, 5),
)

PLAIN = Hand(".", "", "", "day", 0, 0)

TWO_PLACES = st.decimals(Decimal("0.01"), Decimal("9999.99"), places=2)

LINES = st.lists(
    st.fixed_dictionaries(
        {
            "quantity": st.integers(1, 99_999),
            "due": st.dates(TODAY, date(2029, 12, 31)),
            "unit_price": TWO_PLACES,
            "note": st.sampled_from(["", "grün", "a, b", "a; b", 'say "hello"', "7/8 full", "Größe 1,5"]),
        }
    ),
    min_size=1,
    max_size=5,
)

WEIGHTS = st.sampled_from(
    [
        ("567", "566.9900", "1 lb 4 oz"),  # 16 oz + 4 oz = 20 oz, each 28.349523125 g
        ("340", "340.1940", "3/4 lb"),  # 453.59237 g x 3 / 4 = 340.1942775 g
        ("510", "510.2910", "1 1/8 lb"),  # 453.59237 g + 56.69904625 g
        ("1134", "1133.9810", "2{mark}5#"),  # 453.59237 g x 2.5 = 1133.980925 g
        ("400", "400", "400 g"),
        ("1200", "1200", "1{mark}2 kg"),
        ("250", "250", "250"),
    ]
)
"""A weight: a name, plainly in grams, and as people write it."""


def written(
    rows: Sequence[dict[str, str]], hand: Hand, *, delimiter: str, end: str, quoting: int, names: Callable[[str], str]
) -> str:
    """Rows of text as a CSV, its columns in this hand's order."""
    columns = list(rows[0])
    turn = hand.shuffle % len(columns)
    columns = columns[turn:] + columns[:turn]
    file = io.StringIO()
    writer = csv.writer(file, delimiter=delimiter, lineterminator=end, quoting=quoting)  # type: ignore[arg-type]  # an int
    writer.writerow([names(column) for column in columns])
    writer.writerows([[row[column] for column in columns] for row in rows])
    return file.getvalue()


def orders(lines: Sequence[dict[str, Any]], hand: Hand) -> list[dict[str, str]]:
    return [
        {
            "order": f"A{place}",
            "form": "mug",
            "quantity": hand.number(line["quantity"]),
            "due": hand.day(line["due"]),
            "unit_price": hand.money(line["unit_price"]),
            "note": line["note"],
        }
        for place, line in enumerate(lines)
    ]


def job(folder: Path, sheets: dict[str, bytes]) -> Job:
    reading = read_job(folder, today=TODAY, needed=NEEDED, instead=sheets)
    assert reading.job is not None, reading.problems.rows()
    return reading.job


def same(found: Job, plain: Job) -> None:
    """The same facts; rows may stand elsewhere."""
    for sheet in ("orders", "forms", "clay_stock"):
        assert_frame_equal(getattr(found, sheet).drop("row"), getattr(plain, sheet).drop("row"))


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("empty")


@settings(max_examples=80, suppress_health_check=[HealthCheck.too_slow])
@given(lines=LINES, weight=WEIGHTS, bag=TWO_PLACES, hand=HANDS, data=st.data())
def test_any_hand_gives_the_same_job(
    empty: Path,
    lines: list[dict[str, Any]],
    weight: tuple[str, str, str],
    bag: Decimal,
    hand: Hand,
    data: st.DataObject,
) -> None:
    def sheets(of: Hand, ball: str) -> dict[str, list[dict[str, str]]]:
        forms = {"form": "mug", "clay": "buff", "ball_g": ball.format(mark=of.mark)}
        stock = {"clay": "buff", "bag_kg": of.number(bag), "bags": of.number(1200), "bag_price": of.money(bag)}
        return {"orders": orders(lines, of), "forms": [forms], "clay_stock": [stock]}

    def plainly(rows: list[dict[str, str]]) -> bytes:
        text = written(rows, PLAIN, delimiter=",", end="\n", quoting=csv.QUOTE_MINIMAL, names=lambda name: name)
        return text.encode()

    def respelled(rows: list[dict[str, str]]) -> bytes:
        delimiter = data.draw(st.sampled_from([",", ";", "\t"]))
        text = written(
            rows,
            hand,
            delimiter=delimiter,
            end=data.draw(st.sampled_from(["\n", "\r\n", "\r"])),
            quoting=data.draw(st.sampled_from([csv.QUOTE_MINIMAL, csv.QUOTE_ALL])),
            names=lambda name: data.draw(st.sampled_from(HEADINGS.get(name, (name, name.upper())))),
        )
        title = data.draw(st.sampled_from(["", f"sep={delimiter}\n", "Spring\n\n", "\n"]))
        encoding = data.draw(st.sampled_from(sorted(BOMS)))
        try:
            return BOMS[encoding] + (title + text).encode(encoding)
        except UnicodeEncodeError:  # narrow no-break spaces are not in Windows-1252
            return (title + text).encode()

    plain = {name: plainly(rows) for name, rows in sheets(PLAIN, weight[1]).items()}
    changed = {name: respelled(rows) for name, rows in sheets(hand, weight[2]).items()}
    choices = f'name,value\ndecimal_mark,"{hand.mark}"\ndate_order,{hand.order}\n'
    same(job(empty, changed | {"settings": choices.encode()}), job(empty, plain))


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(lines=LINES, hand=HANDS, thousands=st.booleans())
def test_what_no_setting_decides_is_read_right_or_told(
    empty: Path, lines: list[dict[str, Any]], hand: Hand, thousands: bool
) -> None:
    """Without settings, and with the other mark between thousands: the same job or a problem, never another job."""
    if thousands:
        hand = Hand(hand.mark, "," if hand.mark == "." else ".", hand.sign, hand.order, hand.date_style, 0)
    rest = {
        "forms": b"form,clay,ball_g\nmug,buff,380\n",
        "clay_stock": b"clay,bag_kg,bags,bag_price\nbuff,12.5,4,13.80\n",
    }
    delimiter = ";" if hand.mark == "," else ","

    def sheet(of: Hand, between: str) -> bytes:
        rows = orders(lines, of)
        return written(rows, of, delimiter=between, end="\n", quoting=csv.QUOTE_MINIMAL, names=str).encode()

    plain = job(empty, rest | {"orders": sheet(PLAIN, ",")})
    reading = read_job(empty, today=TODAY, needed=NEEDED, instead=rest | {"orders": sheet(hand, delimiter)})
    if reading.job is not None:
        same(reading.job, plain)
    else:
        assert set(reading.problems["kind"]) <= {"ambiguous number", "ambiguous date"}
