"""The calendar feed against RFC 5545: check values K59 to K63, read back by another reader of the format."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar, vText

from quoting.documents.calendar_feed import Entry, feed

WRITTEN = datetime(2026, 3, 2, 12, tzinfo=UTC)


def _entry(**changed: object) -> Entry:
    plain = {"uid": "Q26-0001-1-pour@x", "day": date(2026, 3, 26), "title": "Pour", "detail": "d"}
    return Entry(**(plain | {"written": WRITTEN} | changed))  # type: ignore[arg-type]


def test_k59_grammar() -> None:
    made = feed([_entry(), _entry(uid="Q26-0001-1-turn@x", title="Turn")], "Workshop")
    assert made.startswith(b"BEGIN:VCALENDAR\r\n") and made.endswith(b"END:VCALENDAR\r\n")
    assert made.count(b"\n") == made.count(b"\r\n")
    assert b"VERSION:2.0\r\n" in made and b"PRODID:" in made
    for event in made.split(b"BEGIN:VEVENT")[1:]:
        for name in (b"UID", b"DTSTAMP", b"DTSTART", b"DTEND"):
            assert event.count(b"\r\n" + name) == 1
        assert b"DURATION" not in event
        assert b"DTSTAMP:20260302T120000Z" in event
        assert b"DTSTART;VALUE=DATE:20260326" in event
    assert [str(event["UID"]) for event in Calendar.from_ical(made).walk("VEVENT")] == [
        "Q26-0001-1-pour@x",
        "Q26-0001-1-turn@x",
    ]
    assert made == feed([_entry(), _entry(uid="Q26-0001-1-turn@x", title="Turn")], "Workshop")


def test_k59_a_uid_of_255_octets_survives() -> None:
    made = feed([_entry(uid="u" * 255)], "Workshop")
    assert str(Calendar.from_ical(made).walk("VEVENT")[0]["UID"]) == "u" * 255


def test_k60_escaping() -> None:
    made = feed([_entry(detail="a,b;c\\d:e"), _entry(detail="one\ntwo")], "Workshop")
    assert b"DESCRIPTION:a\\,b\\;c\\\\d:e\r\n" in made
    assert b"DESCRIPTION:one\\ntwo\r\n" in made


def test_k61_all_day_with_an_exclusive_end() -> None:
    made = feed([_entry(day=date(2007, 6, 28))], "Workshop")
    assert b"DTSTART;VALUE=DATE:20070628\r\n" in made and b"DTEND;VALUE=DATE:20070629\r\n" in made
    assert (date(2007, 7, 9) - date(2007, 6, 28)).days == 11


@pytest.mark.parametrize(
    ("field", "text", "octets"),
    [("detail", "a" * 200, [75, 75, 64]), ("title", "Ä" * 60, [74, 55])],
)
def test_k62_folding(field: str, text: str, octets: list[int]) -> None:
    """Lines of exactly so many octets, never cut inside a character, the same text once unfolded."""
    made = feed([_entry(**{field: text})], "Workshop")
    assert max(len(line) for line in made.split(b"\r\n")) <= 75
    name = b"DESCRIPTION" if field == "detail" else b"SUMMARY"
    (found,) = re.findall(rb"^" + name + rb":(?:.*\r\n )*.*(?=\r\n)", made, re.MULTILINE)
    lines = found.split(b"\r\n")
    assert [len(line) for line in lines] == octets
    assert all(line.decode() for line in lines)
    assert found.replace(b"\r\n ", b"") == name + b":" + text.encode()
    (event,) = Calendar.from_ical(made).walk("VEVENT")
    assert str(event[name.decode()]) == text


@pytest.mark.parametrize(
    ("start", "zone", "nominal", "exact"),
    [
        ("2026-03-26T14:00", "Europe/Berlin", (2, 14), (2, 15)),
        ("2026-10-22T14:00", "Europe/Berlin", (29, 14), (29, 13)),
        ("2026-03-05T14:00", "America/New_York", (12, 14), (12, 15)),
    ],
)
def test_k63_days_are_nominal_hours_exact(
    start: str, zone: str, nominal: tuple[int, int], exact: tuple[int, int]
) -> None:
    """Why the feed speaks of whole days: seven of them are not 168 hours across a change of the clocks."""
    local = datetime.fromisoformat(start).replace(tzinfo=ZoneInfo(zone))
    week = local + timedelta(days=7)
    hours = (local.astimezone(UTC) + timedelta(hours=168)).astimezone(ZoneInfo(zone))
    assert (week.day, week.hour) == nominal
    assert (hours.day, hours.hour) == exact
    event: Any = Calendar.from_ical(feed([_entry(day=local.date())], "W")).walk("VEVENT")[0]
    assert (event["DTEND"].dt - event["DTSTART"].dt).days == 1


def test_texts_are_of_the_type_text() -> None:
    assert isinstance(Calendar.from_ical(feed([_entry()], "W")).walk("VEVENT")[0]["SUMMARY"], vText)
