"""The calendar file against RFC 5545 and a parser of its own: the library icalendar reads what is written here."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar, Component

from pipeline.writing.ics import Event, folded, ics_bytes, text

STAMP = date(2027, 3, 1)

WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")) | st.just("\n"))
"""Any words of a sheet: every character but controls, with line breaks."""


def event(first: date, last: date, summary: str = "Bisque", description: str = "12 cups", uid: str = "a") -> Event:
    return Event(uid, first, last, summary, description)


def read(*events: Event) -> list[Component]:
    """The events as the library reads them."""
    return list(Calendar.from_ical(ics_bytes(events, STAMP)).walk("VEVENT"))


def lines(*events: Event) -> list[str]:
    return ics_bytes(events, STAMP).decode("utf-8").split("\r\n")


# RFC 5545, 3.6.1: DTEND is the first moment after the event


def test_the_end_is_the_day_after_the_last() -> None:
    """The standard's own example, 3.6.1: 28 June to 8 July 2007, "all inclusive", ends on the 9th; 11 days."""
    festival = event(date(2007, 6, 28), date(2007, 7, 8))
    assert "DTSTART;VALUE=DATE:20070628" in lines(festival)
    assert "DTEND;VALUE=DATE:20070709" in lines(festival)
    (found,) = read(festival)
    assert found.duration == timedelta(days=11)


@pytest.mark.parametrize(
    ("day", "end"),
    [
        (date(2026, 6, 5), "20260606"),
        (date(2026, 12, 31), "20270101"),  # 2026-W53-4, ISO 8601
        (date(2028, 2, 28), "20280229"),  # a leap year
        (date(2028, 2, 29), "20280301"),
        (date(2027, 3, 28), "20270329"),  # clocks change in Europe that night; dates have none
    ],
)
def test_an_event_of_one_day_ends_on_the_next(day: date, end: str) -> None:
    assert f"DTEND;VALUE=DATE:{end}" in lines(event(day, day))


@given(st.dates(date(1900, 1, 1), date(2999, 1, 1)), st.integers(0, 400))
def test_both_ends_are_dates_and_the_end_is_later(first: date, more: int) -> None:
    """3.6.1: if DTSTART is a DATE, DTEND is one too, and later."""
    (found,) = read(event(first, first + timedelta(days=more)))
    start, end = found["DTSTART"].dt, found["DTEND"].dt
    assert (type(start), type(end)) == (date, date)
    assert (start, end - start) == (first, timedelta(days=more + 1))


# 3.6.1 and 3.6: what has to be there


def test_what_the_standard_asks_for_is_there() -> None:
    """VERSION and PRODID once, UID and DTSTAMP (in UTC, of the plan's first day, not of the clock) in each event."""
    days = [event(STAMP, STAMP, uid=uid) for uid in ("a", "b")]
    calendar = Calendar.from_ical(ics_bytes(days, STAMP))
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"]
    assert not calendar.errors
    found = list(calendar.walk("VEVENT"))
    assert [entry["UID"] for entry in found] == ["a", "b"]
    assert {entry["DTSTAMP"].dt for entry in found} == {datetime(2027, 3, 1, tzinfo=UTC)}
    assert not any(entry.errors for entry in found)


def test_the_first_and_last_line() -> None:
    written = lines(event(STAMP, STAMP))
    assert written[0] == "BEGIN:VCALENDAR"
    assert written[-2:] == ["END:VCALENDAR", ""]


# 3.1: lines


@pytest.mark.parametrize(
    ("line", "parts"),
    [
        ("a" * 75, ["a" * 75]),
        ("a" * 76, ["a" * 75, " a"]),
        ("a" * 150, ["a" * 75, " " + "a" * 74, " a"]),
        # An é has two octets: after 74 letters it no longer fits; a 釉 (glaze) has three.
        ("a" * 74 + "é", ["a" * 74, " é"]),
        ("a" * 72 + "釉釉", ["a" * 72 + "釉", " 釉"]),
        ("", [""]),
    ],
)
def test_a_line_has_at_most_75_octets(line: str, parts: list[str]) -> None:
    """Counted by hand from 3.1: 75 octets without the break, the space of the next line one of them."""
    assert folded(line) == parts


@given(st.text(st.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")), max_size=400))
def test_what_is_folded_unfolds_to_what_it_was(line: str) -> None:
    parts = folded(line)
    assert all(len(part.encode("utf-8")) <= 75 for part in parts)
    assert all(part.startswith(" ") for part in parts[1:])
    assert "\r\n".join(parts).replace("\r\n ", "") == line


@given(WORDS)
def test_every_line_of_a_file_is_short_and_whole(words: str) -> None:
    """Bytes between breaks: at most 75, each by itself UTF-8, so no character is split; no break but CR LF."""
    data = ics_bytes([event(STAMP, STAMP, description=words)], STAMP)
    for line in data.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")
        assert b"\r" not in line
        assert b"\n" not in line


# 3.3.11: TEXT


@pytest.mark.parametrize(
    ("words", "written"),
    [
        ("Kiln A; load 3, bisque\n", "Kiln A\\; load 3\\, bisque\\n"),
        ("back\\slash", "back\\\\slash"),
        ("\\n is no break", "\\\\n is no break"),
        ('10:30 "sharp"', '10:30 "sharp"'),
        ("one\r\ntwo\rthree", "one\\ntwo\\nthree"),
        ("bell\x07 and \u2028 line", "bell  and   line"),
    ],
)
def test_text_is_escaped(words: str, written: str) -> None:
    """3.3.11: backslash, semicolon, comma and line break; neither colon nor double quote. Controls may not stand."""
    assert text(words) == written


@pytest.mark.parametrize("words", ["Kiln A; load 3, bisque\n", "\\n", "\\\\;", "a\\,b", "café ~ 釉薬 :;,\"'", "=1+1"])
def test_words_come_back_as_they_were(words: str) -> None:
    (found,) = read(event(STAMP, STAMP, summary=words))
    assert str(found["SUMMARY"]) == words


@given(WORDS)
def test_any_words_come_back_as_they_were(words: str) -> None:
    (found,) = read(event(STAMP, STAMP, description=words))
    assert str(found["DESCRIPTION"]) == words
