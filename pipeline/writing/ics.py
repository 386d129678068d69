"""All-day events as an iCalendar file. Source: RFC 5545, sections 3.1, 3.3.11, 3.4, 3.6.1 and 3.8."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

LONGEST_LINE = 75
"""Octets of a line, its end not counted. Source: RFC 5545, 3.1."""


@dataclass(frozen=True)
class Event:
    """Something that lasts whole days, from ``first`` to ``last``, both included.

    ``uid`` names it: a calendar that reads an event of a name that it has puts it in the place of the old one.
    """

    uid: str
    first: date
    last: date
    summary: str
    description: str


def ics_bytes(events: Iterable[Event], stamp: date) -> bytes:
    """The events as a file, always the same bytes; at least one, as the standard asks.

    ``stamp`` is the day, at midnight, on which the events are said to be made. Dates have no time of day and so no time
    zone. The events are transparent: they keep nobody from being invited to something else.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Wareboard//Plan//EN"]
    for event in events:
        lines += _event(event, stamp)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in folded(line)).encode("utf-8")


def _event(event: Event, stamp: date) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{text(event.uid)}"
    yield f"DTSTAMP:{stamp:%Y%m%d}T000000Z"
    yield f"DTSTART;VALUE=DATE:{event.first:%Y%m%d}"
    # DTEND is the first day that is no longer part of the event (3.6.1).
    yield f"DTEND;VALUE=DATE:{event.last + timedelta(days=1):%Y%m%d}"
    yield f"SUMMARY:{text(event.summary)}"
    yield f"DESCRIPTION:{text(event.description)}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def text(words: str) -> str:
    """Words as a TEXT value (3.3.11): backslash, semicolon, comma and line break escaped, no other control character.

    The backslash goes first, so that no escape is escaped again.
    """
    clean = words.replace("\r\n", "\n").replace("\r", "\n")
    if not clean.replace("\n", " ").isprintable():
        clean = "".join(" " if _breaks(letter) else letter for letter in clean)
    for plain, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        clean = clean.replace(plain, escaped)
    return clean


def _breaks(letter: str) -> bool:
    """Whether a character is a control, or one at which some programs break a line."""
    return letter != "\n" and unicodedata.category(letter) in ("Cc", "Zl", "Zp")


def folded(line: str) -> list[str]:
    """A line in parts of at most 75 octets of UTF-8, each but the first begun by a space that is no part of it.

    No character is split between two parts.
    """
    if line.isascii():
        rest = range(LONGEST_LINE, len(line), LONGEST_LINE - 1)
        return [line[:LONGEST_LINE], *(f" {line[begin : begin + LONGEST_LINE - 1]}" for begin in rest)]
    octets = line.encode("utf-8")
    parts, space, begin = [], "", 0
    while len(octets) - begin > (room := LONGEST_LINE - len(space)):
        end = begin + room
        # Only the first octet of a character does not begin with the bits 10.
        while octets[end] >> 6 == 0b10:
            end -= 1
        parts.append(space + octets[begin:end].decode("utf-8"))
        space, begin = " ", end
    return [*parts, space + octets[begin:].decode("utf-8")]
