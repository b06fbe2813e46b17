"""The shop's calendar as a feed (RFC 5545): pours, strips, turns, deliveries, each a whole day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from icalendar import Calendar, Event

MOST_OCTETS = 75
"""Of a content line, its end not counted."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One day's step of one piece. `uid` stays the same however often the feed is made."""

    uid: str
    day: date
    title: str
    detail: str
    written: datetime
    """When what it rests on was written, in UTC."""


def feed(entries: Iterable[Entry], name: str) -> bytes:
    """The feed: CRLF, lines folded at 75 octets, texts escaped, all-day events with an exclusive end."""
    calendar = Calendar()
    calendar.add("VERSION", "2.0")
    calendar.add("PRODID", "-//Concrete to commission//Calendar//EN")
    calendar.add("X-WR-CALNAME", name)
    for entry in entries:
        event = Event()
        event.add("UID", entry.uid)
        event.add("DTSTAMP", entry.written)
        event.add("DTSTART", entry.day)
        event.add("DTEND", entry.day + timedelta(days=1))
        event.add("SUMMARY", entry.title)
        event.add("DESCRIPTION", entry.detail)
        calendar.add_component(event)
    lines = bytes(calendar.to_ical()).replace(b"\r\n ", b"").split(b"\r\n")
    return b"\r\n".join(folded(line) for line in lines)


def folded(line: bytes) -> bytes:
    """A content line cut as late as it may be: 75 octets a line, the leading space in, no character cut.

    RFC 5545, section 3.1; check value K62. The library leaves an octet or two free.

    >>> [len(part) for part in folded(b"DESCRIPTION:" + b"a" * 200).split(b"\\r\\n")]
    [75, 75, 64]
    """
    parts = [b""]
    for character in line.decode():
        octets = character.encode()
        if len(parts[-1]) + len(octets) > MOST_OCTETS:
            parts.append(b" ")
        parts[-1] += octets
    return b"\r\n".join(parts)
