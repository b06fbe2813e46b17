"""Access tokens: how a program signs in. Only a SHA-256 of each is kept: a copy of the database opens none.

A token has 256 random bits, which no guessing reaches; a slow hash, meant for what people can remember, would
add nothing. A token never does more than its person's role allows at the time it is used.
"""

from __future__ import annotations

import hashlib
import logging
import secrets
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import Error

from shop.accounts.models import AccessToken, User
from shop.storage_faults import is_storage_fault, short_wait

MARK = "ccc_"  # lets a search for leaked secrets tell what it found
LONGEST_DAYS = 366
USE_NOTED_EVERY = timedelta(minutes=10)

log = logging.getLogger(__name__)


def make_token(user: User, *, name: str, scope: str, days: int, now: datetime) -> tuple[AccessToken, str]:
    """Save a token and return it with its secret, which nothing will show again.

    Raises ValidationError with every fault, by field.
    """
    if not 1 <= days <= LONGEST_DAYS:
        raise ValidationError({"days": f"Give 1 to {LONGEST_DAYS} days."})
    secret = MARK + secrets.token_urlsafe(32)
    token = AccessToken(user=user, name=name.strip(), scope=scope, digest=_digest(secret), made_at=now)
    token.expires_at = now + timedelta(days=days)
    token.full_clean()
    token.save()
    return token, secret


def find_token(secret: str, now: datetime) -> AccessToken | None:
    """Return the token with this secret while it holds and its person works here; note its use."""
    if len(secret) > 200:
        return None
    token = AccessToken.objects.select_related("user").filter(digest=_digest(secret)).first()
    if token is None or not token.holds(now) or not token.user.is_active:
        return None
    if token.used_at is None or now - token.used_at > USE_NOTED_EVERY:
        _note_use(token, now)
    return token


def _note_use(token: AccessToken, now: datetime) -> None:
    """Note it where the store takes it: one that cannot be written must not shut out those who only read."""
    try:
        with short_wait():
            AccessToken.objects.filter(pk=token.pk).update(used_at=now)
    except Error as fault:
        if not is_storage_fault(fault):
            raise
        log.warning("the use of a token was not noted: %s", fault)


def revoke_token(user: User, pk: int, now: datetime) -> bool:
    """End one of a person's own tokens; return whether there was one to end."""
    return bool(AccessToken.objects.filter(user=user, pk=pk, revoked_at=None).update(revoked_at=now))


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogateescape")).hexdigest()
