"""The shop's calendar as a feed (RFC 5545): pours, strips, turns, deliveries, each a whole day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from icalendar import Calendar, Event


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
    return bytes(calendar.to_ical())
