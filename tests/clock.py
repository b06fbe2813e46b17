"""A clock that a test sets: what the site takes the time to be."""

from dataclasses import dataclass
from datetime import UTC, datetime

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)


@dataclass
class Clock:
    """What time the site takes it to be."""

    now: datetime = NOON
