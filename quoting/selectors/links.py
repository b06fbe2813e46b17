"""Reading by secret address."""

from __future__ import annotations

from datetime import datetime, timedelta
from hashlib import sha256

from quoting.access import Person
from quoting.models import CalendarFeed, ClientLink, LinkAttempt

MOST_ATTEMPTS = 30
WINDOW = timedelta(minutes=15)


def link_of(token: str, now: datetime) -> ClientLink | None:
    """The link a token opens, unless it has expired or was revoked."""
    rows = ClientLink.objects.select_related("quote__issued", "quote__client")
    found = rows.defer("quote__issued__basis", "quote__issued__workshop").filter(
        token_sha256=sha256(token.encode()).hexdigest(), revoked_at=None, expires_at__gt=now
    )
    return found.first()


def calendar_of(secret: str) -> CalendarFeed | None:
    """The calendar a secret opens, unless it was revoked or its person may not sign in any more."""
    found = CalendarFeed.objects.select_related("user").filter(
        secret_sha256=sha256(secret.encode()).hexdigest(), revoked_at=None, user__is_active=True
    )
    return found.first()


def calendar_kept(user: Person) -> CalendarFeed | None:
    """The person's calendar whose address still works, if there is one."""
    return CalendarFeed.objects.filter(user=user, revoked_at=None).first()


def guesses_too_often(address: str, now: datetime) -> bool:
    """Whether an address has asked for too many that are none."""
    recent = LinkAttempt.objects.filter(address=address[:45], at__gt=now - WINDOW)
    return recent.count() >= MOST_ATTEMPTS
