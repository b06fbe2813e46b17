"""Secret addresses: made once, shown once, kept as hashes, taken back at any time."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime, time, timedelta
from hashlib import sha256

from django.db import transaction

from quoting.access import Person
from quoting.errors import IllegalMove
from quoting.models import CalendarFeed, ClientLink, LinkAttempt, Quote
from quoting.services.quote_events import held, record

READABLE_AFTER = timedelta(days=30)
"""A client can read a quote for so long after its last valid day."""
WINDOW = timedelta(minutes=15)


def hashed(token: str) -> str:
    """SHA-256 of a token: 256 random bits need no salt and no slow hash."""
    return sha256(token.encode()).hexdigest()


@transaction.atomic
def create_link(
    quote: Quote, *, now: datetime, expires_at: datetime | None = None, by: Person = None, token: str = ""
) -> tuple[ClientLink, str]:
    """A link to the client's page, and its token, which is not kept. Raises IllegalMove for a draft.

    `token` is a secret of the caller's own, one of 256 bits that can be made again.
    """
    out = held(quote)
    if out.status == Quote.Status.DRAFT:
        raise IllegalMove(out.status, "link", "Issue the quote first; a draft is not shown to clients.")
    token = token or secrets.token_urlsafe(32)
    last_day = datetime.combine(out.issued.valid_until, time.max, UTC)
    link = ClientLink.objects.create(
        quote=out,
        token_sha256=hashed(token),
        created_at=now,
        created_by=by,
        expires_at=expires_at or max(last_day, now) + READABLE_AFTER,
    )
    record(out, "link made", by, f"until {link.expires_at:%Y-%m-%d}")
    return link, token


@transaction.atomic
def revoke_links(quote: Quote, *, now: datetime, by: Person = None) -> int:
    """Take back every link to a quote that still works; returns how many."""
    out = held(quote)
    count = out.links.filter(revoked_at=None).update(revoked_at=now)
    if count:
        record(out, "link revoked", by, f"{count}")
    return count


@transaction.atomic
def create_calendar(user: Person, *, now: datetime) -> str:
    """A new secret of the person's calendar; those before it stop working."""
    revoke_calendar(user, now=now)
    secret = secrets.token_urlsafe(32)
    CalendarFeed.objects.create(user=user, secret_sha256=hashed(secret), created_at=now)
    return secret


def revoke_calendar(user: Person, *, now: datetime) -> int:
    """Take the person's calendar address back; returns how many worked until now."""
    return CalendarFeed.objects.filter(user=user, revoked_at=None).update(revoked_at=now)


def record_attempt(address: str, now: datetime) -> None:
    """Remember a request for an address that is none, and forget those that no longer count."""
    LinkAttempt.objects.filter(at__lte=now - WINDOW).delete()
    LinkAttempt.objects.create(address=address[:45], at=now)
